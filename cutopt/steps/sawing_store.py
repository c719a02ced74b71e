"""Which cuts the store makes on one piece of stock.

The store's cuts are the first of the tree: some of the gaps between the children of the
layout, then across some of the pieces that come off, and so on; or a strip off the whole.
For each number of cuts the best choice is kept. Of those the one is taken that gets every
part into the car, leaves no cut at home that no saw can make, and costs least; cuts that
cost nothing then go to leftovers that the car would not take, and to what is hardest at home.
"""

from __future__ import annotations

from contextlib import suppress

from cutopt.model.job import Job, Kind, Store
from cutopt.model.layout import Direction, Layout, Split
from cutopt.steps.sawing import Bench
from cutopt.steps.sawing_groups import Groups
from cutopt.steps.sawing_leftovers import Leftovers
from cutopt.steps.sawing_pieces import Edges, MisfitError, Size
from cutopt.steps.sawing_saws import store_may_cut
from cutopt.steps.sawing_store_line import Piece, StoreLine
from cutopt.steps.sawing_store_saw import Parted, Parting, StoreSaw

MOST_CUTS = 10
"""Store cuts tried on one piece of stock where the store sets no lower limit."""

MOST_WORK = 15_000
"""Saws asked for on one piece of stock before fewer ways to part it are tried: a tenth or two
of a second. Only sheets with dozens of small parts come near it."""

FEWER_CUTS = (1, 2, 3, 5)
"""Store cuts tried in turn, the more the longer it takes, where every way takes too long."""


class _TooMuchError(Exception):
    """Looking at every way to part a piece takes too long."""


class Counter:
    """The store's saw at work on one piece of stock that comes home in the builder's car.

    Attributes:
        most_cuts: most cuts tried on the piece.
        thorough: every run of neighbours is tried as a piece of its own; else just those
            that the car only just takes.
    """

    def __init__(self, job: Job, store: Store, bench: Bench) -> None:
        self.saw = StoreSaw(job, store, bench.stock, bench.kerf)
        self.bench = bench
        self.leftovers = Leftovers(self.saw)
        self.groups = Groups()
        self.most_cuts = 0
        self.thorough = True
        self._last_work = 0
        self._parted: dict[tuple[int, Size, Edges, bool, tuple[Direction, ...], bool], Parting] = {}

    def part(self, layout: Layout, edges: Edges) -> Parted:
        """Give the whole piece of stock parted at least cost and trouble.

        Raises:
            MisfitError: the layout does not fit, however it is cut.
        """
        limit = self.saw.store.most_cuts
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
        favour = self.saw.job.favour
        return min(
            ways.values(),
            key=lambda way: (
                # A way that costs more than another leaves less amiss (see StoreSaw.best), so
                # the fee needs no place here.
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
        stock = self.saw.stock
        whole = Piece(layout, Size(stock.length, stock.width), edges)
        try:
            return self.ways(whole, divide=True, strips=tuple(Direction), most=most)
        except _TooMuchError:
            return None

    @property
    def _work(self) -> int:
        return self.bench.rack.asked + self.leftovers.halved

    def ways(
        self, piece: Piece, *, divide: bool, strips: tuple[Direction, ...], most: int
    ) -> Parting:
        """Give the ways to part a piece.

        Args:
            piece: with its layout and size, and what must come off its edges at home.
            divide: whether the store may cut between the layout's own children.
            strips: directions in which it may take a strip off the whole.
            most: cuts that are left to make; ways with more of them may be given as well.
        """
        layout, size, edges = piece
        if isinstance(layout, Split) and layout.ordered:
            # Marks and rough edges would come between the neighbours.
            divide = False
        key = (id(layout), size, edges, divide, strips, most > 0)
        if key not in self._parted:
            ways: list[Parted] = []
            with suppress(MisfitError):
                ways.append(self.saw.home(self.bench.saw(layout, size, edges), size))
            if most > 0 and (not ways or any(ways[0].need) or any(ways[0].ease)):
                if self._work > self._last_work:
                    raise _TooMuchError
                for direction in Direction:
                    if self.saw.stock.kind is Kind.BOARD and direction is Direction.RIP:
                        continue
                    if isinstance(layout, Split) and layout.direction is direction and divide:
                        line = StoreLine(self, piece, direction, strips, None)
                    elif direction in strips:
                        line = StoreLine(self, piece, direction, strips, divide)
                    else:
                        continue
                    ways += line.ways()
            self._parted[key] = self.saw.best(ways)
        return self._parted[key]


def counter_for(job: Job, bench: Bench) -> Counter | None:
    """Give the store's saw for a piece of stock, or None where it does not cut that."""
    if job.store is None or not store_may_cut(job, bench.stock.material, bench.stock.owned):
        return None
    return Counter(job, job.store, bench)
