"""One piece parted by parallel store cuts: groups of children, and maybe the leftover."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import NamedTuple, Protocol

from cutopt.model.job import Kind
from cutopt.model.layout import Direction, Layout, Split
from cutopt.steps.sawing import Bench
from cutopt.steps.sawing_groups import Groups
from cutopt.steps.sawing_leftovers import Leftovers
from cutopt.steps.sawing_pieces import Edges, Size
from cutopt.steps.sawing_store_saw import Parted, Parting, StoreSaw


class Piece(NamedTuple):
    """What lies on the store's saw: what it holds, its size, what must come off its edges."""

    layout: Layout
    size: Size
    edges: Edges


class Parter(Protocol):
    """Who parts the pieces that a line of cuts leaves.

    Attributes:
        most_cuts: most cuts tried on one piece of stock.
        thorough: every run of neighbours is tried as a piece of its own; else just those
            that the car only just takes.
    """

    saw: StoreSaw
    bench: Bench
    leftovers: Leftovers
    groups: Groups
    most_cuts: int
    thorough: bool

    def ways(
        self, piece: Piece, *, divide: bool, strips: tuple[Direction, ...], most: int
    ) -> Parting:
        """Give the ways to part a piece."""


@dataclass(frozen=True, slots=True)
class _Run:
    """The first pieces of a line of store cuts: (measure, piece) each, and what they use.

    Attributes:
        amiss: what is not as it should be with them, summed, worst first.
        largest: area of their largest offcut.
        longer: a piece takes slack with it, so that what is behind it fits the car.
    """

    pieces: tuple[tuple[int, Parted], ...] = ()
    used: int = 0
    cuts: int = 0
    amiss: tuple[int, ...] = (0,) * 6
    largest: int = 0
    longer: bool = False

    def key(self) -> tuple[int, ...]:
        """Give what runs are compared by: the lesser is the better."""
        return *self.amiss, -self.largest, self.used

    def plus(self, measure: int, piece: Parted, kerf: int, *, longer: bool) -> _Run:
        """Give the run with one piece more."""
        amiss = (*piece.need, *piece.ease)
        return _Run(
            (*self.pieces, (measure, piece)),
            self.used + measure + kerf,
            self.cuts + 1 + piece.cuts,
            tuple(map(int.__add__, self.amiss, amiss)),
            max(self.largest, piece.sawn.tally.largest),
            self.longer or longer,
        )


