"""Sheets: two-dimensional cutting by straight edge-to-edge cuts, at least cost.

First a plan at once, then a bound, then fewer or cheaper sheets until the bound is met or
the work allowed is done; at last what is left over is gathered in one piece.
"""

from __future__ import annotations

import random
from collections.abc import Mapping
from dataclasses import dataclass

from cutopt.errors import CannotPlanError, Fault
from cutopt.solve.bounds import (
    AREA,
    Purchase,
    Weighing,
    area_weighings,
    cheapest_purchase,
    size_weighings,
)
from cutopt.solve.params import Answer, Problem, Search, Watch
from cutopt.solve.patterns import Pool, cheapest_cover
from cutopt.solve.purchases import Counts, purchases_between
from cutopt.solve.sheets_first import (
    Laid,
    cost_of,
    first_plan,
    lay_or_open,
    on_cheaper_sheets,
    rank_of,
)
from cutopt.solve.sheets_leftover import gather_leftover
from cutopt.solve.sheets_search import TASTES, Floor
from cutopt.solve.sheets_sizes import patterns_of, sizes_of
from cutopt.units import Units


@dataclass(frozen=True, slots=True)
class Effort:
    """What one level of effort allows.

    Attributes:
        tries: parts tried while looking for a cheaper plan.
        leftover: parts tried while gathering what is left over.
        thresholds: for the bound by sizes, per function and side.
        cover: work of one choice among patterns, in the solver's own units.
    """

    tries: int
    leftover: int
    thresholds: int
    cover: float


EFFORTS = (
    Effort(tries=2_000, leftover=1_500, thresholds=12, cover=0.0),
    Effort(tries=120_000, leftover=30_000, thresholds=40, cover=1.0),
    Effort(tries=800_000, leftover=120_000, thresholds=80, cover=5.0),
    Effort(tries=6_000_000, leftover=600_000, thresholds=120, cover=30.0),
)

_SHARES = (0.04, 0.1, 0.2, 0.3, 0.36)
_PURCHASES = 48
_COLUMNS = 1_500


def plan_sheets(
    problem: Problem,
    search: Search,
    watch: Watch,
    *,
    names: Mapping[str, str] | None = None,
    units: Units = Units.INCH,
) -> Answer:
    """Give layouts that make every item at the least cost found, and a bound on that cost.

    Args:
        problem: one material.
        search: how hard to try.
        watch: hears of progress and may stop the search.
        names: of parts by their id, for faults.
        units: of lengths in faults.

    Raises:
        CannotPlanError: an item fits no stock, the stock cannot be enough, or no plan was
            found within the stock available.
    """
    return _Planning(problem, search, watch, names or {}, units).answer()


