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
from cutopt.solve.explain import explain, what_does_not_fit
from cutopt.solve.first_layouts import RULES, packed_layouts
from cutopt.solve.params import Answer, Problem, Search, Watch
from cutopt.solve.patterns import Pool, cheapest_cover
from cutopt.solve.purchases import Counts, purchases_between
from cutopt.solve.sheets_first import (
    first_plan,
    lay_or_open,
    on_cheaper_sheets,
    rank_of,
)
from cutopt.solve.sheets_leftover import gather_leftover
from cutopt.solve.sheets_listing import Verdict, judge
from cutopt.solve.sheets_search import TASTES, Floor
from cutopt.solve.sheets_sizes import Laid, cost_of, patterns_of, sizes_of
from cutopt.solve.slicing import parts_in
from cutopt.units import Units


@dataclass(frozen=True, slots=True)
class Effort:
    """What one level of effort allows.

    Attributes:
        rules: of the packing library.
        looks: spots looked at while seeking a cheaper plan.
        leftover: spots looked at while gathering what is left over.
        thresholds: for the bound by sizes, per function and side.
        listed: splits looked at while listing sets of parts for a proof.
        cover: work of one choice among patterns, in the solver's own units; 0 for none.
    """

    rules: int
    looks: int
    leftover: int
    thresholds: int
    listed: int
    cover: float


EFFORTS = (
    Effort(rules=1, looks=60_000, leftover=40_000, thresholds=12, listed=4_000, cover=0.02),
    Effort(rules=18, looks=8_000_000, leftover=1_000_000, thresholds=40, listed=300_000, cover=0.4),
    Effort(
        rules=18, looks=60_000_000, leftover=8_000_000, thresholds=80, listed=2_000_000, cover=3.0
    ),
    Effort(
        rules=18,
        looks=400_000_000,
        leftover=40_000_000,
        thresholds=120,
        listed=8_000_000,
        cover=20.0,
    ),
)

_SHARES = (0.03, 0.07, 0.2, 0.3, 0.4)
_LISTED_AFTER = 0
_PURCHASES = 48
_MANY_PARTS = 150
_LEAST_LOOKS = 500_000
_COLUMNS = 1_000

