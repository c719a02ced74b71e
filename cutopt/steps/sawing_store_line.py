"""One piece parted by parallel store cuts: groups of children, and maybe the leftover."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from heapq import heappop, heappush
from typing import NamedTuple, Protocol

from cutopt.model.job import Kind
from cutopt.model.layout import Direction, Layout, Split
from cutopt.steps.sawing import Bench
from cutopt.steps.sawing_groups import count_ways, kinds, ways_to_take
from cutopt.steps.sawing_leftovers import Leftovers
from cutopt.steps.sawing_pieces import Edges, Size
from cutopt.steps.sawing_store_saw import Parted, Parting, StoreSaw


class Piece(NamedTuple):
    """What lies on the store's saw: what it holds, its size, what must come off its edges."""

    layout: Layout
    size: Size
    edges: Edges


@dataclass(frozen=True, slots=True)
class Search:
    """How widely to look for ways to part a piece of stock.

    Attributes:
        most_cuts: most cuts tried on it.
        thorough: every run of neighbours is tried as a piece of its own; else just those
            that the car only just takes.
        regroup: children are taken in other orders, and cuts go through all of them.
        choices: of children among which every choice is tried; where there are more, neighbours
            only, as they lie and in the order of their sizes.
        needs_only: nothing is cut that can go home and be sawn there as it is.
        bound: ways that leave more amiss (see ``Parted.need``) are not wanted; None for any.
    """

    most_cuts: int
    thorough: bool = True
    regroup: bool = False
    choices: int = 0
    needs_only: bool = False
    bound: tuple[int, int] | None = None

    def rejects(self, need: tuple[int, ...]) -> bool:
        """Say whether that is more amiss than is wanted; of a whole or of some of its pieces."""
        return self.bound is not None and need > self.bound


