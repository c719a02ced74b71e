"""Boards of one width whose narrower parts are ripped, planned in two ways; the cheaper is taken.

One chooses rips and crosscuts together (``strips``), the other lays boards out as narrow
sheets with the grain along them.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace

from cutopt.errors import CannotPlanError
from cutopt.model.job import Grain
from cutopt.model.layout import blanks_of
from cutopt.solve.boards import plan_boards
from cutopt.solve.lumber import Lumber
from cutopt.solve.lumber_plan import plan_lumber
from cutopt.solve.params import Answer, Item, Pattern, Problem, Search, Watch
from cutopt.solve.sheets import plan_sheets
from cutopt.units import Units


def rip_boards(
    problem: Problem,
    rips: Sequence[bool],
    search: Search,
    watch: Watch,
    *,
    names: Mapping[str, str] | None = None,
    units: Units = Units.INCH,
) -> Answer:
    """Give layouts of boards whose narrower parts are ripped from those that may be ripped.

    Args:
        problem: one material.
        rips: for each type of its stock, whether it may be ripped.
        search: how hard to try.
        watch: hears of progress and may stop the search.
        names: of parts in what is said; parts not in it go by their id.
        units: of lengths in what is said.

    Raises:
        CannotPlanError: an item fits no stock, or the stock does not suffice.
    """
    along = tuple(replace(item, grain=Grain.LENGTH) for item in problem.items)
    suits = tuple(
        tuple(item.width == held.width or (rip and item.width < held.width) for item in along)
        for held, rip in zip(problem.stock, rips, strict=True)
    )
    strips = plan_lumber(Lumber(replace(problem, items=along), suits), search, watch)
    if strips is None:
        return _as_sheets(problem, rips, search, watch, names, units)
    problem = replace(problem, enough=max(problem.enough, strips.cost))
    try:
        sheets = _as_sheets(problem, rips, search, watch, names, units)
    except CannotPlanError:  # it may need more search than rips and crosscuts chosen together
        return strips
    best = min((sheets, strips), key=lambda answer: answer.cost)
    bound = max(sheets.lower_bound, strips.lower_bound)
    said = best if sheets.lower_bound == bound else strips
    return replace(
        best,
        lower_bound=min(bound, best.cost),
        why=said.why,
        limit_hit=sheets.limit_hit or strips.limit_hit,
    )


def _as_sheets(
    problem: Problem,
    rips: Sequence[bool],
    search: Search,
    watch: Watch,
    names: Mapping[str, str] | None,
    units: Units,
) -> Answer:
    """Give layouts of boards taken as narrow sheets.

    Where the cheapest way would rip a board that may not be, two others are tried: all parts
    from boards that may, or whole-width parts from those that may not and the rest from those
    that may. The bound of the freer problem holds for all.

    Raises:
        CannotPlanError: an item fits no stock, or the stock does not suffice.
    """
    grained = tuple(replace(kind, grain=True) for kind in problem.stock)
    along = tuple(replace(item, grain=Grain.LENGTH) for item in problem.items)
    free = replace(problem, items=along, stock=grained)
    answer = plan_sheets(free, search, watch, names=names, units=units)
    why = answer.why.replace("sheet", "board")
    if all(rips[pattern.stock] or _whole_width(free, pattern) for pattern in answer.patterns):
        return replace(answer, why=why)

    def from_ripped(items: tuple[Item, ...] = along) -> Answer:
        may = [number for number, rip in enumerate(rips) if rip]
        part = replace(free, items=items, stock=tuple(grained[number] for number in may))
        return _of(may, plan_sheets(part, search, watch, names=names, units=units))

    def apart() -> Answer:
        may_not = [number for number, rip in enumerate(rips) if not rip]
        whole = {kind.width for kind in problem.stock}
        wide = tuple(item for item in along if {item.width} == whole)
        narrow = tuple(item for item in along if {item.width} != whole)
        part = replace(free, items=wide, stock=tuple(grained[number] for number in may_not))
        first = _of(may_not, plan_boards(part, search, watch, names=names, units=units))
        rest = from_ripped(narrow)
        return Answer(
            first.patterns + rest.patterns,
            first.cost + rest.cost,
            0,
            limit_hit=first.limit_hit or rest.limit_hit,
        )

    best = cheapest_of((from_ripped, apart))
    return replace(best, lower_bound=min(answer.lower_bound, best.cost), why=why, next_best="")


def cheapest_of(ways: Sequence[Callable[[], Answer]]) -> Answer:
    """Give the cheapest answer of several ways to plan, leaving out those that cannot be.

    Raises:
        CannotPlanError: from the first way, where none can be planned.
    """
    found: list[Answer] = []
    failed: list[CannotPlanError] = []
    for way in ways:
        try:
            found.append(way())
        except CannotPlanError as error:
            failed.append(error)
    if not found:
        raise failed[0]
    return min(found, key=lambda answer: answer.cost)


def _of(types: Sequence[int], answer: Answer) -> Answer:
    """Give the answer to a problem with some of the stock in terms of all of it."""
    patterns = tuple(Pattern(types[pattern.stock], pattern.layout) for pattern in answer.patterns)
    return replace(answer, patterns=patterns)


def _whole_width(problem: Problem, pattern: Pattern) -> bool:
    """Say whether a piece is only crosscut."""
    width = problem.stock[pattern.stock].width
    return all(blank.width == width for blank in blanks_of(pattern.layout))