LISTED = "listed"


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
        self.bound_sizes = (
            self.sizes
            if problem.kerf_bound == problem.kerf
            else sizes_of(problem, problem.kerf_bound)
        )
        self.pool = Pool(self.sizes)
        self.best: Laid = []
        self.bound = Purchase(0, AREA)
        self.weighings: list[Weighing] = []

    def answer(self) -> Answer:
        """Run it all."""
        if not self.problem.items:
            return Answer((), 0, 0)
        faults = what_does_not_fit(self.problem, self.names, self.units)
        if faults:
            raise CannotPlanError(faults)
        self._set_bound()
        self._start()
        if self.cost > self.low:
            self._take_packed_layouts()
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
            limit_hit=self.watch.stopped(),
        )

    @property
    def cost(self) -> int:
        """Cost of the best plan so far."""
        return cost_of(self.sizes, self.best)

    @property
    def low(self) -> int:
        """The bound so far."""
        return self.bound.cost or 0

    def _set_bound(self) -> None:
        self.weighings = area_weighings(self.bound_sizes)
        self.weighings += size_weighings(self.bound_sizes, self.effort.thresholds)
        self.bound = cheapest_purchase(self.bound_sizes, self.weighings)
        if self.bound.cost is None:
            raise CannotPlanError(explain(self.problem, self.names, self.units))

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
                int(max(self.effort.looks, _LEAST_LOOKS) * share), TASTES[0], self.watch.stopped
            )
            if all(lay_or_open(floor, kind, unlimited, TASTES[0]) for kind in floor.left):
                return on_cheaper_sheets(sizes, floor.laid(), self.rng)
        verdict = self._judge(None)
        if verdict.low is None:
            raise CannotPlanError(
                [
                    Fault(
                        f"{self.problem.what}: the stock available cannot give all parts; every "
                        "way to cut the largest ones was gone through",
                        help="add stock, or raise how many are available",
                    )
                ]
            )
        if verdict.laid is not None and self.bound_sizes is sizes:
            return verdict.laid
        raise CannotPlanError(
            [
                Fault(
                    f"{self.problem.what}: no way was found to cut all parts from the stock "
                    "available; that is no proof that there is none",
                    help="add one more piece of stock, or try harder with --effort",
                )
            ]
        )

    def _take_packed_layouts(self) -> None:
        """Take a better plan from the packing library's quick rules, if there is one."""
        rules = RULES[: self.effort.rules] if self.sizes.count <= _MANY_PARTS else RULES[:1]
        for sheet in range(len(self.sizes.types)):
            for laid in packed_layouts(self.sizes, sheet, rules):
                for sheet_of, root in laid:
                    self.pool.add(sheet_of, root)
                self._take(on_cheaper_sheets(self.sizes, laid, self.rng))
                if self.cost == self.low or self.watch.stopped():
                    return

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
            end = work + int(self.effort.looks * share)
            while work < end and self.cost > self.low and not self.watch.stopped():
                purchases = self._purchases(missing, number)
                if not purchases:
                    return
                each = max((end - work) // len(purchases), 50 * self.sizes.count)
                before = self.cost
                for counts in purchases:
                    work += self._try_purchase(counts, each, number, missing)
                    if self.cost < before or work >= end or self.watch.stopped():
                        break
            if self.cost == self.low or self.watch.stopped():
                return
            if number == _LISTED_AFTER:
                self._list_sets()
            if number == len(_SHARES) - 1 or (number and len(self.sizes.types) > 1):
                self._choose_among_patterns()

    def _list_sets(self) -> None:
        """Raise the bound by listing what one sheet can give; take a cheaper plan it shows."""
        verdict = self._judge(self.cost)
        if verdict.low is not None and verdict.low > self.low:
            self.bound = Purchase(verdict.low, LISTED)
            self.watch.report(self.problem.what, self.cost, self.low)
        if verdict.laid is not None and self.bound_sizes is self.sizes:
            self._take(verdict.laid)

    def _judge(self, below: int | None) -> Verdict:
        return judge(
            self.bound_sizes,
            self.weighings,
            self.low,
            below,
            self.effort.listed,
            self.effort.cover,
            self.watch.stopped,
        )

    def _purchases(self, missing: dict[Counts, int], number: int) -> list[Counts]:
        """Give the purchases to try next: one sheet fewer, or the likeliest of several sizes."""
        high = self.cost
        if len(self.sizes.types) == 1:
            return [(high // self.sizes.types[0].cost - 1,)] if self.sizes.types[0].cost else []
        found = purchases_between(self.sizes, self.weighings, self.low, high, 10 * _PURCHASES)
        found.sort(key=lambda counts: missing.get(counts, self.sizes.area // 20))
        return found[: max(2, _PURCHASES >> number)]

    def _try_purchase(
        self, counts: Counts, looks: int, number: int, missing: dict[Counts, int]
    ) -> int:
        """Try to lay all parts on a purchase; give the work it took."""
        sheets = [t for t, count in enumerate(counts) for _ in range(count)]
        if number % 2 and len(self.sizes.types) == 1:
            floor = self._without_emptiest()
        else:
            floor = Floor(self.sizes, sheets, self.rng, self.pool, self.sizes.all_parts())
        taste = TASTES[number % len(TASTES)]
        if floor.improve(looks, taste, self.watch.stopped):
            self._take(on_cheaper_sheets(self.sizes, floor.laid(), self.rng))
        missing[counts] = floor.unplaced()
        return max(floor.work, 1)

    def _without_emptiest(self) -> Floor:
        """Give the best plan less the sheet that holds least."""
        kept = sorted(self.best, key=lambda sheet: -sheet[1].area)
        floor = Floor(self.sizes, [t for t, _ in kept[:-1]], self.rng, self.pool)
        for sheet, (_, root) in enumerate(kept[:-1]):
            floor.lay(sheet, root)
        floor.left = [part.kind for part in parts_in(kept[-1][1])]
        return floor

    def _choose_among_patterns(self) -> None:
        columns = self.pool.columns(_COLUMNS)
        chosen = cheapest_cover(self.sizes, columns, self.cost, self.effort.cover)
        if chosen is not None:
            self._take(on_cheaper_sheets(self.sizes, chosen, self.rng))

    def _why(self) -> str:
        """Say where the bound comes from."""
        only = self.sizes.types[0]
        if len(self.sizes.types) > 1 or not only.cost:
            less = "anything cheaper"
        else:
            count = -(-self.low // only.cost) - 1
            if not count:
                return "no plan has less than 1 sheet"
            less = "1 sheet" if count == 1 else f"{count} sheets"
        if self.bound.about == AREA:
            return f"{less} is too small by area"
        if self.bound.about == LISTED:
            return f"{less} was ruled out by going through every way to cut the largest parts"
        return f"{less} is too small for the lengths and widths of the parts side by side"
