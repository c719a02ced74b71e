"""Which cuts the store makes on one piece of stock.

Of all ways to part it the one is taken that gets every part into the car, leaves no cut at
home that no saw can make, and costs least; cuts that cost nothing then go to leftovers that
the car would not take, and to what is hardest at home. The layout is parted as it lies first;
only where that leaves something amiss, or costs a fee, are its children taken in other orders.
"""

from __future__ import annotations

from collections.abc import Iterator
from sys import maxsize

from cutopt.model.job import Job
from cutopt.model.layout import Layout, blanks_of
from cutopt.steps.sawing import Bench
from cutopt.steps.sawing_counter import Counter
from cutopt.steps.sawing_fees import store_fee
from cutopt.steps.sawing_pieces import Edges, MisfitError
from cutopt.steps.sawing_saws import store_may_cut
from cutopt.steps.sawing_store_line import Search
from cutopt.steps.sawing_store_saw import Parted, StoreSaw

MOST_CUTS = 10
"""Store cuts tried on one piece of stock where the store sets no lower limit."""

MOST_WORK = 15_000
"""Saws asked for on one piece of stock before fewer ways to part it are tried: a tenth or two
of a second. Only sheets with dozens of small parts come near it."""

MOST_WORK_REGROUPED = 10_000
"""The same, and cuts tried, for ways that take the children of the layout in other orders."""

CHOICES = (0, 800)
"""Choices among the children of one piece that are tried, first few, then many: all among
six of a kind each."""

FEWER_CUTS = (1, 2, 3, 5)
"""Store cuts tried in turn, the more the longer it takes, where every way takes too long."""


class StoreVisit:
    """One piece of stock at the store, on its way home in the builder's car."""

    def __init__(self, job: Job, saw: StoreSaw, bench: Bench, *, regroup: bool = True) -> None:
        self._job = job
        self._saw = saw
        self._counter = Counter(saw, bench)
        limit = saw.store.most_cuts
        self._limit = MOST_CUTS if limit is None else min(limit, MOST_CUTS)
        self._thorough = True
        self._regrouping_pays = regroup

    def part(self, layout: Layout, edges: Edges) -> Parted:
        """Give the whole piece of stock parted at least cost and trouble.

        Raises:
            MisfitError: the layout does not fit, however it is cut.
        """
        ways = list(self._as_it_lies(layout, edges))
        if self._regrouping_pays:
            best = min(ways, key=self._worth, default=None)
            regrouped = self._regrouped(layout, edges, best)
            # Kerfs that settle in later rounds do not make other orders pay.
            self._regrouping_pays = any(best is None or self._beats(way, best) for way in regrouped)
            ways += regrouped
        if not ways:
            raise MisfitError
        return min(ways, key=self._worth)

    def _as_it_lies(self, layout: Layout, edges: Edges) -> Iterator[Parted]:
        """Yield the ways to part a layout between neighbours."""
        most = self._limit
        ways = None
        if self._thorough:
            ways = self._counter.part(layout, edges, Search(most), MOST_WORK)
        if ways is None:
            self._thorough = False
            for fewer in self._from_none_to(most):
                search = Search(fewer, thorough=False)
                found = self._counter.part(layout, edges, search, MOST_WORK)
                if found is None:
                    break
                ways = found
        yield from (ways or {}).values()

    def _regrouped(self, layout: Layout, edges: Edges, best: Parted | None) -> list[Parted]:
        """Give ways with children in other orders, where those may be better than the best.

        First for what is amiss only, with few cuts before many; then for all that free cuts may
        do.
        """
        most, least = self._limit, self._least_need(layout)
        if best is not None and best.need <= least:
            most = best.cuts - 1 if store_fee(self._job, best.cuts) else -1
        if most < 0:
            return []
        better = best
        found: list[Parted] = []
        for choices in CHOICES:
            end = self._counter.work + MOST_WORK_REGROUPED
            for cuts in self._from_none_to(most):
                bound = self._bound(better, cuts)
                search = Search(cuts, regroup=True, choices=choices, needs_only=True, bound=bound)
                ways = self._counter.part(layout, edges, search, end - self._counter.work)
                if ways is None:
                    break
                found += ways.values()
                better = min([*found, *([best] if best else [])], key=self._cost, default=None)
                if any(way.need <= least for way in ways.values()):
                    most = cuts - 1
                    break
        if better is not None and better is not best:
            most = max(better.cuts, min(self._limit, self._saw.store.free_cuts))
            search = Search(most, regroup=True, choices=CHOICES[-1], bound=better.need)
            ways = self._counter.part(layout, edges, search, MOST_WORK_REGROUPED)
            found += (ways or {}).values()
        return found

    def _bound(self, best: Parted | None, cuts: int) -> tuple[int, int] | None:
        """Give what may be amiss with ways of so many cuts that are better than the best."""
        if best is None:
            return None
        too_large, missing = best.need
        if store_fee(self._job, cuts) < store_fee(self._job, best.cuts):
            return too_large, missing
        return (too_large, missing - 1) if missing else (too_large - 1, maxsize)

    @staticmethod
    def _from_none_to(most: int) -> tuple[int, ...]:
        """Give numbers of cuts to try in turn."""
        return tuple(cuts for cuts in sorted({0, *FEWER_CUTS, most}) if 0 <= cuts <= most)

    def _least_need(self, layout: Layout) -> tuple[int, int]:
        """Give what must stay amiss: a part alone may be too large for the car."""
        carry, kind = self._job.carry, self._saw.stock.kind
        too_large = carry is not None and not all(
            carry.takes(blank.length, blank.width, kind) for blank in blanks_of(layout)
        )
        return int(too_large), 0

    def _beats(self, way: Parted, other: Parted) -> bool:
        """Say whether a way leaves less amiss than another, or costs less."""
        return self._cost(way) < self._cost(other)

    def _cost(self, way: Parted) -> tuple[tuple[int, int], int]:
        return way.need, store_fee(self._job, way.cuts)

    def _worth(self, way: Parted) -> tuple[object, ...]:
        """Give what ways to part the whole piece are compared by: the lesser is the better."""
        return *self._cost(way), way.ease, way.cuts, way.sawn.tally.key(self._job.favour)


def store_visit(job: Job, bench: Bench, *, regroup: bool = True) -> StoreVisit | None:
    """Give the visit of a piece of stock to the store's saw, or None where that does not cut it."""
    if job.store is None or not store_may_cut(job, bench.stock.material, bench.stock.owned):
        return None
    saw = StoreSaw(job, job.store, bench.stock, bench.kerf)
    return StoreVisit(job, saw, bench, regroup=regroup)
