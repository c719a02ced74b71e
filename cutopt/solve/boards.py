"""Boards: which lengths to buy and what to crosscut from each, at least cost, proved.

The steps are in modules of their own: ``boards_load`` (whole numbers), ``boards_fill``
(a quick packing), ``boards_mixture`` (relaxation and cuts), ``boards_purchase`` and
``boards_pack`` (which boards, and whether they hold the parts), ``boards_offcut``.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from cutopt.errors import CannotPlanError
from cutopt.model.job import Kind
from cutopt.model.layout import Blank, Direction, Layout, Split
from cutopt.solve.boards_load import Packing, Sorted, sort_load, used
from cutopt.solve.boards_offcut import lengthen_offcut
from cutopt.solve.boards_search import find_cheapest, prove_bound
from cutopt.solve.boards_words import next_best, why
from cutopt.solve.explain import explain, what_does_not_fit
from cutopt.solve.params import Answer, Pattern, Preparing, Problem, Search, Watch
from cutopt.units import Units


def plan_boards(
    problem: Problem,
    search: Search,
    watch: Watch,
    *,
    names: Mapping[str, str] | None = None,
    units: Units = Units.INCH,
) -> Answer:
    """Give the cheapest boards found for a problem, how to crosscut them, and what is proved.

    Args:
        problem: one material; items as wide as the stock.
        search: how hard to try.
        watch: hears of progress and may stop the search.
        names: of parts in what is said; parts not in it go by their id.
        units: of lengths in what is said.

    Raises:
        CannotPlanError: an item is longer than all stock, or the stock does not suffice.
    """
    if not problem.items:
        return Answer((), 0, 0)
    faults = what_does_not_fit(problem, names or {}, units)
    if faults:
        raise CannotPlanError(faults)
    sort = sort_load(problem.items, problem.stock, problem.kerf)
    _say_if_slow(watch)
    found = find_cheapest(sort.load, search, problem.what, watch)
    if found.packing is None or found.cost is None:
        raise CannotPlanError(explain(problem, names or {}, units, Kind.BOARD))
    cost, bound = found.cost, found.cost if found.bound is None else found.bound
    if problem.kerf_bound < problem.kerf:
        thinner = sort_load(problem.items, problem.stock, problem.kerf_bound)
        bound = prove_bound(thinner.load, cost, search, watch)
    packing = found.packing
    if search.effort and search.second_goals and not watch.stopped():
        packing = lengthen_offcut(found, packing, search, watch)
    runner_up = next_best(problem, sort, found, packing, search, watch, units)
    watch.report(problem.what, cost, bound)
    return Answer(
        patterns=_patterns(problem, sort, packing),
        cost=cost,
        lower_bound=bound,
        why=why(problem, sort, packing, cost, bound, units),
        next_best=runner_up,
        limit_hit=watch.stopped(),
    )


def _say_if_slow(watch: Watch) -> None:
    """Tell a watch that listens where the search has to be compiled first."""
    from cutopt.solve.kernel.compiling import is_compiled  # noqa: PLC0415 (slow)

    if not is_compiled() and isinstance(watch, Preparing):
        watch.preparing("preparing the search, once, about 5 s")


def _patterns(problem: Problem, sort: Sorted, packing: Packing) -> tuple[Pattern, ...]:
    """Give the packing with the problem's own items and stock, fullest boards first."""
    waiting = [
        [item for index in kind for item in [problem.items[index]] * problem.items[index].qty]
        for kind in sort.parts
    ]
    boards = _stock_in_turn(problem, sort, used(sort.load, packing))
    patterns = []
    fullest = sorted(
        packing,
        key=lambda filled: (filled.board, _left(sort, filled.board, filled.counts)),
    )
    for filled in fullest:
        blanks = []
        for kind, count in enumerate(filled.counts):
            for _ in range(count):
                item = waiting[kind].pop(0)
                blanks.append(Blank(item.part, item.length, item.width))
        layout: Layout = blanks[0] if len(blanks) == 1 else Split(Direction.CROSSCUT, tuple(blanks))
        patterns.append(Pattern(boards[filled.board].pop(0), layout))
    return tuple(sorted(patterns, key=lambda pattern: pattern.stock))


def _left(sort: Sorted, board: int, counts: Sequence[int]) -> int:
    load = sort.load
    return load.rooms[board] - sum(c * w for c, w in zip(counts, load.weights, strict=True))


def _stock_in_turn(problem: Problem, sort: Sorted, taken: Sequence[int]) -> list[list[int]]:
    """Give, for each kind of board of the load, the stock types its boards come from."""
    turns = []
    for indices, count in zip(sort.boards, taken, strict=True):
        turn: list[int] = []
        for index in indices:
            available = problem.stock[index].available
            left = count - len(turn)
            turn.extend([index] * (left if available is None else min(left, available)))
        turns.append(turn)
    return turns
