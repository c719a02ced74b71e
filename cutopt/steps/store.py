"""What the store's saw does: one sheet of paper for each distinct piece it cuts."""

from __future__ import annotations

from dataclasses import dataclass

from cutopt.model.job import Stock
from cutopt.model.layout import Direction
from cutopt.steps.letters import FloorPiece
from cutopt.steps.phrase import Phrase
from cutopt.units import Ticks


@dataclass(frozen=True, slots=True)
class StoreResult:
    """One side of a store cut.

    Attributes:
        letters: "AB" or "C"; "" for waste.
        length, width: as it comes, rounded to 1/8 in or 1 mm.
        cut_again: the store cuts it once more; its size is not printed.
    """

    letters: str
    length: Ticks
    width: Ticks
    cut_again: bool

    @property
    def waste(self) -> bool:
        """Nothing comes out of this side."""
        return not self.letters


@dataclass(frozen=True, slots=True)
class StoreCut:
    """One cut of the store's saw.

    Attributes:
        setting: exact measure from ``edge``, ticks.
        edge: "left end", "bottom edge"; "right end", "top edge" where only that can be
            measured from.
        piece: letters of the piece on the saw; the root is ``whole``.
        x, y, length, width: that piece where it lies on the stock piece.
        line: where the cut runs: from the piece's left end or bottom edge to the near side
            of the kerf.
        first, second: its sides; None where the blade runs off the edge.
    """

    step: int
    direction: Direction
    setting: Ticks
    edge: str
    piece: str
    whole: bool
    x: Ticks
    y: Ticks
    length: Ticks
    width: Ticks
    line: Ticks
    kerf: Ticks
    first: StoreResult | None
    second: StoreResult | None

    @property
    def verb(self) -> str:
        """Rip or crosscut, as the operator says it."""
        return self.direction.value

    @property
    def where(self) -> str:
        """Give the words below the setting: which piece, from which edge."""
        piece = "the whole piece" if self.whole else f"piece {self.piece}"
        return f"{piece}, from its {self.edge}"


@dataclass(frozen=True, slots=True)
class StoreSheet:
    """Everything the operator needs for one distinct piece of stock.

    Attributes:
        ids: stock pieces cut alike at the store; the first is the one drawn.
        free, paid: cuts of ONE piece within and over the free ones.
        fee_each_cents: for one cut over the free ones.
        fee_cents: for all these pieces together.
        pieces: what leaves the saw, with letters; waste is not among them.
        rough: edges are trimmed at home.
        accuracy: near enough, ticks; 0 for to the mark.
    """

    ids: tuple[str, ...]
    stock: Stock
    cuts: tuple[StoreCut, ...]
    pieces: tuple[FloorPiece, ...]
    free: int
    paid: int
    fee_each_cents: int
    fee_cents: int
    rough: bool
    accuracy: Ticks
    instructions: tuple[tuple[Phrase, Phrase], ...]
    stop: tuple[Phrase, ...]
