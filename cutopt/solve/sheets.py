"""Sheets: two-dimensional cutting by straight edge-to-edge cuts, at least cost.

First a plan at once, then a bound, then fewer or cheaper sheets until the bound is met or
the work allowed is done; at last what is left over is gathered in one piece.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING

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
from cutopt.solve.params import NO_RULES, Answer, Preparing, Problem, Search, Watch
from cutopt.solve.sheets_first import first_plan, on_cheaper_sheets, rank_of
from cutopt.solve.sheets_sizes import Laid, cost_of, keeps_to, patterns_of, sizes_of
from cutopt.units import Units

if TYPE_CHECKING:
    from cutopt.solve.sheets_improve import Improving
    from cutopt.solve.sheets_listing import Verdict


@dataclass(frozen=True, slots=True)
class Work:
    """Work allowed: so much a part, up to a limit."""

    each: int
    most: int

    def of(self, count: int) -> int:
        """Give the work allowed for so many parts."""
        return min(self.each * count, self.most)


@dataclass(frozen=True, slots=True)
class Effort:
    """What one level of effort allows.

    Attributes:
        search: spots looked at while seeking a cheaper plan (some 300 million a second);
            listing takes its part of it.
        tidy: spots looked at for what is left over and the work at the saw.
        thresholds: for the bound by sizes, per function and side.
        listed: splits looked at while listing sets of parts for a proof.
        cover: work of one choice among patterns, in the solver's own units; 0 for none.
    """

    search: Work
    tidy: Work
    thresholds: int
    listed: int
    cover: float


EFFORTS = (
    Effort(Work(500_000, 20_000_000), Work(0, 0), thresholds=12, listed=4_000, cover=0.0),
    Effort(
        Work(10_000_000, 2_000_000_000),
        Work(4_000_000, 400_000_000),
        thresholds=40,
        listed=300_000,
        cover=0.2,
    ),
    Effort(
        Work(120_000_000, 5_600_000_000),
        Work(6_000_000, 600_000_000),
        thresholds=80,
        listed=2_500_000,
        cover=0.5,
    ),
    Effort(
        Work(1_000_000_000, 60_000_000_000),
        Work(50_000_000, 5_000_000_000),
        thresholds=120,
        listed=8_000_000,
        cover=2.0,
    ),
)


@dataclass(frozen=True, slots=True)
class Proof:
    """An attempt to prove that nothing is cheaper.

    Attributes:
        after: so many attempts to find something cheaper.
        splits: looked at while sets of parts are listed.
        promised: share of the parts that the proof before listed all sets of, in hundredths.
    """

    after: int
    splits: int
    promised: int


PROOFS = (Proof(2, 50_000, 0), Proof(4, 300_000, 0), Proof(6, 1 << 40, 60))

_AT_LAST = 300_000
_LOOKS_A_SPLIT = 750
_MANY_PARTS = 150

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

    The bound is proved without the rules of cutting, which only ask for more.

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
        self.seed = search.seed
        self.second_goals = search.second_goals
        self.sizes = sizes_of(problem, problem.kerf)
        self.bound_sizes = (
            self.sizes
            if problem.kerf_bound == problem.kerf
            else sizes_of(problem, problem.kerf_bound)
        )
        self.best: Laid = []
        self._search: Improving | None = None
        self.bound = Purchase(0, AREA)
        self.weighings: list[Weighing] = []

    def answer(self) -> Answer:
        """Run it all."""
        if not self.problem.items:
            return Answer((), 0, 0)
        faults = what_does_not_fit(self.problem, self.names, self.units)
        if faults:
            raise CannotPlanError(faults)
        if not all(self._may_lie(kind) for kind in range(len(self.sizes.kinds))):
            raise CannotPlanError(
                [Fault(f"{self.problem.what}: a part is wider than the first cuts may leave")]
            )
        self._set_bound()
        self._start()
        if self.cost > self.aim and self.sizes.count <= _MANY_PARTS:
            self._take_packed_layouts()
        if self.cost > self.aim:
            self._look_for_less()
        self._tidy()
        self.watch.report(self.problem.what, self.cost, self.low)
        return Answer(
            patterns_of(self.problem, self.sizes, self.best),
            self.cost,
            min(self.low, self.cost),
            self._why(),
            limit_hit=self.watch.stopped(),
        )

    def _may_lie(self, kind: int) -> bool:
        """Say whether the rules let a part lie on any sheet."""
        sizes = self.sizes
        return sizes.rules == NO_RULES or any(
            sizes.legal(sizes.part(kind, lay), sheet)
            for sheet, lays in enumerate(sizes.lays)
            for lay in lays[kind]
        )

    def _tidy(self) -> None:
        """Leave more in one piece and less work at the saw, on the same sheets or fewer."""
        looks = self.effort.tidy.of(self.sizes.count)
        if looks and self.second_goals and not self.watch.stopped():
            keeping = (self.sizes.kerf, *self.problem.smallest_offcut)
            self._take(self._improving().tidied(self.best, keeping, self.problem.favour, looks))

    @property
    def cost(self) -> int:
        """Cost of the best plan so far."""
        return cost_of(self.sizes, self.best)

    @property
    def low(self) -> int:
        """The bound so far."""
        return self.bound.cost or 0

    @property
    def aim(self) -> int:
        """The cost at which to stop looking for less."""
        return max(self.low, self.problem.enough)

    def _set_bound(self) -> None:
        self.weighings = area_weighings(self.bound_sizes)
        self.weighings += size_weighings(self.bound_sizes, self.effort.thresholds)
        self.bound = cheapest_purchase(self.bound_sizes, self.weighings)
        if self.bound.cost is None:
            raise CannotPlanError(explain(self.problem, self.names, self.units))

    def _start(self) -> None:
        laid = first_plan(self.sizes)
        if laid is not None and not keeps_to(self.sizes, laid):
            laid = self._improving().by_rules(laid)
        if laid is None:
            laid = self._on_all_there_is()
        self._take(laid)

    def _on_all_there_is(self) -> Laid:
        """Give a plan on all the limited stock together; raises where none is found."""
        sizes = self.sizes
        scarce = [t for t, sheet in enumerate(sizes.types) if sheet.available < sizes.count]
        sheets = [t for t in scarce for _ in range(sizes.types[t].available)]
        if len(scarce) < len(sizes.types):
            # Where there is no end of one type, some of it beside what there is will do.
            endless = min(
                (t for t in range(len(sizes.types)) if t not in scarce),
                key=lambda t: -sizes.types[t].area,
            )
            sheets += [endless] * (1 + sizes.area // sizes.types[endless].area)
        laid = self._improving().on_all(sheets)
        if laid is not None:
            return on_cheaper_sheets(sizes, laid)
        verdict = self._judge(None, self.effort.listed)
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
        if verdict.laid is not None and self.bound_sizes is sizes and keeps_to(sizes, verdict.laid):
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
        for sheet in range(len(self.sizes.types)):
            for laid in packed_layouts(self.sizes, sheet, RULES[:1]):
                self._take(on_cheaper_sheets(self.sizes, laid))
                if self.cost <= self.aim or self.watch.stopped():
                    return

    def _take(self, laid: Laid) -> None:
        """Keep a plan that keeps the rules if none before was better."""
        if not keeps_to(self.sizes, laid):
            return
        if not self.best or rank_of(self.sizes, laid) <= rank_of(self.sizes, self.best):
            self.best = laid
            self.watch.report(self.problem.what, self.cost, self.low)

    def _improving(self) -> Improving:
        """Give the search for cheaper plans; made, and its code loaded, when first asked for."""
        if self._search is None:
            from cutopt.solve.kernel.compiling import is_compiled  # noqa: PLC0415 (slow)
            from cutopt.solve.sheets_improve import Improving  # noqa: PLC0415 (slow to load)

            if not is_compiled() and isinstance(self.watch, Preparing):
                self.watch.preparing("preparing the search, once, about 15 s")
            self._search = Improving(
                self.sizes, self.weighings, self.seed, self.effort.cover, self.watch.stopped
            )
        return self._search

    def _look_for_less(self) -> None:
        """Seek cheaper plans until the bound is met or the work is done.

        Most proofs that can be had at all are quick; the others come once more attempts
        failed, and only where quick listing got far.
        """
        search = self._improving()
        limit = self.effort.search.of(self.sizes.count)
        failed = tried = done = share = 0
        while self.cost > self.aim and not self.watch.stopped():
            left = limit - search.work
            if left <= 0:
                break
            before = self.cost
            if tried < len(PROOFS) and failed >= PROOFS[tried].after:
                splits = min(PROOFS[tried].splits, self.effort.listed, left // _LOOKS_A_SPLIT)
                if splits > done and share >= PROOFS[tried].promised:
                    done, share = splits, self._prove(splits)
                tried += 1
            else:
                failed += 1
                laid = search.attempt(self.low, self.cost, limit)
                if laid is not None:
                    self._take(on_cheaper_sheets(self.sizes, laid))
            if self.cost < before:
                failed = tried = done = share = 0
        splits = min(_AT_LAST, self.effort.listed)
        small = len(self.sizes.types) == 1 and self.sizes.count <= _MANY_PARTS
        if self.cost > self.aim and splits > done and small:
            # Small jobs have little work to share: what can be proved is proved beside it.
            self._prove(splits)

    def _prove(self, most: int) -> int:
        """Raise the bound by listing what one sheet can give; take a cheaper plan it shows.

        Gives the share of the parts of which all sets were listed, in hundredths.

        Args:
            most: splits to look at; they count as work of the search.
        """
        verdict = self._judge(self.cost, most)
        self._improving().spend(verdict.work * _LOOKS_A_SPLIT)
        if verdict.low is not None and verdict.low > self.low:
            self.bound = Purchase(verdict.low, LISTED)
            self.watch.report(self.problem.what, self.cost, self.low)
        if verdict.laid is not None and self.bound_sizes is self.sizes:
            self._take(verdict.laid)
        return 100 if len(self.sizes.types) > 1 else verdict.share

    def _judge(self, below: int | None, limit: int) -> Verdict:
        from cutopt.solve.sheets_listing import judge  # noqa: PLC0415 (slow to load)

        return judge(
            self.bound_sizes,
            self.weighings,
            self.low,
            below,
            limit,
            self.effort.cover,
            self.watch.stopped,
        )

    def _why(self) -> str:
        """Say where the bound comes from."""
        only = self.sizes.types[0]
        if len(self.sizes.types) > 1 or not only.cost:
            less = "anything cheaper is"
        else:
            count = -(-self.low // only.cost) - 1
            if not count:
                return "no plan has less than 1 sheet"
            less = "1 sheet is" if count == 1 else f"{count} sheets are"
        if self.bound.about == AREA:
            return f"{less} too small by area"
        if self.bound.about == LISTED:
            return f"{less} too little, however the parts are laid out"
        return f"{less} too small for the lengths and widths of the parts side by side"
