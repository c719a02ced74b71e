"""All boards of one lumber planned together: a cheap purchase, and what is proved of any.

The bound is a dialogue: the cheapest purchase that meets all weighings so far is weighed
anew; where that shows it too small, one more weighing is met, else its cost is the bound.
It holds for any straight cuts and for copies of a part from several widths of board.
"""

from __future__ import annotations

from collections.abc import Sequence

from cutopt.errors import CannotPlanError
from cutopt.solve.bounds import Weighing, area_weighings, cheapest_purchase
from cutopt.solve.lumber import MOST_SIZES, Lumber, LumberFills
from cutopt.solve.params import Answer, Pattern, Problem, Search, Unwatched, Watch
from cutopt.solve.sheets import plan_sheets
from cutopt.solve.sheets_mixture import Mixture
from cutopt.solve.sheets_sizes import cost_of, patterns_of
from cutopt.solve.strips import Strips

_WORK = (0.4, 1.0, 5.0, 20.0)
"""Of the choice among patterns, by effort, in the solver's own measure (about seconds)."""

_PURCHASES = (10, 30, 100, 400)
"""Purchases weighed, by effort."""

_WIDENED = (5, 20, 60, 200)
"""Rounds of crosscuts at worths near the best ones, by effort."""

_ROUNDS = 12
_FEW = 20
"""Parts up to which layouts of whole boards at a time add much to rips and crosscuts."""

PROVED = "whatever strips the boards are ripped into, a cheaper purchase gives too little"
NOT_PROVED = "not proved: whether rips could be shared out more cheaply"


def plan_lumber(
    lumber: Lumber, search: Search, watch: Watch, known_cost: int | None = None
) -> Answer | None:
    """Give boards that make all items, and a bound that holds for any purchase of them.

    None where no such boards were found.

    Args:
        lumber: all boards and what may come from them.
        search: how hard to try.
        watch: hears of progress and may stop the search.
        known_cost: of a purchase that does; the bound is not sought beyond it.
    """
    problem = lumber.problem
    if not problem.items:
        return Answer((), 0, 0)
    strips = Strips(lumber, watch.stopped)
    strips.improve()
    strips.widen(_WIDENED[search.effort])
    if strips.sizes.count <= _FEW:
        strips.add_layouts(_as_sheets(problem))
    laid = strips.choose(_WORK[search.effort])
    if laid is None:
        return None
    cost = cost_of(strips.sizes, laid)
    same = problem.kerf_bound == problem.kerf
    weighings = strips.weighings if same else []
    enough = cost if known_cost is None else min(cost, known_cost)
    bound = lumber_bound(lumber, enough, weighings, search, watch)
    watch.report(problem.what, cost, bound)
    return Answer(
        patterns_of(problem, strips.sizes, laid),
        cost,
        bound,
        why=PROVED if bound == cost else NOT_PROVED,
        limit_hit=watch.stopped(),
    )


def _as_sheets(problem: Problem) -> Sequence[Pattern]:
    """Give boards laid out as narrow sheets, each as if it might be ripped."""
    try:
        return plan_sheets(problem, Search(effort=0, second_goals=False), Unwatched()).patterns
    except CannotPlanError:
        return ()


def lumber_bound(
    lumber: Lumber,
    cost: int,
    known: list[Weighing],
    search: Search,
    watch: Watch,
    most: int = MOST_SIZES,
) -> int:
    """Give what no purchase of a lumber costs less than, at most ``cost``.

    Args:
        lumber: the problem; its finest kerf is used.
        cost: of a purchase that does.
        known: weighings that hold already.
        search: how hard to try.
        watch: may end it.
        most: sizes each way that a board is priced by.
    """
    sizes = lumber.sizes(lumber.problem.kerf_bound)
    fills = LumberFills(sizes, most)
    mixture = Mixture(len(sizes.types), fills)
    weighings = [*area_weighings(sizes), *(_lighter(weighing) for weighing in known)]
    bound = 0
    for _ in range(_PURCHASES[search.effort]):
        cheapest = cheapest_purchase(sizes, weighings)
        if cheapest.cost is None or cheapest.cost >= cost:
            return cost  # nothing cheaper meets what every purchase has to
        bound = max(bound, cheapest.cost)
        if not cheapest.counts or watch.stopped():
            return bound
        shown = mixture.weigh(cheapest.counts, _ROUNDS, watch.stopped)
        if shown is None or not shown.proved:
            return bound
        weighings.append(_lighter(shown.weighing))
    return bound


def _lighter(weighing: Weighing) -> Weighing:
    """Give a weighing in numbers small enough to add up, never asking for more."""
    unit = max(1, max(*weighing.capacities, weighing.demand) >> 40)
    return Weighing(
        tuple(-(-capacity // unit) for capacity in weighing.capacities),
        weighing.demand // unit,
        weighing.about,
    )
