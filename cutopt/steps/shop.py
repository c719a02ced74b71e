"""What is sawn at home, sheet by sheet: the cuts under each drawing."""

from __future__ import annotations

from dataclasses import dataclass

from cutopt.model.job import Stock
from cutopt.model.plan import Cut, StockPiece
from cutopt.steps.letters import PieceNames
from cutopt.units import Ticks


@dataclass(frozen=True, slots=True)
class ShopCut:
    """One cut at home, as it stands under the drawing of its sheet.

    Attributes:
        piece: name of the piece on the saw, "B2"; "" for a board.
        action: "rip", "crosscut" or "trim".
        setting: ticks, measured on the side that is kept.
        measure_first: what the other side must come out, where the setting had to be
            taken on waste; the stock is measured before the fence is set.
        cut: the cut itself.
    """

    step: int
    piece: str
    action: str
    setting: Ticks
    measure_first: Ticks | None
    cut: Cut


@dataclass(frozen=True, slots=True)
class ShopSheet:
    """One distinct layout at home.

    Attributes:
        ids: stock pieces cut alike throughout; the first is the one drawn.
        names: names of its pieces; ``names.floor`` is what lies on the floor.
        cuts: made at home, in the order of their steps.
        store_cuts: how many the store has made (steps 1 to this).
        parts, kinds: how many parts, of how many kinds.
    """

    ids: tuple[str, ...]
    piece: StockPiece
    names: PieceNames
    cuts: tuple[ShopCut, ...]
    store_cuts: int
    parts: int
    kinds: int

    @property
    def stock(self) -> Stock:
        """What it is cut from."""
        return self.piece.stock
