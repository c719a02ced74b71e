"""What lies on the floor: which parts are made, which pieces are still to be cut, what is free.

A cut that is made says that every cut before it is made that its piece came from. What is
bought has been through the store's saw, so the store's cuts of it are made. A part is there
once all cuts around it are made.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field, replace

from cutopt.model.job import Job, Kind, Material, Stock
from cutopt.model.layout import Direction
from cutopt.model.plan import Cut, Maker, Node, Offcut, PartPiece, Plan, StockPiece, Waste, walk
from cutopt.model.progress import (
    BadSpan,
    CutsMade,
    Event,
    NotBought,
    PartMade,
    PartSpoiled,
    PieceSpoiled,
)
from cutopt.steps.letters import name_pieces
from cutopt.units import Ticks

Copy = tuple[str, int]
"""A part's id and the number of the copy in the plan."""


@dataclass(frozen=True, slots=True)
class Missing:
    """A copy to be planned again, and the material it was planned from."""

    part: str
    copy: int
    material: Material


@dataclass(frozen=True, slots=True)
class Floor:
    """The state of a job between two cuts.

    Attributes:
        made: copies that are cut and good.
        whole: those of them that are whole boards or sheets nothing was said of: they count
            as made because they count as bought.
        spoiled: copies that had been cut and are no good.
        missing: copies that no piece holds any more.
        kept: pieces that still hold parts, each a piece of stock of its own, cut as planned.
        free: pieces that hold none: offcuts, what is left of spoiled parts.
        unbought: pieces of the plan still to be bought.
    """

    made: tuple[Copy, ...]
    whole: tuple[Copy, ...]
    spoiled: tuple[Copy, ...]
    missing: tuple[Missing, ...]
    kept: tuple[StockPiece, ...]
    free: tuple[Stock, ...]
    unbought: tuple[StockPiece, ...]


def lie_on_floor(plan: Plan, events: Iterable[Event]) -> Floor:
    """Give what there is after these events."""
    gathering = _Gathering(plan, tuple(events))
    for piece in plan.pieces:
        gathering.take(piece)
    used: dict[str, int] = {}
    for piece in plan.pieces:
        used[piece.stock.name] = used.get(piece.stock.name, 0) + 1
    rows = [row for row in plan.job.stock if row.owned]
    names = {row.name for row in gathering.free} | {piece.id for piece in gathering.kept}
    for row in rows:
        there = (1 if row.available is None else row.available) - used.get(row.name, 0)
        if there > 0 and row.name not in names:
            gathering.free.append(replace(row, available=there))
    return Floor(
        tuple(gathering.made),
        tuple(gathering.whole),
        tuple(gathering.spoiled),
        tuple(gathering.missing),
        tuple(gathering.kept),
        tuple(gathering.free),
        tuple(gathering.unbought),
    )


