"""What an answer for boards says in a builder's words: why no less will do, what comes next."""

from __future__ import annotations

from collections.abc import Sequence

from cutopt.solve.boards_load import Load, Packing, Sorted, cost_of, used
from cutopt.solve.boards_mixture import length_cut
from cutopt.solve.boards_purchase import Purchases, boards_of, cheapest_purchase
from cutopt.solve.boards_search import Found, Quiet, side_work
from cutopt.solve.params import Problem, Search, Watch
from cutopt.units import SIXTY_FOURTH, TENTH, Units, format_length

_MOST_PARTS = (0, 150, 400, 1_000)
_GUESSES = 15


def why(
    problem: Problem, sort: Sorted, packing: Packing, cost: int, bound: int, units: Units
) -> str:
    """Say where the bound comes from, in one line."""
    load = sort.load
    taken = used(load, packing)
    bought = [board for board, count in enumerate(taken) if count and load.costs[board]]
    if cost == 0:
        return "what is owned is enough"
    if bound < cost:
        return "not every cheaper purchase is ruled out"
    if problem.kerf_bound < problem.kerf:
        return "no cheaper purchase holds all parts, even with the thinnest saw"
    if len([c for c in load.costs if c]) > 1:
        by_length = length_cut(load).least_cost(load) >= cost
        return (
            "every cheaper mix of lengths is too short together"
            if by_length
            else "no cheaper mix of lengths holds all parts"
        )
    count = taken[bought[0]]
    short = _short_of(problem, sort.boards[bought[0]], count - 1, problem.kerf)
    boards = _counted(count, "board")
    with_owned = " with those owned" if 0 in load.costs else ""
    if count == 1 and not with_owned:
        return "1 board is the least there is"
    if short > 0:
        step = SIXTY_FOURTH if units is Units.INCH else TENTH
        length = format_length(-(-short // step) * step, units, unit_mark=True)
        verb = "is" if count == 2 else "are"
        if problem.kerf and _short_of(problem, sort.boards[bought[0]], count - 1, kerf=0) <= 0:
            return (
                f"{boards}; {count - 1}{with_owned} {verb} long enough for the parts but not"
                f" for the saw cuts: {length} short"
            )
        return f"{boards}; {count - 1}{with_owned} {verb} {length} short, cuts included"
    return f"{boards}; no way of cutting gets all parts from {count - 1}{with_owned}"


def _short_of(problem: Problem, stock: Sequence[int], count: int, kerf: int) -> int:
    """Give how much longer (ticks) all parts are than ``count`` boards and what is owned."""
    lightest = min(item.length for item in problem.items)
    need = sum(item.qty * (item.length + kerf) for item in problem.items)
    have = count * (max(problem.stock[index].length for index in stock) + kerf)
    owned = sum(
        (kind.length + kerf) * (kind.available or 0)
        for kind in problem.stock
        if kind.cost == 0 and kind.length >= lightest
    )
    return need - have - owned


def next_best(
    problem: Problem,
    sort: Sorted,
    found: Found,
    packing: Packing,
    search: Search,
    watch: Watch,
    units: Units,
) -> str:
    """Give the next best purchase and what it costs more, or "" where it is not known.

    Another purchase takes fewer of some board than the plan; more of all is none. Where
    boards were left out as needless, one of those may come next, so nothing is said.
    """
    load = sort.load
    if (
        found.cost is None
        or sort.needless
        or sum(1 for cost in load.costs if cost) < 2
        or sum(load.demands) > _MOST_PARTS[search.effort]
        or watch.stopped()
    ):
        return ""
    others = Purchases(
        load, found.purchases.cuts, list(found.purchases.ruled_out), unlike=boards_of(load, packing)
    )
    outcome = cheapest_purchase(
        others,
        found.mixture,
        None,
        found.cost,
        None,
        found.worth,
        side_work(search),
        _GUESSES,
        search.seed,
        "",
        Quiet(watch),
    )
    if outcome.packing is None or outcome.bound != cost_of(load, outcome.packing):
        return ""
    boards = used(load, outcome.packing)
    more = outcome.bound - found.cost
    return f"{_listed(problem, sort, load, boards)}, {_dearer(problem, more, units)}"


def _listed(problem: Problem, sort: Sorted, load: Load, boards: Sequence[int]) -> str:
    """Give a purchase as counts and names of stock."""
    words = [
        f"{count} of {problem.stock[sort.boards[board][0]].name}"
        for board, count in enumerate(boards)
        if count and load.costs[board]
    ]
    return " and ".join((", ".join(words[:-1]), words[-1])) if len(words) > 1 else words[0]


def _dearer(problem: Problem, more: int, units: Units) -> str:
    """Say what a purchase costs more: money, or length of board where nothing has a price."""
    if more == 0:
        return "at the same cost"
    if problem.priced:
        return f"{more // 100}.{more % 100:02d} more"
    return f"{format_length(more, units, unit_mark=True)} more board"


def _counted(count: int, thing: str) -> str:
    return f"{count} {thing}" if count == 1 else f"{count} {thing}s"