class Parter(Protocol):
    """Who parts the pieces that a line of cuts leaves.

    Attributes:
        tried: pieces of a line tried in other orders; a measure of the work done.
    """

    saw: StoreSaw
    bench: Bench
    leftovers: Leftovers
    search: Search
    tried: int

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
    amiss: tuple[int, ...] = (0,) * 7
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
    """Parallel cuts of one direction on one piece.

    Between the layout's own children; or, where ``divide_strip`` is given, to take a strip off
    the whole, and that says whether the store may go on to divide what is left. ``apart``: the
    children do not stay together as one piece. ``most``: cuts that are left to make.
    """

    def __init__(
        self,
        counter: Parter,
        piece: Piece,
        direction: Direction,
        strips: tuple[Direction, ...],
        most: int,
        *,
        divide_strip: bool | None = None,
        apart: bool = False,
    ) -> None:
        self.counter = counter
        self.saw = counter.saw
        self.layout, self.size, self.edges = piece
        self.direction = direction
        self.total = self.size.across(direction)
        self.across = tuple(way for way in strips if way is not direction)
        self.most = most
        self.divide_strip = divide_strip
        self.apart = apart
        self.children: tuple[Layout, ...] = (self.layout,)
        if divide_strip is None and isinstance(self.layout, Split):
            self.children = self.layout.children
        self.count = len(self.children)
        self.short = False
        self.order = list(range(self.count))
        self.kinds: list[int] = []
        if counter.search.regroup and self.count > 1:
            self.kinds = kinds(self.children)
            if count_ways(self.kinds) > counter.search.choices:
                self.kinds = []

    def ways(self) -> list[Parted]:
        """Give the ways with every cut on a mark of the tape; off it where there is no room.

        Edges that are not cut again at home are sawn to size, whatever the mark.
        """
        found = self._on_or_off_mark()
        if self.counter.search.regroup and not self.kinds and self.count > 1:
            # Too many children to try every choice: neighbours in the order of their sizes.
            self.order.sort(key=lambda i: -self._measure([i]))
            found += self._on_or_off_mark()
        return found

    def _on_or_off_mark(self) -> list[Parted]:
        if not self.saw.store.rough:
            return self._ways(1)
        found = self._ways(self.saw.mark)
        return found + self._ways(1) if self.short else found

    def _ways(self, mark: int) -> list[Parted]:
        self.short = False
        found: list[Parted] = []
        # runs[taken]: those children cut off, a bit each, by (cuts in this line, in all, longer).
        runs: dict[int, dict[tuple[int, int, bool], _Run]] = {0: {(0, 0, False): _Run()}}
        everything = 2**self.count - 1
        waiting = [0]
        while waiting:
            taken = heappop(waiting)
            if taken == everything:
                continue
            left = [i for at, i in enumerate(self.order) if not taken >> at & 1]
            for here, run in [(place[0], runs[taken][place]) for place in sorted(runs[taken])]:
                if here:
                    found += self._last(run, left)
                for group in self._next(left) if run.cuts < self.most else ():
                    after = taken | sum(1 << self.order.index(i) for i in group)
                    for step in self._cut_off(run, group, mark):
                        if self.counter.search.rejects(step.amiss[:2]):
                            continue
                        place = (here + 1, step.cuts, step.longer)
                        if after not in runs:
                            runs[after] = {}
                            heappush(waiting, after)
                        known = runs[after].get(place)
                        if step.cuts <= self.most and (known is None or step.key() < known.key()):
                            runs[after][place] = step
        for run in runs.get(everything, {}).values():
            found += self._leftover(run)
        return found

    def _next(self, left: Sequence[int]) -> Iterator[Sequence[int]]:
        """Yield what to try as the next piece of those children that are left."""
        if self.kinds:
            for group in ways_to_take(self.kinds, left):
                if not (self.apart and len(group) == self.count):
                    yield group
            return
        for last in self._ends(left):
            yield left[: last + 1]

    def _ends(self, left: Sequence[int]) -> Sequence[int]:
        """Give how many of the neighbours after the first to try as one piece with it."""
        if self.counter.search.thorough:
            return range(len(left))
        carry, ends = self.saw.job.carry, {0}
        if carry is not None:
            limits = [limit for limit in (carry.length, carry.width, carry.boards) if limit]
            at_start = len(left) == self.count
            for j in range(1, len(left)):
                measure = self._least(left[: j + 1], at_start=at_start)
                limits, passed = (
                    [limit for limit in limits if measure <= limit],
                    [limit for limit in limits if measure > limit],
                )
                if passed:
                    ends.add(j - 1)
        return sorted(ends)

    def _measure(self, group: Sequence[int]) -> int:
        return self.counter.bench.least(self._group(group)[0]).across(self.direction)

    def _least(self, group: Sequence[int], *, at_start: bool) -> int:
        """Give the least measure of a piece with these children."""
        start = self.edges.ends(self.direction)[0] if at_start else self.saw.clean_up
        return start + self._measure(group) + self.saw.clean_up

    def _group(self, group: Sequence[int]) -> tuple[Layout, bool, tuple[Direction, ...]]:
        """Give children as one, whether they may be divided, and where strips may come off."""
        if self.divide_strip is not None or not isinstance(self.layout, Split):
            return self.layout, bool(self.divide_strip), self.across
        if len(group) == 1:
            return self.children[group[0]], True, (self.direction.other,)
        return self.counter.bench.groups.of(self.layout, group), False, self.across

    def _cut_off(self, run: _Run, group: Sequence[int], mark: int) -> list[_Run]:
        """Give the runs with these children cut off next."""
        saw, counter = self.saw, self.counter
        counter.tried += counter.search.regroup
        layout, divide, strips = self._group(group)
        at_start = not run.pieces
        start = self.edges.ends(self.direction)[0] if at_start else saw.clean_up
        end = saw.clean_up
        least = -(-self._least(group, at_start=at_start) // mark) * mark
        runs: list[_Run] = []
        for measure in (least, *self._longer(run, least, mark)):
            if run.used + measure + saw.store.kerf >= self.total:
                self.short = True
                continue
            size = self.size.cut_to(self.direction, measure)
            if not saw.allows(size):
                continue
            piece = Piece(layout, size, self.edges.with_ends(self.direction, start, end))
            left = self.most - run.cuts - 1
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

    def _last(self, run: _Run, rest: Sequence[int]) -> list[Parted]:
        """Give the ways that leave the rest of the children, leftover and all, as one piece."""
        saw, counter = self.saw, self.counter
        layout, divide, strips = self._group(rest)
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
        left = self.most - run.cuts
        piece = Piece(layout, size, edges)
        return [
            saw.joined(self.direction, self.size, (*run.pieces, (measure, way)))
            for way in counter.ways(piece, divide=divide, strips=strips, most=left).values()
            if run.cuts + way.cuts <= self.most
            and not self.counter.search.rejects(run.plus(measure, way, 0, longer=False).amiss[:2])
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
            for way in counter.leftovers.parted(size, self.most - run.cuts).values()
        ]
