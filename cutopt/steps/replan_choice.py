"""Which pieces are laid out again: as few as do at least money; the rest stay as planned.

None at first, then one, then two and so on, those with most room to spare first. Nothing
costs less than no money, so what needs none is proven; else the least is sought with all
pieces laid out together, and then whether fewer do for it.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import combinations, islice

from cutopt.errors import CannotPlanError
from cutopt.model.cost import cost_of, measure_of
from cutopt.model.job import Job, Material, Part, Stock
from cutopt.model.layout import MaterialLayout
from cutopt.model.plan import Node, PartPiece, Plan, StockPiece, walk
from cutopt.steps.floor import Copy, Floor

TRIES_BEFORE_ALL = 8
"""Single pieces laid out again before all are, which takes longer; our own choice."""

MOST_TRIES = 40
"""Choices that are laid out for one material; our own choice."""

MOST_LOOKED_AT = 20_000
"""Choices looked at, most of which have too little room to be laid out; our own choice."""

Lay = Callable[[Job, Material], MaterialLayout]
"""Lays one material of a job out; raises CannotPlanError."""


@dataclass(frozen=True, slots=True)
class Chosen:
    """How a material goes on: a job for what is laid out again, the rest as it is.

    Attributes:
        job: None where nothing is laid out again.
        kept: pieces that stay as planned.
        copies: what each copy in ``job`` stands for, by part.
        lower_bound: no way to go on costs less.
        why: where the bound comes from, or "".
        fewest: it is proved that fewer pieces laid out again would not do for this money.
    """

    job: Job | None
    kept: tuple[StockPiece, ...]
    copies: Mapping[str, tuple[int, ...]]
    lower_bound: int
    why: str
    fewest: bool = True


@dataclass(frozen=True, slots=True)
class _Tried:
    """A choice laid out: its cost with all that stays, and the least any such plan costs."""

    chosen: Chosen
    opened: int
    cost: int
    least: int


def choose(plan: Plan, floor: Floor, lay: Lay, material: Material) -> Chosen:
    """Give the way to go on with a material at least money, fewest pieces laid out again.

    Args:
        plan: the plan before.
        floor: what lies there now.
        lay: lays a material out.
        material: of the floor.

    Raises:
        CannotPlanError: a missing part fits nothing that is there or can be bought.
    """
    return _Choosing(plan, floor, lay, material).choose()


class _Choosing:
    """One material: what is missing of it, what lies there, and what was tried."""

    def __init__(self, plan: Plan, floor: Floor, lay: Lay, material: Material) -> None:
        self.job = plan.job
        self.lay = lay
        self.material = material
        self.parts = {part.id: part for part in plan.job.parts}
        self.lost = [(one.part, one.copy) for one in floor.missing if one.material == material]
        self.unbought = [p for p in floor.unbought if p.stock.material == material]
        kept = [piece for piece in floor.kept if piece.stock.material == material]
        self.stay = tuple(sorted((*kept, *self.unbought), key=lambda p: (-self._room(p), p.id)))
        self.free = [row for row in floor.free if row.material == material]
        self.rows = [row for row in buyable(plan, floor) if row.material == material]
        self.measure = measure_of(plan.job, material)
        self.tried: dict[tuple[StockPiece, ...], _Tried | None] = {}

    def choose(self) -> Chosen:
        if not self.lost and not self.unbought:
            return Chosen(None, self.stay, {}, 0, "")
        if not self.unbought:
            for opened in self._ways(most=1, without_money=True):
                found = self._try(opened)
                if found is not None and found.cost == 0:
                    return replace(self._named(found), lower_bound=0, why="nothing is bought")
                if len(self.tried) > TRIES_BEFORE_ALL:
                    break
        whole = self._lay_out(self.stay)
        for opened in self._ways(most=len(self.stay) - 1, without_money=whole.cost == 0):
            found = self._try(opened)
            if found is not None and found.cost <= whole.cost:
                break
            if len(self.tried) > MOST_TRIES:
                break
        ways = [whole, *(found for found in self.tried.values() if found is not None)]
        best = min(ways, key=lambda found: (found.cost, found.opened))
        bound = min(whole.least, best.cost)
        why = whole.chosen.why if bound == whole.least else ""
        if best.cost == 0:
            why = "nothing is bought"
        return replace(self._named(best), lower_bound=bound, why=why)

    def _named(self, best: _Tried) -> Chosen:
        """Give a choice, and whether all smaller ones are proved to cost more."""
        fewer = (
            opened
            for size in range(best.opened)
            for opened in combinations(self.stay, size)
            if best.cost or self._has_room(opened)
        )
        looked_at = list(islice(fewer, MOST_TRIES + 1))
        fewest = len(looked_at) <= MOST_TRIES and all(
            (found := self.tried.get(opened)) is not None and found.least > best.cost
            for opened in looked_at
        )
        return replace(best.chosen, fewest=fewest)

    def _ways(self, most: int, *, without_money: bool) -> Iterator[tuple[StockPiece, ...]]:
        """Yield choices of pieces to lay out again, small ones first."""
        sizes = range(most + 1)
        ways = (opened for size in sizes for opened in combinations(self.stay, size))
        for opened in islice(ways, MOST_LOOKED_AT):
            if not without_money or self._has_room(opened):
                yield opened

    def _try(self, opened: tuple[StockPiece, ...]) -> _Tried | None:
        if opened not in self.tried:
            try:
                self.tried[opened] = self._lay_out(opened)
            except CannotPlanError:
                self.tried[opened] = None
        return self.tried[opened]

    def _lay_out(self, opened: Sequence[StockPiece]) -> _Tried:
        left = tuple(piece for piece in self.stay if piece not in opened)
        stays = sum(cost_of(piece.stock, self.measure) for piece in left)
        copies = [*self.lost, *(copy for piece in opened for copy in copies_of(piece.layout))]
        if not copies:
            return _Tried(Chosen(None, left, {}, 0, ""), 0, stays, stays)
        own = [piece.stock for piece in opened if piece.stock.owned]
        job, counted = self._job(copies, [*self.free, *own, *self.rows])
        layout = self.lay(job, self.material)
        chosen = Chosen(job, left, counted, layout.lower_bound, layout.why)
        return _Tried(chosen, len(opened), layout.cost + stays, layout.lower_bound + stays)

    def _has_room(self, opened: Sequence[StockPiece]) -> bool:
        """Say whether what is missing has less area than what is free with these pieces open."""
        room = sum(row.length * row.width * (row.available or 1) for row in self.free)
        blanks = (self.parts[part] for part, _ in self.lost)
        missing = sum(part.blank_length * part.blank_width for part in blanks)
        return missing <= room + sum(self._room(piece) for piece in opened)

    def _room(self, piece: StockPiece) -> int:
        """Give the area of a piece that no part takes; what is not bought yet has none."""
        if not piece.stock.owned:
            return 0
        parts = [placed.node for placed in walk(piece.layout) if isinstance(placed.node, PartPiece)]
        return piece.stock.length * piece.stock.width - sum(p.length * p.width for p in parts)

    def _job(
        self, copies: Iterable[Copy], rows: Sequence[Stock]
    ) -> tuple[Job, dict[str, tuple[int, ...]]]:
        """Give a job that makes these copies from these rows, and which copies it makes."""
        counted: dict[str, tuple[int, ...]] = {}
        for part, copy in sorted(copies):
            counted[part] = (*counted.get(part, ()), copy)
        parts = tuple(
            replace(
                self.parts[part],
                qty=len(numbers),
                material=self.material,
                section_named=True,
                match=self.parts[part].match if self._run_is_whole(part, counted) else "",
                numbers=(),
                of=0,
            )
            for part, numbers in counted.items()
        )
        stock = tuple(dict.fromkeys(rows))
        job = replace(self.job, parts=parts, stock=stock, extras=(), confidence=None)
        return job, counted

    def _run_is_whole(self, part: str, counted: Mapping[str, Sequence[int]]) -> bool:
        """Say whether all parts that run through with this one are laid out together."""
        return all(
            len(counted.get(other.id, ())) == other.qty
            for other in same_run(self.job, self.parts[part])
        )


def same_run(job: Job, part: Part) -> tuple[Part, ...]:
    """Give the parts that run through with a part, itself among them."""
    run = (part.match, part.material)
    return tuple(other for other in job.parts if (other.match, other.material) == run)


def buyable(plan: Plan, floor: Floor) -> tuple[Stock, ...]:
    """Give the rows that can still be bought, less what has been bought of them."""
    open_ids = {piece.id for piece in floor.unbought}
    bought = Counter(piece.stock.name for piece in plan.pieces if piece.id not in open_ids)
    rows = []
    for row in plan.job.stock:
        there = row.available
        if there is not None:
            there -= bought[row.name]
        if not row.owned and (there is None or there > 0):
            rows.append(replace(row, available=there))
    return tuple(rows)


def copies_of(node: Node) -> list[Copy]:
    """Give the copies that come from a piece, in order."""
    return sorted(
        (placed.node.part, placed.node.copy)
        for placed in walk(node)
        if isinstance(placed.node, PartPiece)
    )