class StoreLine:
    """Parallel cuts of one direction on one piece."""

    def __init__(
        self,
        counter: Parter,
        piece: Piece,
        direction: Direction,
        strips: tuple[Direction, ...],
        divide_strip: bool | None,
    ) -> None:
        self.counter = counter
        self.saw = counter.saw
        self.layout, self.size, self.edges = piece
        self.direction = direction
        self.total = self.size.across(direction)
        self.across = tuple(way for way in strips if way is not direction)
        # None: the cuts go between the layout's children. Else a strip comes off the whole,
        # and this says whether the store may go on to divide what is left.
        self.divide_strip = divide_strip
        self.children: tuple[Layout, ...] = (self.layout,)
        if divide_strip is None and isinstance(self.layout, Split):
            self.children = self.layout.children
        self.count = len(self.children)
        self.short = False

    def ways(self) -> list[Parted]:
        """Give the ways with every cut on a mark of the tape; off it where there is no room.

        Edges that are not cut again at home are sawn to size, whatever the mark.
        """
        if not self.saw.store.rough:
            return self._ways(1)
        found = self._ways(self.saw.mark)
        return found + self._ways(1) if self.short else found

    def _ways(self, mark: int) -> list[Parted]:
        self.short = False
        most = self.counter.most_cuts
        found: list[Parted] = []
        # runs[i]: groups up to child i cut off, by (cuts in this line, in all, longer).
        runs: list[dict[tuple[int, int, bool], _Run]] = [{} for _ in range(self.count + 1)]
        runs[0][0, 0, False] = _Run()
        for i in range(self.count):
            for here, run in [(place[0], runs[i][place]) for place in sorted(runs[i])]:
                if here:
                    found += self._last(run, i)
                for j in self._ends(i):
                    for step in self._cut_off(run, i, j, mark):
                        place = (here + 1, step.cuts, step.longer)
                        known = runs[j + 1].get(place)
                        if step.cuts <= most and (known is None or step.key() < known.key()):
                            runs[j + 1][place] = step
        for run in runs[self.count].values():
            found += self._leftover(run)
        return found

    def _ends(self, i: int) -> Sequence[int]:
        """Give the children j to try as the last of a piece that begins with child i."""
        if self.counter.thorough:
            return range(i, self.count)
        carry, ends = self.saw.job.carry, {i}
        if carry is not None:
            limits = [limit for limit in (carry.length, carry.width, carry.boards) if limit]
            for j in range(i + 1, self.count):
                measure = self._least(i, j)
                limits, passed = (
                    [limit for limit in limits if measure <= limit],
                    [limit for limit in limits if measure > limit],
                )
                if passed:
                    ends.add(j - 1)
        return sorted(ends)

    def _least(self, i: int, j: int) -> int:
        """Give the least measure of a piece with children i to j."""
        layout = self._group(i, j)[0]
        start = self.edges.ends(self.direction)[0] if i == 0 else self.saw.clean_up
        least = self.counter.bench.least(layout).across(self.direction)
        return start + least + self.saw.clean_up

    def _group(self, i: int, j: int) -> tuple[Layout, bool, tuple[Direction, ...]]:
        """Give children i to j, whether they may be divided, and where strips may come off."""
        if self.divide_strip is not None or not isinstance(self.layout, Split):
            return self.layout, bool(self.divide_strip), self.across
        if i == j:
            return self.children[i], True, (self.direction.other,)
        return self.counter.groups.of(self.layout, range(i, j + 1)), False, self.across

    def _cut_off(self, run: _Run, i: int, j: int, mark: int) -> list[_Run]:
        """Give the runs with children i to j cut off next."""
        saw, counter = self.saw, self.counter
        layout, divide, strips = self._group(i, j)
        start = self.edges.ends(self.direction)[0] if i == 0 else saw.clean_up
        end = saw.clean_up
        least = -(-self._least(i, j) // mark) * mark
        runs: list[_Run] = []
        for measure in (least, *self._longer(run, least, mark)):
            if run.used + measure + saw.store.kerf >= self.total:
                self.short = True
                continue
            size = self.size.cut_to(self.direction, measure)
            if not saw.allows(size):
                continue
            piece = Piece(layout, size, self.edges.with_ends(self.direction, start, end))
            left = counter.most_cuts - run.cuts - 1
            runs += [
                run.plus(measure, way, saw.store.kerf, longer=measure > least)
                for way in counter.ways(piece, divide=divide, strips=strips, most=left).values()
            ]
        return runs

    def _longer(self, run: _Run, least: int, mark: int) -> list[int]:
        """Give measures for the next piece that leave just what fits the car behind it."""
        carry, stock = self.saw.job.carry, self.saw.stock
        if carry is None:
            return []
        limits = (carry.length, carry.width)
        if stock.kind is Kind.BOARD and carry.boards is not None:
            limits = (carry.boards, None)
        behind = self.total - run.used - self.saw.store.kerf
        measures = {-(-(behind - limit) // mark) * mark for limit in limits if limit is not None}
        return sorted(
            measure
            for measure in measures
            if measure > least
            and carry.takes(*self.size.cut_to(self.direction, measure), stock.kind)
            and carry.takes(*self.size.cut_to(self.direction, behind - measure), stock.kind)
        )

    def _last(self, run: _Run, i: int) -> list[Parted]:
        """Give the ways that leave the rest from child i on, leftover and all, as one piece."""
        saw, counter = self.saw, self.counter
        layout, divide, strips = self._group(i, self.count - 1)
        edges = self.edges.with_ends(
            self.direction, saw.clean_up, self.edges.ends(self.direction)[1]
        )
        measure = self.total - run.used
        size = self.size.cut_to(self.direction, measure)
        if sum(edges.ends(self.direction)) + counter.bench.least(layout).across(
            self.direction
        ) > size.across(self.direction):
            self.short = True
            return []
        if not saw.allows(size):
            return []
        left = counter.most_cuts - run.cuts
        piece = Piece(layout, size, edges)
        return [
            saw.joined(self.direction, self.size, (*run.pieces, (measure, way)))
            for way in counter.ways(piece, divide=divide, strips=strips, most=left).values()
            if run.cuts + way.cuts <= counter.most_cuts
        ]

    def _leftover(self, run: _Run) -> list[Parted]:
        """Give the ways that leave nothing but a leftover behind the last cut."""
        saw, counter = self.saw, self.counter
        measure = self.total - run.used
        size = self.size.cut_to(self.direction, measure)
        trim = self.edges.ends(self.direction)[1]
        if not saw.allows(size) or measure + saw.store.kerf + saw.clean_up < trim:
            return []  # a strip off the raw edge that leaves some of what is to be trimmed
        return [
            saw.joined(self.direction, self.size, (*run.pieces, (measure, way)))
            for way in counter.leftovers.parted(size, counter.most_cuts - run.cuts).values()
        ]
