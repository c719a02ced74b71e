"""Parts that may contain bad spans: boards filled from left to right, run after run, exactly.

On a board, all that matters is how many of each kind of part begin in each clear run: parts
that must be clear come first and end in it; those that may contain bad spans follow and may
reach past it. Any arrangement can be put in that order without moving a clear part out of its
run, so the model leaves nothing out.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise

from ortools.sat.python import cp_model

from cutopt.model.layout import Blank
from cutopt.solve.choosing import repeatable_solver
from cutopt.solve.knapsack import list_fills
from cutopt.solve.measured_runs import Run, clear_runs, side_by_side
from cutopt.solve.params import Answer, Item, Pattern, Problem, Search, StockType
from cutopt.units import Ticks

_WORK = (0.2, 1.0, 20.0, 120.0)
_TIDY_WORK = (0.0, 0.2, 3.0, 20.0)
_SOLVED = (cp_model.OPTIMAL, cp_model.FEASIBLE)
_MOST_FILLS = (500, 2_000, 10_000, 40_000)
_MOST_CELLS = (2_000, 6_000, 20_000, 60_000)
"""Numbers the model may ask for: runs times kinds of parts."""


@dataclass(frozen=True, slots=True)
class Found:
    """What a search gives.

    Attributes:
        answer: the cheapest plan found that is cheaper than the one known, or None.
        bound: no plan costs less.
    """

    answer: Answer | None
    bound: int


@dataclass(frozen=True, slots=True)
class _Kind:
    """Parts of one length, all clear or all not; ``items`` they stand for."""

    length: int
    knots_ok: bool
    items: tuple[Item, ...]

    @property
    def count(self) -> int:
        return sum(item.qty for item in self.items)


@dataclass(frozen=True, slots=True)
class _Stretch:
    """A run of one board in the model.

    Attributes:
        run: None before the first run.
        counts: of the parts that begin in it, by kind.
        past: where the next part could begin.
    """

    run: Run | None
    counts: dict[int, cp_model.IntVar]
    past: cp_model.IntVar


@dataclass(frozen=True, slots=True)
class _Fill:
    """A way to fill a board without bad spans, used so many times.

    Attributes:
        counts: of parts by length.
    """

    stock: int
    counts: tuple[int, ...]
    times: cp_model.IntVar


@dataclass(frozen=True, slots=True)
class _Board:
    stock: int
    used: cp_model.IntVar
    stretches: tuple[_Stretch, ...]


def search_boards(
    problem: Problem, kerf: int, known: Answer | None, bound: int, search: Search
) -> Found:
    """Give a plan cheaper than the one known, and what is proved about cost.

    Args:
        problem: one material; items as wide as the stock.
        kerf: between neighbours.
        known: the best plan known, if any.
        bound: a cost proved not to be undercut.
        search: how hard to try.
    """
    ceiling = None if known is None else known.cost - 1
    fills = _MOST_FILLS[search.effort]
    # Most often the bound is met, and one that must be met is quicker to answer.
    asked = _Model(problem, kerf, bound, bound, fills)
    if asked.cells > _MOST_CELLS[search.effort]:
        return Found(None, bound)
    solver = repeatable_solver(_WORK[search.effort], linearization=2)
    status = solver.solve(asked.model)
    if status in _SOLVED:
        return Found(asked.answer(solver), bound)
    if status == cp_model.INFEASIBLE:
        bound += 1
    asked = _Model(problem, kerf, bound, ceiling, fills)
    asked.model.minimize(asked.cost)
    solver = repeatable_solver(_WORK[search.effort], linearization=2)
    solver.parameters.optimize_with_lb_tree_search = True
    status = solver.solve(asked.model)
    if status == cp_model.INFEASIBLE:
        return Found(None, bound if known is None else known.cost)
    # The objective is a whole number: its bound may be a hair below one.
    bound = max(bound, math.ceil(solver.best_objective_bound - 1e-6))
    return Found(asked.answer(solver) if status in _SOLVED else None, bound)


def lengthen_clear(problem: Problem, known: Answer, longest: int, search: Search) -> Answer | None:
    """Give a plan that costs no more and leaves more than ``longest`` ticks clear in one piece.

    None where the work allowed finds none.
    """
    fills = _MOST_FILLS[search.effort]
    asked = _Model(problem, problem.kerf, 0, known.cost, fills, one_open=True)
    if asked.cells > _MOST_CELLS[search.effort]:
        return None
    asked.ask_for_leftover(longest + 1)
    solver = repeatable_solver(_TIDY_WORK[search.effort])
    status = solver.solve(asked.model)
    return asked.answer(solver) if status in _SOLVED else None


class _Model:
    """Which boards are used, and how many parts of each kind begin in which of their runs.

    Boards without bad spans are chosen by how they are filled, where the full fills can be
    listed: no fill needs be known but the full ones, as what is made too often is left out.
    """

    def __init__(
        self,
        problem: Problem,
        kerf: int,
        bound: int,
        ceiling: int | None,
        most_fills: int,
        *,
        one_open: bool = False,
    ) -> None:
        self.model = cp_model.CpModel()
        self._problem = problem
        self._kerf = kerf
        self._kinds = _kinds(problem.items)
        self._lengths = tuple(dict.fromkeys(kind.length for kind in self._kinds))
        self._fills: list[_Fill] = []
        boards: list[_Board] = []
        terms: list[tuple[cp_model.IntVar, int]] = []
        for index, stock in enumerate(problem.stock):
            most = _most(problem, stock, ceiling)
            fills = None if stock.bad else self._full_fills(stock, most_fills)
            if fills is None:
                boards += [self._board(index) for _ in range(most)]
                continue
            times = [self.model.new_int_var(0, most, "") for _ in fills]
            self._fills += [
                _Fill(index, counts, many) for counts, many in zip(fills, times, strict=True)
            ]
            terms += [(many, stock.cost) for many in times]
            open_ones = [self._board(index)] if one_open and most else []
            boards += open_ones
            taken = [(many, 1) for many in times] + [(board.used, 1) for board in open_ones]
            self.model.add(_sum(taken) <= most)
        self._boards = tuple(boards)
        self.cells = sum(len(b.stretches) + 1 for b in boards) * len(self._kinds)
        self._in_turn()
        self._make_all()
        terms += [(b.used, problem.stock[b.stock].cost) for b in self._boards]
        self.cost = _sum(terms)
        self.model.add(self.cost >= bound)
        if ceiling is not None:
            self.model.add(self.cost <= ceiling)

    def _full_fills(self, stock: StockType, most: int) -> list[tuple[int, ...]] | None:
        """Give every full fill of a board without bad spans, by length; None for too many."""
        weights = [length + self._kerf for length in self._lengths]
        unit = math.gcd(*weights)
        needed = [
            sum(kind.count for kind in self._kinds if kind.length == length)
            for length in self._lengths
        ]
        room = (stock.length + self._kerf) // unit
        return list_fills(room, [weight // unit for weight in weights], needed, (), most)

    def _make_all(self) -> None:
        """Ask for every part: in runs no more than there are, in full fills at least the rest."""
        for number, length in enumerate(self._lengths):
            together: list[tuple[cp_model.IntVar, int]] = [
                (fill.times, fill.counts[number]) for fill in self._fills if fill.counts[number]
            ]
            kinds = [(i, kind) for i, kind in enumerate(self._kinds) if kind.length == length]
            for index, kind in kinds:
                made = [(s.counts[index], 1) for b in self._boards for s in b.stretches
                        if index in s.counts]  # fmt: skip
                if made:
                    self.model.add(_sum(made) <= kind.count)
                together += made
            self.model.add(_sum(together) >= sum(kind.count for _, kind in kinds))

    def _board(self, index: int) -> _Board:
        model, stock = self.model, self._problem.stock[index]
        used = model.new_bool_var("")
        room = stock.length + self._kerf
        stretches: list[_Stretch] = []
        past: cp_model.IntVar | None = None
        for run in (None, *clear_runs(stock)):
            counts = {
                number: model.new_int_var(
                    0, min(kind.count, room // (kind.length + self._kerf)), ""
                )
                for number, kind in enumerate(self._kinds)
                if kind.knots_ok or (run is not None and kind.length <= run.end - run.start)
            }
            next_past = model.new_int_var(0, room, "")
            before = [] if past is None else [(past, -1)]
            model.add(_sum([(next_past, 1), *before, *self._weights(counts, sign=-1)]) >= 0)
            if run is not None:
                self._keep_clear(run, counts, next_past)
            for count in counts.values():
                model.add(count == 0).only_enforce_if(~used)
            stretches.append(_Stretch(run, counts, next_past))
            past = next_past
        return _Board(index, used, tuple(stretches))

    def _weights(
        self, counts: dict[int, cp_model.IntVar], *, sign: int
    ) -> list[tuple[cp_model.IntVar, int]]:
        return [
            (count, sign * (self._kinds[number].length + self._kerf))
            for number, count in counts.items()
        ]

    def _keep_clear(
        self, run: Run, counts: dict[int, cp_model.IntVar], past: cp_model.IntVar
    ) -> None:
        """Ask that clear parts begin and end in the run."""
        numbers = [number for number in counts if not self._kinds[number].knots_ok]
        if not numbers:
            return
        holds = self.model.new_bool_var("")
        for number in numbers:
            self.model.add(counts[number] == 0).only_enforce_if(~holds)
        begun = _sum([(past, 1), *self._weights(counts, sign=-1)])
        self.model.add(begun >= run.start).only_enforce_if(holds)
        others = {number: count for number, count in counts.items() if number not in numbers}
        ended = _sum([(past, 1), *self._weights(others, sign=-1)])
        self.model.add(ended <= run.end + self._kerf).only_enforce_if(holds)

    def _in_turn(self) -> None:
        """Ask for boards of one kind in their order, the fullest first: they are all the same."""
        for one, other in pairwise(self._boards):
            if one.stock == other.stock:
                self.model.add(one.used >= other.used)
                if not self._problem.stock[one.stock].bad:
                    last = (one.stretches[-1].past, other.stretches[-1].past)
                    self.model.add(last[0] >= last[1])

    def ask_for_leftover(self, least: int) -> None:
        """Ask for the longest clear leftover at the end of a run, at least so many ticks."""
        model = self.model
        most = max(kind.length for kind in self._problem.stock)
        longest = model.new_int_var(min(least, most), most, "")
        if least > most:
            model.add_bool_or([])
        places = []
        for board in self._boards:
            for stretch in board.stretches:
                if stretch.run is None:
                    continue
                here = model.new_bool_var("")
                run = stretch.run
                model.add(longest <= run.end - run.start).only_enforce_if(here)
                model.add(longest <= run.end - stretch.past).only_enforce_if(here)
                model.add(board.used == 1).only_enforce_if(here)
                places.append(here)
        model.add_exactly_one(places)
        model.maximize(longest)

    def answer(self, solver: cp_model.CpSolver) -> Answer:
        """Give the plan a solver found."""
        waiting = [[item for item in kind.items for _ in range(item.qty)] for kind in self._kinds]
        patterns: list[Pattern] = []
        for board in self._boards:
            blanks: list[Blank] = []
            for stretch in board.stretches:
                for number in sorted(stretch.counts, key=lambda n: self._kinds[n].knots_ok):
                    kind, run = self._kinds[number], stretch.run
                    start = Ticks(0) if kind.knots_ok or run is None else run.start
                    for _ in range(solver.value(stretch.counts[number])):
                        item = waiting[number].pop(0)
                        blanks.append(Blank(item.part, item.length, item.width, start=start))
            if blanks:
                patterns.append(Pattern(board.stock, side_by_side(blanks)))
        patterns += self._filled(solver, waiting)
        cost = sum(self._problem.stock[pattern.stock].cost for pattern in patterns)
        return Answer(tuple(sorted(patterns, key=lambda pattern: pattern.stock)), cost, 0)

    def _filled(self, solver: cp_model.CpSolver, waiting: list[list[Item]]) -> Iterator[Pattern]:
        """Yield the full fills used, with the parts that are still to be made."""
        for fill in self._fills:
            for _ in range(solver.value(fill.times)):
                blanks: list[Blank] = []
                for length, count in zip(self._lengths, fill.counts, strict=True):
                    left = [
                        items
                        for kind, items in zip(self._kinds, waiting, strict=True)
                        if kind.length == length
                    ]
                    for _ in range(count):
                        items = next((items for items in left if items), None)
                        if items is not None:
                            item = items.pop(0)
                            blanks.append(Blank(item.part, item.length, item.width))
                if blanks:
                    yield Pattern(fill.stock, side_by_side(blanks))


def _sum(terms: Sequence[tuple[cp_model.IntVar, int]]) -> cp_model.LinearExpr:
    return cp_model.LinearExpr.weighted_sum(
        [term for term, _ in terms], [factor for _, factor in terms]
    )


def _kinds(items: Sequence[Item]) -> tuple[_Kind, ...]:
    """Give the items merged by length, longest first."""
    by_kind: dict[tuple[int, bool], list[Item]] = {}
    for item in items:
        by_kind.setdefault((item.length, item.knots_ok), []).append(item)
    return tuple(
        _Kind(length, knots_ok, tuple(by_kind[length, knots_ok]))
        for length, knots_ok in sorted(by_kind, reverse=True)
    )


def _most(problem: Problem, stock: StockType, ceiling: int | None) -> int:
    """Give the most boards of a type that may be used."""
    parts = sum(item.qty for item in problem.items)
    most = parts if stock.available is None else min(parts, stock.available)
    return most if not stock.cost or ceiling is None else min(most, max(0, ceiling) // stock.cost)