@dataclass(slots=True)
class _Gathering:
    """Goes through the pieces of a plan and sorts what is left of each."""

    plan: Plan
    events: tuple[Event, ...]
    made: list[Copy] = field(default_factory=list)
    whole: list[Copy] = field(default_factory=list)
    spoiled: list[Copy] = field(default_factory=list)
    missing: list[Missing] = field(default_factory=list)
    kept: list[StockPiece] = field(default_factory=list)
    free: list[Stock] = field(default_factory=list)
    unbought: list[StockPiece] = field(default_factory=list)

    def take(self, piece: StockPiece) -> None:
        """Sort what is left of one piece of the plan."""
        unbought = any(isinstance(e, NotBought) and e.piece == piece.id for e in self.events)
        asked = self._steps_said(piece)
        gone = {
            event.step: event
            for event in self.events
            if isinstance(event, PieceSpoiled) and event.piece == piece.id
        }
        spans = [(e.start, e.end) for e in self.events if isinstance(e, BadSpan)
                 and e.piece == piece.id]  # fmt: skip
        # What something is said of is there: it has been bought.
        if unbought and not (asked or gone or spans or self._is_told(piece)):
            self.unbought.append(piece)
            return
        steps = {cut.step for cut in piece.cuts() if cut.by is Maker.STORE} | asked
        made = _with_cuts_before(piece.layout, steps)
        stock = replace(piece.stock, bad=_joined((*piece.stock.bad, *spans)))
        piece = replace(piece, stock=stock)
        for node, x, y in _lying(piece.layout, made, gone):
            self._sort(piece, node, x, y, gone, spans)

    def _steps_said(self, piece: StockPiece) -> set[int]:
        """Give the cuts that what was said of a piece says are made."""
        steps: set[int] = set()
        copies: set[Copy] = set()
        before: set[int] = set()
        for event in self.events:
            if isinstance(event, CutsMade) and event.piece == piece.id:
                steps |= set(event.steps)
            elif isinstance(event, (PartMade, PartSpoiled)):
                copies.add((event.part, event.copy))
            elif isinstance(event, PieceSpoiled) and event.piece == piece.id and event.step:
                before.add(event.step)
        for path in _paths(piece.layout):
            end, above = path[-1], path[:-1]
            is_said = isinstance(end, PartPiece) and (end.part, end.copy) in copies
            is_gone = isinstance(end, Cut) and end.step in before
            if is_said or is_gone:
                steps |= {cut.step for cut in above if isinstance(cut, Cut)}
        return steps

    def _is_told(self, piece: StockPiece) -> bool:
        """Say whether a part of this piece is recorded as made or spoiled."""
        told = {(e.part, e.copy) for e in self.events if isinstance(e, (PartMade, PartSpoiled))}
        parts = (placed.node for placed in walk(piece.layout))
        return any(isinstance(one, PartPiece) and (one.part, one.copy) in told for one in parts)

    def _is_said(self, node: PartPiece) -> bool:
        """Say whether a part is recorded as made."""
        return PartMade(node.part, node.copy) in self.events

    def _sort(
        self,
        piece: StockPiece,
        node: Node,
        x: int,
        y: int,
        gone: dict[int, PieceSpoiled],
        spans: list[tuple[Ticks, Ticks]],
    ) -> None:
        row = _row(self.plan.job, piece, node, x, y)
        step = (
            0 if node is piece.layout and 0 in gone else node.step if isinstance(node, Cut) else -1
        )
        if step in gone:
            self._lose(piece, node, row, gone[step].left)
        elif isinstance(node, PartPiece):
            said = [e for e in self.events if isinstance(e, PartSpoiled)
                    and (e.part, e.copy) == (node.part, node.copy)]  # fmt: skip
            if said:
                self.spoiled.append((node.part, node.copy))
                self._lose(piece, node, row, said[-1].left)
            else:
                self.made.append((node.part, node.copy))
                if node is piece.layout and not self._is_said(node):
                    self.whole.append((node.part, node.copy))
        elif isinstance(node, Cut) and _holds_part(node):
            hit = any(x < end and start < x + node.length for start, end in spans)
            if hit:
                self._lose(piece, node, row, ())
                self.free.append(row)
            else:
                self.kept.append(StockPiece(row.name, row, _stepped(node)))
        elif not isinstance(node, Waste) and self.plan.job.shop.keeps(
            node.length, node.width, piece.stock
        ):
            self.free.append(row)

    def _lose(
        self, piece: StockPiece, node: Node, row: Stock, left: tuple[tuple[Ticks, Ticks], ...]
    ) -> None:
        """Note what was to come from a piece as missing, and what is left of it as free."""
        for placed in walk(node):
            lost = placed.node
            if isinstance(lost, PartPiece):
                self.missing.append(Missing(lost.part, lost.copy, piece.stock.material))
        for number, (length, width) in enumerate(left, start=1):
            name = f"rest {number} of {row.name}" if len(left) > 1 else f"rest of {row.name}"
            nothing = Ticks(0)
            self.free.append(
                replace(
                    row,
                    name=name,
                    length=length,
                    width=width,
                    trim=nothing,
                    edges=(nothing, nothing, nothing, nothing),
                    bad=(),
                )
            )


def _holds_part(node: Node) -> bool:
    return any(isinstance(placed.node, PartPiece) for placed in walk(node))


def _paths(node: Node, above: tuple[Node, ...] = ()) -> Iterator[tuple[Node, ...]]:
    """Yield every node with the cuts above it, from the whole piece on."""
    path = (*above, node)
    yield path
    if isinstance(node, Cut):
        for side in (node.first, node.second):
            if side is not None:
                yield from _paths(side, path)


def _with_cuts_before(root: Node, steps: set[int]) -> set[int]:
    """Give steps and those of all cuts that set their pieces free."""
    made: set[int] = set()
    for path in _paths(root):
        end = path[-1]
        if isinstance(end, Cut) and end.step in steps:
            made |= {cut.step for cut in path if isinstance(cut, Cut)}
    return made