class _Planning:
    """One run: the best plan so far, the bound so far, the work left."""

    def __init__(
        self,
        problem: Problem,
        search: Search,
        watch: Watch,
        names: Mapping[str, str],
        units: Units,
    ) -> None:
        self.problem = problem
        self.names = names
        self.units = units
        self.effort = EFFORTS[search.effort]
        self.watch = watch
        self.rng = random.Random(search.seed)
        self.sizes = sizes_of(problem, problem.kerf)
        self.pool = Pool(self.sizes)
        self.best: Laid = []
        self.bound = Purchase(0, AREA)
        self.weighings: list[Weighing] = []

    def answer(self) -> Answer:
        """Run it all."""
        if not self.problem.items:
            return Answer((), 0, 0)
        self._refuse_what_fits_nothing()
        self._set_bound()
        self._start()
        if self.cost > self.low:
            self._look_for_less()
        if not self.watch.stopped():
            self.best = gather_leftover(
                self.sizes, self.best, self.rng, self.effort.leftover, self.watch.stopped
            )
        self.watch.report(self.problem.what, self.cost, self.low)
        return Answer(
            patterns_of(self.problem, self.sizes, self.best),
            self.cost,
            min(self.low, self.cost),
            self._why(),
        )

    @property
    def cost(self) -> int:
        """Cost of the best plan so far."""
        return cost_of(self.sizes, self.best)

    @property
    def low(self) -> int:
        """The bound so far."""
        return self.bound.cost or 0

    def _refuse_what_fits_nothing(self) -> None:
        sizes, problem = self.sizes, self.problem
        faults = []
        for number, kind in enumerate(sizes.kinds):
            if any(of_type[number] for of_type in sizes.lays):
                continue
            for index, _, _ in kind.sources:
                part = problem.items[index].part
                faults.append(
                    Fault(
                        f"{problem.what}: {self.names.get(part, part)} fits no stock",
                        help="add larger stock, or make the part smaller or in two pieces",
                    )
                )
        if faults:
            raise CannotPlanError(faults)

    def _set_bound(self) -> None:
        problem = self.problem
        low = (
            self.sizes
            if problem.kerf_bound == problem.kerf
            else sizes_of(problem, problem.kerf_bound)
        )
        self.weighings = area_weighings(low)
        if cheapest_purchase(low, self.weighings).cost is None:
            raise CannotPlanError(
                [
                    Fault(
                        f"{problem.what}: the stock available is too small by area",
                        help="make more stock available",
                    )
                ]
            )
        self.weighings += size_weighings(low, self.effort.thresholds)
        self.bound = cheapest_purchase(low, self.weighings)
        if self.bound.cost is None:
            raise CannotPlanError(
                [
                    Fault(
                        f"{problem.what}: the stock available cannot hold the parts side by side",
                        help="make more stock available",
                    )
                ]
            )

    def _start(self) -> None:
        laid = first_plan(self.sizes, self.rng)
        if laid is None:
            laid = self._on_all_there_is()
        self._take(laid)

    def _on_all_there_is(self) -> Laid:
        """Give a plan on all the limited stock together; raises where none is found."""
        sizes = self.sizes
        sheets = [
            number
            for number, sheet in enumerate(sizes.types)
            for _ in range(sheet.available)
            if sheet.available < sizes.count
        ]
        unlimited = [n for n, sheet in enumerate(sizes.types) if sheet.available >= sizes.count]
        for share in _SHARES:
            floor = Floor(sizes, sheets, self.rng, self.pool, sizes.all_parts())
            floor.improve(
                int(max(self.effort.tries, 20_000) * share), TASTES[0], self.watch.stopped
            )
            if all(lay_or_open(floor, kind, unlimited, TASTES[0]) for kind in floor.left):
                return on_cheaper_sheets(sizes, floor.laid(), self.rng)
        raise CannotPlanError(
            [
                Fault(
                    f"{self.problem.what}: no way was found to cut all parts from the stock "
                    "available; this is no proof that there is none",
                    help="make one more piece of stock available, or try a higher effort",
                )
            ]
        )

    def _take(self, laid: Laid) -> None:
        """Keep a plan if it is the best so far."""
        if not self.best or rank_of(self.sizes, laid) < rank_of(self.sizes, self.best):
            self.best = laid
            for sheet, root in laid:
                self.pool.add(sheet, root)
            self.watch.report(self.problem.what, self.cost, self.low)

    def _look_for_less(self) -> None:
        """Lay the parts on cheaper purchases until the bound or the end of the work."""
        work = 0
        missing: dict[Counts, int] = {}
        for number, share in enumerate(_SHARES):
            end = work + int(self.effort.tries * share)
            while work < end and self.cost > self.low and not self.watch.stopped():
                purchases = self._purchases(missing, number)
                if not purchases:
                    return
                each = max((end - work) // len(purchases), self.sizes.count)
                before = self.cost
                for counts in purchases:
                    work += self._try_purchase(counts, each, number, missing)
                    if self.cost < before or work >= end or self.watch.stopped():
                        break
            if self.cost > self.low and self.effort.cover and not self.watch.stopped():
                self._choose_among_patterns()

    def _purchases(self, missing: dict[Counts, int], number: int) -> list[Counts]:
        """Give the purchases to try next: one sheet fewer, or the likeliest of several sizes."""
        high = self.cost
        if len(self.sizes.types) == 1:
            return [(high // self.sizes.types[0].cost - 1,)] if self.sizes.types[0].cost else []
        found = purchases_between(self.sizes, self.weighings, self.low, high, 10 * _PURCHASES)
        found.sort(key=lambda counts: missing.get(counts, self.sizes.area // 20))
        return found[: max(2, _PURCHASES >> number)]

    def _try_purchase(
        self, counts: Counts, tries: int, number: int, missing: dict[Counts, int]
    ) -> int:
        """Try to lay all parts on a purchase; give the work it took."""
        sheets = [t for t, count in enumerate(counts) for _ in range(count)]
        floor = Floor(self.sizes, sheets, self.rng, self.pool, self.sizes.all_parts())
        taste = TASTES[number % len(TASTES)]
        if floor.improve(tries, taste, self.watch.stopped):
            self._take(on_cheaper_sheets(self.sizes, floor.laid(), self.rng))
        missing[counts] = floor.unplaced()
        return max(floor.work, 1)

    def _choose_among_patterns(self) -> None:
        columns = self.pool.columns(_COLUMNS)
        chosen = cheapest_cover(self.sizes, columns, self.cost, self.effort.cover)
        if chosen is not None:
            self._take(on_cheaper_sheets(self.sizes, chosen, self.rng))

    def _why(self) -> str:
        """Say where the bound comes from."""
        reason = {
            AREA: "{} too small by area",
        }.get(self.bound.about, "{} too small for the sizes of the parts")
        if len(self.sizes.types) > 1 or not self.sizes.types[0].cost:
            return reason.format("any cheaper purchase is")
        count = self.low // self.sizes.types[0].cost - 1
        if count == 0:
            return "there is no plan with less than one sheet"
        return reason.format("1 sheet is" if count == 1 else f"{count} sheets are")
