"""What is sawn at home, sheet by sheet: the cuts under each drawing."""

from __future__ import annotations

from collections.abc import Hashable, Mapping
from dataclasses import dataclass

from cutopt.model.job import Saw, Stock
from cutopt.model.plan import Cut, Maker, Node, Plan, StockPiece
from cutopt.steps.hands import hand_of
from cutopt.steps.letters import PieceNames, name_pieces
from cutopt.steps.pieces import alike, is_crosscut_only, parts_of, signature
from cutopt.steps.runs import LaidRun, laid_runs, run_places
from cutopt.steps.settings import setting_of
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
        runs: parts the figure runs through, as they lie.
    """

    ids: tuple[str, ...]
    piece: StockPiece
    names: PieceNames
    cuts: tuple[ShopCut, ...]
    store_cuts: int
    parts: int
    kinds: int
    runs: tuple[LaidRun, ...] = ()

    @property
    def stock(self) -> Stock:
        """What it is cut from."""
        return self.piece.stock


def saws_by_name(plan: Plan) -> Mapping[str, Saw]:
    """Give the saws of the shop by the name cuts call them by; "any" is not among them."""
    return {saw.name: saw for saw in plan.job.shop.saws}


def shop_sheets(plan: Plan) -> tuple[ShopSheet, ...]:
    """Give one sheet for each distinct layout that is not a board cut to length only.

    Sheets that yield nothing at home (the store has made every cut) are among them: the
    drawing still says which part is which. Sheets cut alike whose parts are of different
    hands are drawn apart: their cutouts lie elsewhere.
    """
    saws = saws_by_name(plan)
    kinds = {part.id: part for part in plan.job.parts}
    places = run_places(plan.job)

    def drawn(layout: Node) -> Hashable:
        hands = tuple(hand_of(kinds[part.part], part.copy) for part in parts_of(layout))
        return signature(layout), hands

    sheets = []
    for group in alike((p for p in plan.pieces if not is_crosscut_only(p)), drawn):
        piece = group.first
        names = name_pieces(piece)
        parts = parts_of(piece.layout)
        cuts = piece.cuts()
        at_home = [cut for cut in cuts if cut.by is Maker.SHOP]
        sheets.append(
            ShopSheet(
                ids=group.ids,
                piece=piece,
                names=names,
                cuts=tuple(_shop_cut(cut, names, saws.get(cut.saw)) for cut in at_home),
                store_cuts=len(cuts) - len(at_home),
                parts=len(parts),
                kinds=len({part.part for part in parts}),
                runs=laid_runs(piece, places),
            )
        )
    return tuple(sheets)


def _shop_cut(cut: Cut, names: PieceNames, saw: Saw | None) -> ShopCut:
    setting = setting_of(cut, saw)
    before = names.cuts[cut.step].before
    return ShopCut(cut.step, before, setting.action, setting.size, setting.measure_first, cut)