def _lying(
    root: Node, made: set[int], gone: dict[int, PieceSpoiled]
) -> Iterator[tuple[Node, int, int]]:
    """Yield what the cuts made leave, with its place on the stock piece."""
    waiting: list[tuple[Node, int, int]] = [(root, 0, 0)]
    while waiting:
        node, x, y = waiting.pop()
        spoiled = isinstance(node, Cut) and (node.step in gone or (node is root and 0 in gone))
        if not isinstance(node, Cut) or node.step not in made or spoiled:
            yield node, x, y
            continue
        past = node.at + node.kerf
        right, up = (past, 0) if node.direction is Direction.CROSSCUT else (0, past)
        if node.second is not None:
            waiting.append((node.second, x + right, y + up))
        if node.first is not None:
            waiting.append((node.first, x, y))


def _row(job: Job, piece: StockPiece, node: Node, x: int, y: int) -> Stock:
    """Give a piece on the floor as a row of the stock list."""
    stock = piece.stock
    name = _name(piece, node)
    if any(row.name == name and row.name != stock.name for row in job.stock):
        name = f"{name} on the floor"
    owned = replace(stock, name=name, price_cents=0, available=1, owned=True)
    if (node.length, node.width) == (stock.length, stock.width):
        return owned
    note = stock.note if stock.edges is not None else f"left of {stock.name}"
    spans = (
        (max(0, start - x), min(node.length, end - x))
        for start, end in stock.bad
        if start < x + node.length and x < end
    )
    return replace(
        owned,
        length=node.length,
        width=node.width,
        note=note,
        trim=Ticks(0),
        edges=_edges(job, piece, node, x, y),
        bad=tuple((Ticks(start), Ticks(end)) for start, end in spans),
    )


def _name(piece: StockPiece, node: Node) -> str:
    if isinstance(node, Offcut):
        return node.id
    if node is piece.layout:
        return piece.id
    if isinstance(node, PartPiece):
        return node.label or f"{piece.id} {node.part}"
    names = name_pieces(piece)
    if isinstance(node, Cut):
        return names.full(names.cuts[node.step].before)
    return piece.id


def _edges(
    job: Job, piece: StockPiece, node: Node, x: int, y: int
) -> tuple[Ticks, Ticks, Ticks, Ticks]:
    """Give what must still come off each edge: raw ones of the stock, rough ones of the store."""
    stock = piece.stock
    gaps = (x, stock.length - x - node.length, y, stock.width - y - node.width)
    least = [max(0, raw - gap) for raw, gap in zip(stock.clean_up, gaps, strict=True)]
    if job.store is not None and job.store.rough:
        for floor in name_pieces(piece).floor:
            whole, sides = floor.node, floor.store_edges
            if not (floor.x <= x < floor.x + whole.length and floor.y <= y < floor.y + whole.width):
                continue
            to_rim = (
                x - floor.x,
                floor.x + whole.length - x - node.length,
                y - floor.y,
                floor.y + whole.width - y - node.width,
            )
            rough = (sides.left, sides.right, sides.bottom, sides.top)
            least = [
                max(off, job.store.allowance - gap) if is_rough else off
                for off, gap, is_rough in zip(least, to_rim, rough, strict=True)
            ]
    across = (0, 0) if stock.kind is Kind.BOARD else (least[2], least[3])
    return Ticks(least[0]), Ticks(least[1]), Ticks(across[0]), Ticks(across[1])


def _stepped(node: Node) -> Node:
    """Give a tree with its steps numbered from 1, in the order they had."""
    steps = sorted(p.node.step for p in walk(node) if isinstance(p.node, Cut))
    number = {step: place for place, step in enumerate(steps, start=1)}

    def counted(part: Node | None) -> Node | None:
        if not isinstance(part, Cut):
            return part
        return replace(
            part, step=number[part.step], first=counted(part.first), second=counted(part.second)
        )

    return counted(node) or node


def _joined(spans: Iterable[tuple[Ticks, Ticks]]) -> tuple[tuple[Ticks, Ticks], ...]:
    """Give spans in order, those that touch as one."""
    joined: list[tuple[Ticks, Ticks]] = []
    for start, end in sorted(spans):
        if joined and start <= joined[-1][1]:
            joined[-1] = (joined[-1][0], max(end, joined[-1][1]))
        else:
            joined.append((start, end))
    return tuple(joined)
