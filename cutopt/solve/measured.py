"""Boards whose bad spans are measured: clear parts between them, at least cost, proved.

First every part is kept clear of bad spans: each clear run is a board that costs nothing, and
the engine for boards does the rest. Parts that may contain bad spans can do better: where that
may save money, whole boards are searched (``measured_search``). Last comes the longest clear
leftover at that cost.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from cutopt.errors import CannotPlanError
from cutopt.model.job import Kind
from cutopt.model.layout import Layout, blanks_of
from cutopt.solve.boards import plan_boards
from cutopt.solve.explain import explain, what_does_not_fit
from cutopt.solve.measured_runs import Run, clear_runs, side_by_side
from cutopt.solve.measured_search import lengthen_clear, search_boards
from cutopt.solve.params import Answer, Pattern, Problem, Search, StockType, Watch
from cutopt.units import Ticks, Units, format_length


def plan_measured(
    problem: Problem,
    search: Search,
    watch: Watch,
    *,
    names: Mapping[str, str],
    units: Units,
) -> Answer:
    """Give the cheapest boards found, with clear parts between bad spans, and what is proved.

    Args:
        problem: one material; items as wide as the stock.
        search: how hard to try.
        watch: hears of progress and may stop the search.
        names: of parts in what is said.
        units: of lengths in what is said.

    Raises:
        CannotPlanError: a part fits no clear run and no stock, or the stock does not suffice.
    """
    strict = _Strict.of(problem, units)
    clear = tuple(item for item in problem.items if not item.knots_ok)
    faults = what_does_not_fit(replace(strict.problem, items=clear), names, units)
    faults += what_does_not_fit(
        replace(problem, items=tuple(i for i in problem.items if i.knots_ok)), names, units
    )
    if faults:
        raise CannotPlanError(faults)
    first = _all_clear(strict, replace(search, second_goals=False), watch, names, units)
    if first is not None and len(clear) == len(problem.items) and not strict.narrow:
        best = first
    else:
        best = _better(problem, first, search, watch, names, units)
    if search.effort and search.second_goals and not watch.stopped():
        longer = lengthen_clear(problem, best, _longest(problem, best), search, watch)
        if longer is not None:
            best = replace(best, patterns=longer.patterns)
    watch.report(problem.what, best.cost, best.lower_bound)
    return replace(best, limit_hit=watch.stopped())


@dataclass(frozen=True, slots=True)
class _Strict:
    """The problem with each clear run as a piece of stock of its own.

    Attributes:
        origin: for each of its types the type it comes from, and the run.
        narrow: some bad span is narrower than the kerf, so that two runs cannot both be used
            up to it; the run behind it begins later here.
    """

    problem: Problem
    origin: tuple[tuple[int, Run | None], ...]
    narrow: bool

    @classmethod
    def of(cls, problem: Problem, units: Units) -> _Strict:
        types: list[StockType] = []
        origin: list[tuple[int, Run | None]] = []
        narrow = False
        for index, kind in enumerate(problem.stock):
            if not kind.bad:
                types.append(kind)
                origin.append((index, None))
                continue
            past = Ticks(0)
            for run in clear_runs(kind):
                start = max(run.start, past)
                narrow |= start > run.start
                past = Ticks(run.end + problem.kerf)
                if start >= run.end:
                    continue
                ends = [format_length(at, units, unit_mark=True) for at in (run.start, run.end)]
                name = f"{kind.name}, clear from {ends[0]} to {ends[1]}"
                length = Ticks(run.end - start)
                types.append(replace(kind, name=name, length=length, bad=()))
                origin.append((index, run))
        return cls(replace(problem, stock=tuple(types)), tuple(origin), narrow)

    def whole(self, patterns: Sequence[Pattern]) -> tuple[Pattern, ...]:
        """Give patterns of runs as patterns of whole boards."""
        done: list[Pattern] = []
        boards: dict[int, list[list[tuple[Run, Layout]]]] = defaultdict(list)
        for pattern in patterns:
            index, run = self.origin[pattern.stock]
            if run is None:
                done.append(Pattern(index, pattern.layout))
                continue
            # Boards measured alike: one of them whose run is not taken yet.
            taken = (filled for filled in boards[index] if all(run != other for other, _ in filled))
            board = next(taken, None)
            if board is None:
                board = []
                boards[index].append(board)
            board.append((run, pattern.layout))
        for index, filled in boards.items():
            for board in filled:
                blanks = [
                    replace(blank, start=run.start)
                    for run, layout in sorted(board, key=lambda pair: pair[0].start)
                    for blank in blanks_of(layout)
                ]
                done.append(Pattern(index, side_by_side(blanks)))
        return tuple(sorted(done, key=lambda pattern: pattern.stock))


def _all_clear(
    strict: _Strict, search: Search, watch: Watch, names: Mapping[str, str], units: Units
) -> Answer | None:
    """Give the best plan that keeps every part clear, or None where there is none."""
    try:
        answer = plan_boards(strict.problem, search, watch, names=names, units=units)
    except CannotPlanError:
        if all(not item.knots_ok for item in strict.problem.items) and not strict.narrow:
            raise
        return None
    return replace(answer, patterns=strict.whole(answer.patterns))


def _better(
    problem: Problem,
    first: Answer | None,
    search: Search,
    watch: Watch,
    names: Mapping[str, str],
    units: Units,
) -> Answer:
    """Give the first plan, or a cheaper one in which parts contain bad spans, with its bound."""
    best, bound = first, 0
    if best is None or best.cost:
        found = search_boards(problem, problem.kerf, best, search, watch)
        best, bound = found.answer or best, found.bound
    if best is None:
        raise CannotPlanError(explain(problem, names, units, Kind.BOARD))
    if bound and problem.kerf_bound < problem.kerf:
        thinner = search_boards(problem, problem.kerf_bound, best, search, watch)
        bound = min(bound, thinner.bound)
    bound = min(bound, best.cost)
    return replace(best, lower_bound=bound, why=_why(best.cost, bound))


def _longest(problem: Problem, answer: Answer) -> int:
    """Give the longest leftover of a plan without a bad span, ticks."""
    return max(
        longest_clear(problem.stock[pattern.stock], pattern.layout, problem.kerf)
        for pattern in answer.patterns
    )


def _why(cost: int, bound: int) -> str:
    if cost == 0:
        return "what is owned is enough"
    if bound < cost:
        return "not every cheaper purchase is ruled out"
    return "no cheaper purchase holds all parts with what is clear of the boards owned"


def longest_clear(kind: StockType, layout: Layout, kerf: int) -> int:
    """Give the longest leftover of a board without a bad span, ticks."""
    gaps: list[tuple[int, int]] = []
    free = 0
    for blank in blanks_of(layout):
        start = max(free, blank.start)
        gaps.append((free, start - kerf))
        free = start + blank.length + kerf
    gaps.append((free, kind.length))
    return max(
        min(end, run.end) - max(start, run.start) for start, end in gaps for run in clear_runs(kind)
    )
