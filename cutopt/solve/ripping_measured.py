"""Boards with bad spans in a material of which parts are ripped: crosscut only, or left alone.

How strips lie beside a bad span is not planned. So two ways are tried and the cheaper is taken:
boards with bad spans are not used, or they give the whole-width parts that the cheapest
crosscut plan of those parts takes from them. What is proved is the cost with no bad spans at all.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import replace

from cutopt.errors import CannotPlanError
from cutopt.model.layout import blanks_of
from cutopt.solve.boards_search import Quiet
from cutopt.solve.measured import plan_measured
from cutopt.solve.params import Answer, Pattern, Problem, Search, Watch
from cutopt.solve.ripping import cheapest_of, rip_boards
from cutopt.units import Ticks, Units


def rip_measured(
    problem: Problem,
    rips: Sequence[bool],
    search: Search,
    watch: Watch,
    *,
    names: Mapping[str, str],
    units: Units,
) -> Answer:
    """Give layouts of boards, some with bad spans, whose narrower parts are ripped.

    Args:
        problem: one material.
        rips: for each type of its stock, whether it may be ripped.
        search: how hard to try.
        watch: hears of progress and may stop the search.
        names: of parts in what is said.
        units: of lengths in what is said.

    Raises:
        CannotPlanError: an item fits no stock, or the stock does not suffice.
    """

    def ripped(asked: Problem) -> Answer:
        return rip_boards(asked, rips, search, watch, names=names, units=units)

    def without_them() -> Answer:
        return ripped(sound)

    def with_crosscuts() -> Answer:
        done = _crosscut(problem, search, watch, names, units)
        made = Counter(blank.part for pattern in done for blank in blanks_of(pattern.layout))
        cost = sum(problem.stock[pattern.stock].cost for pattern in done)
        rest = tuple(
            replace(item, qty=item.qty - made[item.part])
            for item in problem.items
            if item.qty > made[item.part]
        )
        if not rest:
            return Answer(done, cost, 0)
        answer = ripped(replace(sound, items=rest))
        return Answer(done + answer.patterns, cost + answer.cost, 0, limit_hit=answer.limit_hit)

    sound = replace(
        problem,
        stock=tuple(replace(held, available=0) if held.bad else held for held in problem.stock),
    )
    best = cheapest_of((without_them, with_crosscuts))
    bound, why = _least(problem, rips, watch, names, units)
    if bound < best.cost:
        why = "not proved: boards with bad spans are not ripped, and strips of them might do"
    return replace(best, lower_bound=min(bound, best.cost), why=why, next_best="")


def _crosscut(
    problem: Problem, search: Search, watch: Watch, names: Mapping[str, str], units: Units
) -> tuple[Pattern, ...]:
    """Give what boards with bad spans hold in a crosscut plan of the parts as wide as they are.

    Raises:
        CannotPlanError: there is no such plan.
    """
    done: list[Pattern] = []
    widths: set[Ticks] = {held.width for held in problem.stock if held.bad}
    for width in sorted(widths):
        items = tuple(item for item in problem.items if item.width == width)
        if not items:
            continue
        alike = [number for number, held in enumerate(problem.stock) if held.width == width]
        part = replace(problem, items=items, stock=tuple(problem.stock[n] for n in alike))
        answer = plan_measured(part, search, Quiet(watch), names=names, units=units)
        done += [
            Pattern(alike[pattern.stock], pattern.layout)
            for pattern in answer.patterns
            if part.stock[pattern.stock].bad
        ]
    return tuple(done)


def _least(
    problem: Problem,
    rips: Sequence[bool],
    watch: Watch,
    names: Mapping[str, str],
    units: Units,
) -> tuple[int, str]:
    """Give a cost no plan undercuts, that of boards without bad spans, and where it comes from."""
    eased = replace(problem, stock=tuple(replace(held, bad=()) for held in problem.stock))
    try:
        least = rip_boards(eased, rips, Search(effort=0), Quiet(watch), names=names, units=units)
    except CannotPlanError:  # stock that barely suffices may take more search
        return 0, ""
    return least.lower_bound, least.why
