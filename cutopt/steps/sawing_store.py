"""Which cuts the store makes on one piece of stock.

The store's cuts are the first of the tree: some of the gaps between the children of the
layout, then across some of the pieces that come off, and so on; or a strip off the whole.
For each number of cuts the best choice is kept. Of those the one is taken that gets every
part into the car, leaves no cut at home that no saw can make, and costs least; cuts that
cost nothing then go to leftovers that the car would not take, and to what is hardest at home.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from contextlib import suppress
from dataclasses import dataclass, field
from functools import reduce

from cutopt.model.job import Job, Kind, Stock, Store
from cutopt.model.layout import Direction, Layout, Split
from cutopt.model.plan import STORE_SAW, Cut, Maker, Offcut, Waste
from cutopt.steps.sawing import Bench
from cutopt.steps.sawing_fees import store_fee
from cutopt.steps.sawing_pieces import Edges, MisfitError, Sawn, Size, Tally, leftover
from cutopt.steps.sawing_saws import store_may_cut
from cutopt.units import EIGHTH, MILLIMETRE, Ticks, Units

MOST_CUTS = 10
"""Store cuts tried on one piece of stock where the store sets no lower limit."""

MOST_WORK = 15_000
"""Saws asked for on one piece of stock before fewer ways to part it are tried: a tenth or two
of a second. Only sheets with dozens of small parts come near it."""

FEWER_CUTS = (1, 2, 3, 5)
"""Store cuts tried in turn, the more the longer it takes, where every way takes too long."""

MOST_CUTS_FOR_LEFTOVER = 2
"""Free store cuts spent on one leftover to get it into the car; our own choice."""


@dataclass(frozen=True, slots=True)
class Parted:
    """A piece as the store parts it and the shop saws what comes home.

    Attributes:
        too_large: pieces with parts in them that do not fit the car.
        left: leftovers worth keeping that do not fit it, and stay at the store.
        stays: waste that does so.
        off_mark: store cuts that are not on a mark of the tape (1/8 in, 1 mm).
    """

    sawn: Sawn
    cuts: int = 0
    too_large: int = 0
    left: int = 0
    stays: int = 0
    off_mark: int = 0

    @property
    def need(self) -> tuple[int, int]:
        """Give what store cuts are paid for: the lesser is the better."""
        return self.too_large, self.sawn.tally.missing

    @property
    def ease(self) -> tuple[int, ...]:
        """Give what store cuts that cost nothing are used for: the lesser is the better."""
        tally = self.sawn.tally
        return self.left, self.stays, tally.last_resort, tally.hard


Parting = dict[int, Parted]
"""The best choice for each number of store cuts; more cuts only where they serve."""


@dataclass(frozen=True, slots=True)
class _Run:
    """The first pieces of a line of store cuts: (measure, piece) each, and what they use."""

    pieces: tuple[tuple[int, Parted], ...] = ()
    used: int = 0
    cuts: int = 0
    longer: bool = False
    """A piece takes slack with it, so that what is behind it fits the car."""

    def key(self) -> tuple[int, ...]:
        parted = [piece for _, piece in self.pieces]
        return (
            sum(piece.too_large for piece in parted),
            sum(piece.sawn.tally.missing for piece in parted),
            sum(piece.left for piece in parted),
            sum(piece.stays for piece in parted),
            sum(piece.sawn.tally.last_resort for piece in parted),
            sum(piece.sawn.tally.hard for piece in parted),
            -max((piece.sawn.tally.largest for piece in parted), default=0),
            self.used,
        )


class _TooMuchError(Exception):
    """Looking at every way to part a piece takes too long."""


@dataclass(slots=True)
class Counter:
    """The store's saw at work on one piece of stock that comes home in the builder's car.

    Attributes:
        most_cuts: most cuts tried on the piece.
        thorough: every run of neighbours is tried as a piece of its own; else just those
            that the car only just takes.
    """

    job: Job
    store: Store
    bench: Bench
    most_cuts: int = 0
    thorough: bool = True
    _last_work: int = 0
    _halved: int = 0
    _parted: dict[tuple[int, Size, Edges, bool, tuple[Direction, ...], bool], Parting] = field(
        default_factory=dict
    )
    _groups: dict[tuple[int, int, int], Split] = field(default_factory=dict)
    _leftovers: dict[tuple[Size, int], Parting] = field(default_factory=dict)

    @property
    def stock(self) -> Stock:
        """The piece of stock on the saw."""
        return self.bench.stock

    @property
    def mark(self) -> int:
        """Finest mark an operator reads, ticks."""
        return EIGHTH if self.job.units is Units.INCH else MILLIMETRE

    @property
    def clean_up(self) -> int:
        """What must come off a store edge before it may be a part's edge, ticks."""
        return clean_up(self.job, self.bench.kerf)

    def part(self, layout: Layout, edges: Edges) -> Parted:
        """Give the whole piece of stock parted at least cost and trouble.

        Raises:
            MisfitError: the layout does not fit, however it is cut.
        """
        limit = self.store.most_cuts
        most = MOST_CUTS if limit is None else min(limit, MOST_CUTS)
        ways = self._part(layout, edges, most) if self.thorough else None
        if ways is None:
            self.thorough = False
            for fewer in (0, *(cuts for cuts in FEWER_CUTS if cuts < most), most):
                found = self._part(layout, edges, fewer)
                if found is None:
                    break
                ways = found
        if not ways:
            raise MisfitError
        favour = self.job.favour
        return min(
            ways.values(),
            key=lambda way: (
                # A way that costs more than another leaves less amiss (see _best), so the
                # fee needs no place here.
                *way.need,
                *way.ease,
                way.cuts,
                way.sawn.tally.key(favour),
            ),
        )

    def _part(self, layout: Layout, edges: Edges, most: int) -> Parting | None:
        """Give the ways to part the whole piece, or None where that takes too long."""
        self.most_cuts = most
        self._parted.clear()
        self._last_work = self._work + MOST_WORK
        whole = Size(self.stock.length, self.stock.width)
        try:
            return self.ways(layout, whole, edges, divide=True, strips=tuple(Direction), most=most)
        except _TooMuchError:
            return None

    @property
    def _work(self) -> int:
        return self.bench.rack.asked + self._halved

    def ways(
        self,
        layout: Layout,
        size: Size,
        edges: Edges,
        *,
        divide: bool,
        strips: tuple[Direction, ...],
        most: int,
    ) -> Parting:
        """Give the ways to part a piece.

        Args:
            layout: what the piece holds.
            size: of the piece.
            edges: what must come off its edges at home.
            divide: whether the store may cut between the layout's own children.
            strips: directions in which it may take a strip off the whole.
            most: cuts that are left to make; ways with more of them may be given as well.
        """
        if isinstance(layout, Split) and layout.ordered:
            # Marks and rough edges would come between the neighbours.
            divide = False
        key = (id(layout), size, edges, divide, strips, most > 0)
        if key not in self._parted:
            ways: list[Parted] = []
            with suppress(MisfitError):
                ways.append(self._home(self.bench.saw(layout, size, edges), size))
            if most > 0 and (not ways or any(ways[0].need) or any(ways[0].ease)):
                if self._work > self._last_work:
                    raise _TooMuchError
                for direction in Direction:
                    if self.stock.kind is Kind.BOARD and direction is Direction.RIP:
                        continue
                    if isinstance(layout, Split) and layout.direction is direction and divide:
                        line = _StoreLine(self, layout, size, edges, direction, strips, None)
                    elif direction in strips:
                        line = _StoreLine(self, layout, size, edges, direction, strips, divide)
                    else:
                        continue
                    ways += line.ways()
            self._parted[key] = self._best(ways)
        return self._parted[key]

    def _best(self, ways: Iterable[Parted]) -> Parting:
        """Give the best way for each number of cuts, leaving out cuts that serve nothing."""
        best: Parting = {}
        favour = self.job.favour
        for way in sorted(
            ways,
            key=lambda way: (
                way.cuts,
                way.need,
                way.ease,
                way.off_mark,
                way.sawn.tally.key(favour),
            ),
        ):
            if way.cuts not in best and all(
                self._gain(way, way.cuts) < self._gain(fewer, way.cuts) for fewer in best.values()
            ):
                best[way.cuts] = way
        return best

    def _gain(self, way: Parted, cuts: int) -> tuple[int, ...]:
        """Give what that many store cuts may be made for: the lesser is the better.

        What costs a fee is for need alone. Boards are crosscut for the car only, sheets also
        to spare work.
        """
        if store_fee(self.job, cuts) > 0:
            return way.need
        if self.stock.kind is Kind.BOARD:
            return *way.need, way.left
        return *way.need, *way.ease

    def _home(self, sawn: Sawn, size: Size) -> Parted:
        """Give a piece that leaves the store as it is."""
        carry = self.job.carry
        if carry is None or carry.takes(size.length, size.width, self.stock.kind):
            return Parted(sawn)
        if isinstance(sawn.node, Waste):
            return Parted(sawn, stays=1)
        if isinstance(sawn.node, Offcut):
            return Parted(sawn, left=1)
        return Parted(sawn, too_large=1)

    def allows(self, size: Size) -> bool:
        """Say whether the store leaves a piece of this size; of boards the length counts."""
        least = size.length if self.stock.kind is Kind.BOARD else min(size)
        return least > 0 and least >= self.store.smallest_piece

    def group(self, layout: Split, i: int, j: int) -> Layout:
        """Give children i to j of a layout as one layout; the same object every time."""
        if (i, j) == (0, len(layout.children) - 1):
            return layout
        key = (id(layout), i, j)
        if key not in self._groups:
            self._groups[key] = Split(layout.direction, layout.children[i : j + 1])
        return self._groups[key]

    def leftover(self, size: Size, most: int) -> Parting:
        """Give a leftover, whole or cut up so that all of it worth keeping fits the car.

        At most ``most`` cuts are made, and no more than a leftover is worth.
        """
        most = min(most, MOST_CUTS_FOR_LEFTOVER)
        key = (size, most)
        if key not in self._leftovers:
            whole = self._home(leftover(self.job.shop, self.stock, size), size)
            ways = [whole]
            if most > 0 and whole.left:
                for direction, mark in self._marks(size):
                    ways += self._halve(size, direction, mark, most)
            self._leftovers[key] = self._best(ways)
        return self._leftovers[key]

    def _marks(self, size: Size) -> Iterator[tuple[Direction, int]]:
        """Yield where to cut a leftover: at what the car just takes, and in the middle."""
        carry = self.job.carry
        if carry is None:
            return
        is_board = self.stock.kind is Kind.BOARD
        limits = (carry.boards if is_board else None, carry.length, carry.width)
        for direction in (Direction.CROSSCUT,) if is_board else tuple(Direction):
            across = size.across(direction)
            marks = {mark for mark in (*limits, across // 2) if mark is not None}
            yield from (
                (direction, mark) for mark in sorted(marks) if mark < across - self.store.kerf
            )

    def _halve(self, size: Size, direction: Direction, mark: int, most: int) -> list[Parted]:
        self._halved += 1
        rest = size.across(direction) - mark - self.store.kerf
        first, second = size.cut_to(direction, mark), size.cut_to(direction, rest)
        if not (self.allows(first) and self.allows(second)):
            return []
        return [
            self.joined(direction, size, [(mark, one), (rest, other)])
            for one in self.leftover(first, most - 1).values()
            for other in self.leftover(second, most - 1 - one.cuts).values()
            if not (one.left or other.left)
        ]

    def joined(
        self, direction: Direction, size: Size, pieces: Sequence[tuple[int, Parted]]
    ) -> Parted:
        """Give a piece cut from the reference edge on into pieces of these measures."""
        measure, last = pieces[-1]
        node = last.sawn.node
        off_mark = 0
        for first_measure, first in reversed(pieces[:-1]):
            measure += first_measure + self.store.kerf
            whole = size.cut_to(direction, measure)
            off_mark += first_measure % self.mark != 0
            node = Cut(
                Ticks(whole.length),
                Ticks(whole.width),
                direction,
                Ticks(first_measure),
                self.store.kerf,
                Maker.STORE,
                STORE_SAW,
                0,
                first.sawn.node,
                node,
            )
        parted = [piece for _, piece in pieces]
        tally = reduce(Tally.plus, (piece.sawn.tally for piece in parted))
        gaps = tuple(gap for piece in parted for gap in piece.sawn.gaps)
        return Parted(
            Sawn(node, tally, gaps),
            sum(piece.cuts for piece in parted) + len(pieces) - 1,
            sum(piece.too_large for piece in parted),
            sum(piece.left for piece in parted),
            sum(piece.stays for piece in parted),
            sum(piece.off_mark for piece in parted) + off_mark,
        )


class _StoreLine:
    """One piece parted by parallel store cuts: groups of children, and maybe the leftover."""

    def __init__(
        self,
        counter: Counter,
        layout: Layout,
        size: Size,
        edges: Edges,
        direction: Direction,
        strips: tuple[Direction, ...],
        divide_strip: bool | None,
    ) -> None:
        self.counter = counter
        self.layout = layout
        self.size = size
        self.edges = edges
        self.direction = direction
        self.total = size.across(direction)
        self.across = tuple(way for way in strips if way is not direction)
        # None: the cuts go between the layout's children. Else a strip comes off the whole,
        # and this says whether the store may go on to divide what is left.
        self.divide_strip = divide_strip
        self.children: tuple[Layout, ...] = (layout,)
        if divide_strip is None and isinstance(layout, Split):
            self.children = layout.children
        self.count = len(self.children)
        self.short = False

    def ways(self) -> list[Parted]:
        """Give the ways with every cut on a mark of the tape; off it where there is no room.

        Edges that are not cut again at home are sawn to size, whatever the mark.
        """
        if not self.counter.store.rough:
            return self._ways(1)
        found = self._ways(self.counter.mark)
        return found + self._ways(1) if self.short else found

    def _ways(self, mark: int) -> list[Parted]:
        self.short = False
        counter = self.counter
        most = counter.most_cuts
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
        carry, ends = self.counter.job.carry, {i}
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
        start = self.edges.ends(self.direction)[0] if i == 0 else self.counter.clean_up
        least = self.counter.bench.least(layout).across(self.direction)
        return start + least + self.counter.clean_up

    def _group(self, i: int, j: int) -> tuple[Layout, bool, tuple[Direction, ...]]:
        """Give children i to j, whether they may be divided, and where strips may come off."""
        if self.divide_strip is not None or not isinstance(self.layout, Split):
            return self.layout, bool(self.divide_strip), self.across
        if i == j:
            return self.children[i], True, (self.direction.other,)
        return self.counter.group(self.layout, i, j), False, self.across

    def _cut_off(self, run: _Run, i: int, j: int, mark: int) -> list[_Run]:
        """Give the runs with children i to j cut off next."""
        counter = self.counter
        layout, divide, strips = self._group(i, j)
        start = self.edges.ends(self.direction)[0] if i == 0 else counter.clean_up
        end = counter.clean_up
        least = -(-self._least(i, j) // mark) * mark
        runs: list[_Run] = []
        for measure in (least, *self._longer(run, least, mark)):
            used = run.used + measure + counter.store.kerf
            if used >= self.total:
                self.short = True
                continue
            size = self.size.cut_to(self.direction, measure)
            if not counter.allows(size):
                continue
            edges = self.edges.with_ends(self.direction, start, end)
            left = counter.most_cuts - run.cuts - 1
            ways = counter.ways(layout, size, edges, divide=divide, strips=strips, most=left)
            runs += [
                _Run(
                    (*run.pieces, (measure, way)),
                    used,
                    run.cuts + 1 + way.cuts,
                    run.longer or measure > least,
                )
                for way in ways.values()
            ]
        return runs

    def _longer(self, run: _Run, least: int, mark: int) -> list[int]:
        """Give measures for the next piece that leave just what fits the car behind it."""
        carry, stock = self.counter.job.carry, self.counter.stock
        if carry is None:
            return []
        limits = (carry.length, carry.width)
        if stock.kind is Kind.BOARD and carry.boards is not None:
            limits = (carry.boards, None)
        behind = self.total - run.used - self.counter.store.kerf
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
        counter = self.counter
        layout, divide, strips = self._group(i, self.count - 1)
        edges = self.edges.with_ends(
            self.direction, counter.clean_up, self.edges.ends(self.direction)[1]
        )
        measure = self.total - run.used
        size = self.size.cut_to(self.direction, measure)
        if sum(edges.ends(self.direction)) + counter.bench.least(layout).across(
            self.direction
        ) > size.across(self.direction):
            self.short = True
            return []
        if not counter.allows(size):
            return []
        left = counter.most_cuts - run.cuts
        ways = counter.ways(layout, size, edges, divide=divide, strips=strips, most=left)
        return [
            counter.joined(self.direction, self.size, (*run.pieces, (measure, way)))
            for way in ways.values()
            if run.cuts + way.cuts <= counter.most_cuts
        ]

    def _leftover(self, run: _Run) -> list[Parted]:
        """Give the ways that leave nothing but a leftover behind the last cut."""
        counter = self.counter
        measure = self.total - run.used
        size = self.size.cut_to(self.direction, measure)
        trim = self.edges.ends(self.direction)[1]
        if not counter.allows(size) or measure + counter.store.kerf + counter.clean_up < trim:
            return []  # a strip off the raw edge that leaves some of what is to be trimmed
        return [
            counter.joined(self.direction, self.size, (*run.pieces, (measure, way)))
            for way in counter.leftover(size, counter.most_cuts - run.cuts).values()
        ]


def counter_for(job: Job, bench: Bench) -> Counter | None:
    """Give the store's saw for a piece of stock, or None where it does not cut that."""
    if job.store is None or not store_may_cut(job, bench.stock.material, bench.stock.owned):
        return None
    return Counter(job, job.store, bench)


def clean_up(job: Job, kerf: int) -> int:
    """Give what must come off a store edge before it may be a part's edge, ticks."""
    if job.store is None or not job.store.rough:
        return 0
    return job.store.allowance or max(1, kerf)
