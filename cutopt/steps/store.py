"""What the store's saw does: one sheet of paper for each distinct piece it cuts."""

from __future__ import annotations

from collections.abc import Collection, Hashable, Sequence
from dataclasses import dataclass

from cutopt.model.job import Kind, Stock, Store
from cutopt.model.layout import Direction
from cutopt.model.plan import Cut, Node, Plan, StockPiece, Waste, walk
from cutopt.steps.letters import FloorPiece, PieceNames, name_pieces
from cutopt.steps.phrase import Phrase, counted, listed
from cutopt.steps.pieces import made_by_store
from cutopt.units import Ticks, Units, rounded

MOST_NAMED = 8
"""Uncut pieces that are named one by one; more are counted."""


@dataclass(frozen=True, slots=True)
class StoreResult:
    """One side of a store cut.

    Attributes:
        letters: "AB" or "C"; "" for waste.
        length, width: as it comes, rounded to 1/8 in or 1 mm; exact where a setting of this
            sheet says the same measure, so that the two never differ.
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
        piece: letters of the piece on the saw.
        whole: that piece is the whole sheet or board.
        noun: "sheet" or "board".
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
    noun: str
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
        piece = f"the whole {self.noun}" if self.whole else f"piece {self.piece}"
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
        instructions: head and line below, side by side over the drawing.
        stop: lines at the foot, the first is the head.
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
    stop: tuple[str, ...]

    @property
    def settings(self) -> frozenset[int]:
        """All settings of its cuts, ticks."""
        return frozenset(cut.setting for cut in self.cuts)


def store_sheets(plan: Plan) -> tuple[StoreSheet, ...]:
    """Give one sheet for each distinct piece the store cuts, sheets before boards."""
    store = plan.job.store
    if store is None:
        return ()
    groups: dict[Hashable, list[StockPiece]] = {}
    for piece in plan.pieces:
        if made_by_store(piece.layout):
            groups.setdefault((piece.stock.name, _as_seen(piece.layout)), []).append(piece)
    sheets = [_store_sheet(group, store, plan.job.units) for group in groups.values()]
    return tuple(sorted(sheets, key=lambda sheet: sheet.stock.kind is Kind.BOARD))


def said_size(size: Ticks, settings: Collection[int], units: Units) -> Ticks:
    """Give a measure of a piece as it is printed: rounded, or as a setting has it."""
    return size if size in settings else rounded(size, units)


def uncut_words(plan: Plan) -> str:
    """Give what was bought and leaves the store as it is, in one sentence.

    Like "Sheet S3 and all boards: no cuts."; empty where the store cuts nothing at all, or
    everything.
    """
    bought = [piece for piece in plan.pieces if not piece.stock.owned]
    if plan.job.store is None or not any(made_by_store(piece.layout) for piece in bought):
        return ""
    named = []
    for kind, one, many in ((Kind.SHEET, "sheet", "sheets"), (Kind.BOARD, "board", "boards")):
        of_kind = [piece for piece in bought if piece.stock.kind is kind]
        uncut = [piece.id for piece in of_kind if not made_by_store(piece.layout)]
        if not uncut:
            continue
        if len(uncut) == len(of_kind) > 1:
            named.append(f"all {many}")
        elif len(uncut) > MOST_NAMED:
            named.append(f"{len(uncut)} {many}")
        else:
            named.append(f"{one if len(uncut) == 1 else many} {listed(uncut)}")
    words = " and ".join(named)
    return f"{words[:1].upper()}{words[1:]}: no cuts." if words else ""


def _as_seen(node: Node | None) -> Hashable:
    """Give a key that is equal for pieces that are one to the operator."""
    if isinstance(node, Cut) and made_by_store(node):
        return (node.step, node.direction, node.at, _as_seen(node.first), _as_seen(node.second))
    if node is None:
        return None
    return (isinstance(node, Waste), node.length, node.width)


def _store_sheet(group: Sequence[StockPiece], store: Store, units: Units) -> StoreSheet:
    piece = group[0]
    names = name_pieces(piece)
    placed = [
        (p.node, p.x, p.y)
        for p in walk(piece.layout)
        if isinstance(p.node, Cut) and made_by_store(p.node)
    ]
    settings = frozenset(_setting(cut)[0] for cut, _, _ in placed)
    cuts = tuple(
        _store_cut(cut, x, y, piece, names, units, settings)
        for cut, x, y in sorted(placed, key=lambda found: found[0].step)
    )
    free = min(len(cuts), store.free_cuts)
    paid = len(cuts) - free
    return StoreSheet(
        ids=tuple(one.id for one in group),
        stock=piece.stock,
        cuts=cuts,
        pieces=names.floor,
        free=free,
        paid=paid,
        fee_each_cents=store.fee_per_cut_cents,
        fee_cents=paid * store.fee_per_cut_cents * len(group),
        rough=store.rough,
        accuracy=store.accuracy,
        instructions=_instructions(store),
        stop=_stop(cuts, names.floor, rough=store.rough),
    )


def _setting(cut: Cut) -> tuple[Ticks, str]:
    """Give the measure of a cut, ticks, and the edge it is taken from."""
    crosscut = cut.direction is Direction.CROSSCUT
    if cut.first is None and cut.second is not None:
        # the blade runs along the reference edge itself: only the far edge can be measured from
        far = cut.second.length if crosscut else cut.second.width
        return far, "right end" if crosscut else "top edge"
    return cut.at, "left end" if crosscut else "bottom edge"


def _store_cut(
    cut: Cut,
    x: Ticks,
    y: Ticks,
    piece: StockPiece,
    names: PieceNames,
    units: Units,
    settings: Collection[int],
) -> StoreCut:
    name = names.cuts[cut.step]
    setting, edge = _setting(cut)

    def result(side: Node | None, letters: str | None) -> StoreResult | None:
        if side is None:
            return None
        length = said_size(side.length, settings, units)
        width = said_size(side.width, settings, units)
        return StoreResult(letters or "", length, width, made_by_store(side))

    return StoreCut(
        step=cut.step,
        direction=cut.direction,
        setting=setting,
        edge=edge,
        piece=name.before,
        whole=cut is piece.layout,
        noun=piece.stock.kind.value,
        x=x,
        y=y,
        length=cut.length,
        width=cut.width,
        line=cut.at,
        kerf=cut.kerf,
        first=result(cut.first, name.first),
        second=result(cut.second, name.second),
    )


def _instructions(store: Store) -> tuple[tuple[Phrase, Phrase], ...]:
    """Give the three things an operator must know, head and line below."""
    if not store.rough:
        how: tuple[Phrase, Phrase] = (("To the mark.",), ("These edges stay.",))
    elif store.accuracy:
        how = (("Within ", store.accuracy, " is near enough."), ("I trim at home.",))
    else:
        how = (("Near the mark is enough.",), ("I trim at home.",))
    return (
        (("Measure from the heavy bar.",), ("It marks the edge to start from.",)),
        how,
        (("Pencil the letter",), ("on each piece.",)),
    )


def _stop(
    cuts: Sequence[StoreCut], pieces: Sequence[FloorPiece], *, rough: bool
) -> tuple[str, ...]:
    """Give the lines at the foot: where to stop, and that the pieces are meant to be so."""
    letters = [piece.letter for piece in pieces]
    one = len(letters) == 1
    many = f"{letters[0]} to {letters[-1]}" if len(letters) > MOST_NAMED else listed(letters)
    lines = [f"Stop after cut {cuts[-1].step}."]
    if rough:
        lines.append(
            f"{many} {'leaves' if one else 'leave'} the store whole. "
            f"{'It is' if one else 'They are'} oversize on purpose: "
            f"do not cut {'it' if one else 'them'} to size."
        )
    else:
        lines.append(
            f"{many} {'leaves' if one else 'leave'} the store whole: "
            f"do not cut {'it' if one else 'them'} any further."
        )
    again = [
        result.letters
        for cut in cuts
        for result in (cut.first, cut.second)
        if result is not None and result.cut_again and len(result.letters) > 1
    ]
    if again:
        lines.append(f"{again[0]} is one piece until it is cut.")
    return tuple(lines)


def fee_words(sheet: StoreSheet) -> str:
    """Give the free and paid cuts of one piece without the money: "3 free, 1 to pay"."""
    if not sheet.fee_each_cents:
        return f"{counted(sheet.free + sheet.paid, 'cut')}, nothing to pay"
    if not sheet.paid:
        return f"{sheet.free} free, nothing to pay"
    return f"{sheet.free} free, {sheet.paid} to pay" if sheet.free else f"{sheet.paid} to pay"
