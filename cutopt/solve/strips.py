"""Boards ripped into strips and strips crosscut into parts, chosen together.

A rip pattern says which strips a board is ripped into, a crosscut pattern which parts a
strip gives; a board may also be cut any other way by straight cuts. The linear programme
shares them out in fractions, buying no more strips than are crosscut; its duals are worths
of parts, from which new patterns are priced and a bound is proved. Whole numbers of the
patterns found are then chosen.

Source: Gilmore and Gomory, "Multistage cutting stock problems of two and more dimensions",
1965, doi:10.1287/opre.13.1.94 (strips first, then parts, in one programme).
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterator, Sequence
from random import Random
from typing import Any

import numpy as np
from numpy.typing import NDArray
from ortools.linear_solver import pywraplp
from ortools.sat.python import cp_model

from cutopt.model.layout import Direction, Layout, Split, blanks_of
from cutopt.solve.bounds import LISTED, Weighing
from cutopt.solve.choosing import repeatable_solver
from cutopt.solve.knapsack import best_fills, list_fills
from cutopt.solve.lumber import Lumber, LumberFills
from cutopt.solve.params import Pattern
from cutopt.solve.sheets_sizes import Laid, Sizes, without_extra
from cutopt.solve.slicing import ACROSS, ALONG, Block, joined
from cutopt.solve.strips_columns import Column, Crosscut, Free, Lengths, Rip, lengths_of

Whole = NDArray[np.int64]
Strip = tuple[int, int, tuple[int, ...]]
"""Length and width, kerf included, and the kinds of parts that it may give."""

SCALE = 10**9
_MOST_RIPS = 400
_MOST_ROUNDS = 200
_FREE_ROUNDS = 12
_MANY = 60
"""Parts down to which boards are taken one at a time; the rest is chosen together."""
_WIDENED_LAST = 20
"""Rounds of crosscuts at near worths for the parts chosen together last."""
_GAIN = 1e-7
_SEED = 1
_NEARBY = (0.7, 1.3)


class Strips:
    """The programme over rips and crosscuts known so far."""

    def __init__(self, lumber: Lumber, stopped: Callable[[], bool]) -> None:
        """Set up with every rip and no crosscut: every part is missing, at a high price."""
        self._lumber = lumber
        self._stopped = stopped
        self.sizes: Sizes = lumber.sizes(lumber.problem.kerf)
        self.fills = LumberFills(self.sizes)
        self.weighings: list[Weighing] = []
        self._strips: list[Strip] = []
        self._lengths: dict[tuple[int, tuple[int, ...]], Lengths] = {}
        self._columns: list[Column] = []
        self._amounts: list[Any] = []
        self._known: set[object] = set()
        create: Any = pywraplp.Solver.CreateSolver  # OR-Tools leaves it untyped
        self._solver = create("GLOP")
        self._solver.SetSolverSpecificParametersAsString("use_preprocessing:false")
        self._endless = self._solver.infinity()
        sizes = self.sizes
        self._parts = [
            self._solver.Constraint(float(kind.qty), self._endless) for kind in sizes.kinds
        ]
        self._supply = [
            self._solver.Constraint(-self._endless, float(held.available)) for held in sizes.types
        ]
        self._balance: list[Any] = []
        objective = self._solver.Objective()
        objective.SetMinimization()
        self._objective = objective
        dear = 2.0 * max((held.cost for held in sizes.types), default=1) + 2.0
        for row in self._parts:
            missing = self._solver.NumVar(0, self._endless, "")
            objective.SetCoefficient(missing, dear)
            row.SetCoefficient(missing, 1)
        for board in range(len(sizes.types)):
            self._add_rips(board)

    def _add_rips(self, board: int) -> None:
        held, lays = self.sizes.types[board], self.sizes.lays[board]
        kinds = self.sizes.kinds
        may = [k for k, of_kind in enumerate(lays) if of_kind]
        if not may:
            return
        widths = sorted({held.width, *(kinds[k].width for k in may)}, reverse=True)
        strips = [
            self._strip(held.length, width, tuple(k for k in may if kinds[k].width <= width))
            for width in widths
        ]
        limits = [sum(kinds[k].qty for k in self._strips[number][2]) for number in strips]
        fills = list_fills(held.width, widths, limits, [], _MOST_RIPS)
        if fills is None:  # too many: one width alone, and the widest with what fits beside
            fills = [
                tuple(
                    min(limits[j], held.width // w) if i == j else 0 for j, w in enumerate(widths)
                )
                for i in range(len(widths))
            ]
        for fill in fills:
            self._take(Rip(board, {s: n for s, n in zip(strips, fill, strict=True) if n}))

    def _strip(self, length: int, width: int, kinds: tuple[int, ...]) -> int:
        """Give the number of a strip, a new one where it is not known."""
        strip = (length, width, kinds)
        if strip not in self._strips:
            self._strips.append(strip)
            self._balance.append(self._solver.Constraint(0.0, self._endless))
            if (width, kinds) not in self._lengths:
                self._lengths[width, kinds] = Lengths(tuple(lengths_of(self.sizes, width, kinds)))
        return self._strips.index(strip)

    def _take(self, column: Column) -> bool:
        """Take a column into the programme; False where it is known."""
        counts = column.strips if isinstance(column, Rip) else column.counts
        place = column.strip if isinstance(column, Crosscut) else column.board
        key = (type(column).__name__, place, tuple(sorted(counts.items())))
        if key in self._known:
            return False
        self._known.add(key)
        amount = self._solver.NumVar(0, self._endless, "")
        if isinstance(column, Crosscut):
            self._balance[column.strip].SetCoefficient(amount, -1)
        else:
            self._objective.SetCoefficient(amount, float(self.sizes.types[column.board].cost))
            self._supply[column.board].SetCoefficient(amount, 1)
        rows = self._balance if isinstance(column, Rip) else self._parts
        for row, count in counts.items():
            rows[row].SetCoefficient(amount, count)
        self._columns.append(column)
        self._amounts.append(amount)
        return True

    def add_layouts(self, patterns: Sequence[Pattern]) -> None:
        """Take boards cut any way into the choice, where every part may come from its board."""
        kind_of = {
            self._lumber.problem.items[item].part: k
            for k, kind in enumerate(self.sizes.kinds)
            for item, _, _ in kind.sources
        }

        def block(layout: Layout) -> Block:
            if isinstance(layout, Split):
                way = ALONG if layout.direction is Direction.CROSSCUT else ACROSS
                return joined(way, [block(child) for child in layout.children])
            kind = kind_of[layout.part]
            size = self.sizes.kinds[kind]
            return self.sizes.part(kind, (size.length, size.width, False))

        for pattern in patterns:
            counts = Counter(kind_of[blank.part] for blank in blanks_of(pattern.layout))
            if all(self.sizes.lays[pattern.stock][kind] for kind in counts):
                self._take(Free(pattern.stock, counts, block(pattern.layout)))

    def improve(self) -> None:
        """Price patterns in until none is worth more than it costs, or work runs out."""
        free_rounds = 0
        for _ in range(_MOST_ROUNDS):
            if self._solver.Solve() != pywraplp.Solver.OPTIMAL or self._stopped():
                return
            worths = self._worths()
            if self._price_crosscuts(worths, [row.dual_value() for row in self._balance]):
                continue
            free_rounds += 1
            if not self._price_boards(worths) or free_rounds == _FREE_ROUNDS:
                return

    def widen(self, rounds: int) -> None:
        """Take in crosscuts worth most at other worths near the last ones: more to choose from."""
        if self._solver.Solve() != pywraplp.Solver.OPTIMAL:
            return
        last = [max(0.0, row.dual_value()) * SCALE for row in self._parts]
        random = Random(_SEED)
        for _ in range(rounds):
            worths = np.array([worth * random.uniform(*_NEARBY) for worth in last]).astype(np.int64)
            self._price_crosscuts(worths, [0.0] * len(self._strips))

    def _price_crosscuts(
        self, worths: Whole, prices: Sequence[float], wanted: Whole | None = None
    ) -> bool:
        """Take in the crosscut of each strip worth most over its price, of parts still wanted."""
        if wanted is None:
            wanted = np.array(self.fills.demands, np.int64)
        new = False
        alike: dict[tuple[int, tuple[int, ...]], list[int]] = {}
        for number, (_, width, fitting) in enumerate(self._strips):
            alike.setdefault((width, fitting), []).append(number)
        for key, numbers in alike.items():
            lengths = self._lengths[key]
            fills = best_fills(
                [self._strips[number][0] for number in numbers],
                lengths.lengths,
                lengths.worths(worths),
                lengths.limits(wanted),
                rough=True,
            )
            for number, fill in zip(numbers, fills, strict=True):
                if fill.counts is None or fill.value <= (prices[number] + _GAIN) * SCALE + 1:
                    continue
                counts: Counter[int] = Counter()
                blocks: list[Block] = []
                for one, times in zip(lengths.rows, fill.counts, strict=True):
                    if not times:
                        continue
                    for kind, many in one.counts.items():
                        counts[kind] += many * times
                    blocks.extend([one.block] * times)
                new |= self._take(Crosscut(number, +counts, tuple(blocks)))
        return new

    def _price_boards(self, worths: Whole) -> bool:
        """Take in boards cut any way that are worth more than they cost; keep the weighing."""
        reach = self.fills.reach(worths)
        demands = np.array(self.fills.demands, np.int64)
        self.weighings.append(Weighing(tuple(reach), int(worths @ demands), LISTED))
        floors = {
            t: int((held.cost - self._supply[t].dual_value() + _GAIN) * SCALE)
            for t, held in enumerate(self.sizes.types)
        }
        new = False
        for fill in self.fills.better(worths, floors):
            block = self.fills.lay(fill.sheet)
            if block is not None:
                new |= self._take(Free(fill.sheet, fill.counts, block))
        return new

    def choose(self, work: float) -> Laid | None:
        """Give whole boards that make every part at least cost, as far as the work allows."""
        laid = self._chosen(work, _MANY)
        if laid is None and self.sizes.count > _MANY:  # boards ran out
            laid = self._chosen(work, self.sizes.count)
        return laid

    def _chosen(self, work: float, many: int) -> Laid | None:
        """Give boards taken one at a time until ``many`` parts are left, the rest together."""
        wanted = np.array(self.fills.demands, np.int64)
        available = [held.available for held in self.sizes.types]
        sure = self._take_whole_boards(wanted, available, many)
        model = cp_model.CpModel()
        kinds, types = self.sizes.kinds, self.sizes.types
        most = sum(kind.qty for kind in kinds)
        made: list[list[Any]] = [[] for _ in kinds]
        balance: list[list[Any]] = [[] for _ in self._strips]
        taken: list[list[Any]] = [[] for _ in types]
        amounts = []
        for column in self._columns:
            amount = model.new_int_var(0, most, "")
            amounts.append(amount)
            if isinstance(column, Crosscut):
                balance[column.strip].append(-amount)
            else:
                taken[column.board].append(amount)
            if isinstance(column, Rip):
                for strip, count in column.strips.items():
                    balance[strip].append(count * amount)
            else:
                for kind, count in column.counts.items():
                    made[kind].append(count * amount)
        for terms in balance:
            model.add(sum(terms) >= 0)
        for terms, count in zip(taken, available, strict=True):
            if count < most:
                model.add(sum(terms) <= count)
        for terms, count in zip(made, wanted.tolist(), strict=True):
            if count > 0 and not terms:
                return None
            model.add(sum(terms) >= count)
        model.minimize(
            sum(held.cost * sum(terms) for held, terms in zip(types, taken, strict=True) if terms)
        )
        solver = repeatable_solver(work, linearization=2)
        if solver.solve(model) not in (cp_model.OPTIMAL, cp_model.FEASIBLE):
            return None
        chosen = [(c, solver.value(a)) for c, a in zip(self._columns, amounts, strict=True)]
        return without_extra(self.sizes, sure + self._laid(chosen))

    def _take_whole_boards(self, wanted: Whole, available: list[int], many: int) -> Laid:
        """Give boards worth most for their price, until ``many`` parts are wanted; lessens both.

        The programme is left with what is still wanted, and crosscuts priced for that.
        """
        laid: Laid = []
        while int(wanted.sum()) > many and not self._stopped():
            solved = self._solve_for(wanted, available)
            best: tuple[float, int, Whole, Block] | None = None
            for board, made, block in self._boards_in_use(wanted, available) if solved else ():
                gain = float(self._worths() @ made) / max(1, self.sizes.types[board].cost)
                if best is None or gain > best[0]:
                    best = (gain, board, made, block)
            if best is None:
                break
            _, board, made, block = best
            wanted -= made
            available[board] -= 1
            laid.append((board, block))
        if laid:
            self._solve_for(wanted, available)
            self.widen(_WIDENED_LAST)
        return laid

    def _worths(self) -> Whole:
        return np.array([max(0, int(row.dual_value() * SCALE)) for row in self._parts], np.int64)

    def _solve_for(self, wanted: Whole, available: Sequence[int]) -> bool:
        """Solve for what is wanted; price crosscuts in twice at most."""
        for row, count in zip(self._parts, wanted.tolist(), strict=True):
            row.SetBounds(float(count), self._endless)
        for row, count in zip(self._supply, available, strict=True):
            row.SetBounds(-self._endless, float(count))
        for _ in range(2):
            if self._solver.Solve() != pywraplp.Solver.OPTIMAL:
                return False
            prices = [row.dual_value() for row in self._balance]
            if not self._price_crosscuts(self._worths(), prices, wanted):
                return True
        return bool(self._solver.Solve() == pywraplp.Solver.OPTIMAL)

    def _boards_in_use(
        self, wanted: Whole, available: Sequence[int]
    ) -> Iterator[tuple[int, Whole, Block]]:
        """Yield what boards the programme takes can make of the parts wanted, strip by strip."""
        for column, amount in zip(self._columns, self._amounts, strict=True):
            if isinstance(column, Crosscut) or amount.solution_value() <= _GAIN:
                continue
            if not available[column.board]:
                continue
            left = wanted.copy()
            if isinstance(column, Free):
                blocks = [column.block]
                for kind, count in column.counts.items():
                    left[kind] -= count
            else:
                blocks = []
                for strip, count in column.strips.items():
                    for _ in range(count):
                        blocks += self._fill_strip(strip, left)
            made = wanted - np.maximum(left, 0)
            if made.any():
                yield column.board, made, joined(ACROSS, blocks)

    def _fill_strip(self, strip: int, left: Whole) -> list[Block]:
        """Give a strip filled with what is worth most of the parts left; lessens them."""
        length, width, kinds = self._strips[strip]
        lengths = self._lengths[width, kinds]
        (fill,) = best_fills(
            [length],
            lengths.lengths,
            lengths.worths(self._worths()),
            lengths.limits(np.maximum(left, 0)),
            rough=True,
        )
        blocks = []
        for one, times in zip(lengths.rows, fill.counts or (), strict=False):
            for kind, many in one.counts.items():
                left[kind] -= many * times
            blocks += [one.block] * times
        return [joined(ALONG, blocks)] if blocks else []

    def _laid(self, chosen: Sequence[tuple[Column, int]]) -> Laid:
        """Give the boards chosen, strips dealt to rips in turn."""
        waiting: dict[int, list[Block]] = {}
        for column, many in chosen:
            if isinstance(column, Crosscut):
                for _ in range(many):
                    waiting.setdefault(column.strip, []).append(joined(ALONG, column.blocks))
        laid: Laid = []
        for column, many in chosen:
            for _ in range(0 if isinstance(column, Crosscut) else many):
                if isinstance(column, Free):
                    laid.append((column.board, column.block))
                elif isinstance(column, Rip):
                    strips = [
                        waiting[s].pop()
                        for s, count in sorted(column.strips.items())
                        for _ in range(count)
                        if waiting.get(s)
                    ]
                    if strips:
                        laid.append((column.board, joined(ACROSS, strips)))
        return laid
