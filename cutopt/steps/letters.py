"""Names of pieces as they lie on the floor, so that wood, pages and labels agree.

What leaves the store saw is A, B, C ...; a piece still to be cut there carries the letters
it holds (ABC -> AB + C). At home a piece keeps its name while one side only goes on; where
both go on, B becomes B1 and B2, and B2 later B2 and B3. Boards go by their id alone, until
a ripped or crosscut board falls into several pieces.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from cutopt.model.job import Kind
from cutopt.model.layout import Direction
from cutopt.model.plan import Cut, Node, PartPiece, StockPiece, Waste
from cutopt.steps.pieces import made_by_store
from cutopt.units import Ticks

MOST_LETTERS = 6
"""Letters a piece is called by in full; more are named by the first and the last."""


@dataclass(frozen=True, slots=True)
class Side:
    """Edges of a floor piece that the store's saw made (drawn as rough edges)."""

    left: bool = False
    right: bool = False
    bottom: bool = False
    top: bool = False


@dataclass(frozen=True, slots=True)
class FloorPiece:
    """A piece as it leaves the store: what lies on the floor at home.

    Attributes:
        letter: "A"; "" for an uncut board.
        node: its own tree.
        x, y: where it lay on the stock piece, ticks from the reference corner.
        store_edges: edges made by the store's saw.
    """

    letter: str
    node: Node
    x: Ticks
    y: Ticks
    store_edges: Side = Side()


@dataclass(frozen=True, slots=True)
class CutNames:
    """Names around one cut.

    Attributes:
        step: number of the cut on its stock piece.
        before: name of the piece that lies on the saw; "" for an uncut board.
        first, second: names of the sides that carry one: at the store all but waste, at
            home the sides that go on to another cut; None for the rest.
    """

    step: int
    before: str
    first: str | None
    second: str | None


@dataclass(frozen=True, slots=True)
class PieceNames:
    """All names on one stock piece.

    Attributes:
        id: of the stock piece.
        cuts: by step.
        floor: pieces that leave the store (the whole piece where it cuts nothing), waste
            apart, from the reference corner on.
        origin: letter of the floor piece each part comes from, by (part, copy).
    """

    id: str
    cuts: Mapping[int, CutNames] = field(hash=False)
    floor: tuple[FloorPiece, ...]
    origin: Mapping[tuple[str, int], str] = field(hash=False)

    def full(self, name: str) -> str:
        """Give the name with the id of the stock piece: "S1 B2", or "L3" alone."""
        return f"{self.id} {name}".rstrip()
