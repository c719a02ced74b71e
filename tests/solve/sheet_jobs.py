"""Sheet problems for tests, what a plan for them must hold to, and an exhaustive search.

The search knows only what a straight cut does; it shares nothing with the engine.
"""

from __future__ import annotations

from collections import Counter
from functools import cache

from shapely import box

from cutopt.model.job import Grain
from cutopt.model.layout import Blank, Direction, blanks_of, least_size
from cutopt.solve.params import Item, Problem, Search, StockType, Unwatched
from cutopt.solve.sheets import plan_sheets
from cutopt.units import Ticks


def sheets_of(length, width, parts, *, kerf=0, kerf_bound=None, grain=False, available=None):
    """A problem of one size of sheet, 100 each; parts are (length, width, qty[, grain])."""
    return Problem(
        "plywood",
        tuple(
            Item(f"P{n + 1}", Ticks(p[0]), Ticks(p[1]), p[2], *p[3:]) for n, p in enumerate(parts)
        ),
        (StockType("sheet", Ticks(length), Ticks(width), 100, available, grain),),
        Ticks(kerf),
        Ticks(kerf if kerf_bound is None else kerf_bound),
    )


def plan(problem, effort=1, seed=0):
    """The engine's answer, checked."""
    answer = plan_sheets(problem, Search(effort, seed), Unwatched())
    assert_holds(problem, answer)
    return answer


def assert_holds(problem, answer):
    """Every item is made, lies as it may, fits its stock; counts and costs add up."""
    made: Counter[str] = Counter()
    used: Counter[int] = Counter()
    items = {item.part: item for item in problem.items}
    for pattern in answer.patterns:
        stock = problem.stock[pattern.stock]
        length, width = least_size(pattern.layout, problem.kerf)
        assert length <= stock.length
        assert width <= stock.width
        assert_turns_taken(pattern.layout)
        used[pattern.stock] += 1
        for blank in blanks_of(pattern.layout):
            item = items[blank.part]
            made[blank.part] += 1
            size = (item.width, item.length) if blank.turned else (item.length, item.width)
            assert (blank.length, blank.width) == size
            if stock.grain and item.grain in (Grain.LENGTH, Grain.WIDTH):
                assert blank.turned == (item.grain is Grain.WIDTH)
    assert made == {item.part: item.qty for item in problem.items}
    for index, count in used.items():
        available = problem.stock[index].available
        assert available is None or count <= available
    assert answer.cost == sum(problem.stock[p.stock].cost for p in answer.patterns)
    assert answer.lower_bound <= answer.cost


def assert_turns_taken(layout):
    """Directions alternate down the tree and no split has one child."""
    if isinstance(layout, Blank):
        return
    assert len(layout.children) > 1
    for child in layout.children:
        assert isinstance(child, Blank) or child.direction is layout.direction.other
        assert_turns_taken(child)


def places(layout, kerf, x=0, y=0):
    """Blanks of a layout and where they lie, placed from the reference corner."""
    if isinstance(layout, Blank):
        return [(layout, box(x, y, x + layout.length, y + layout.width))]
    placed = []
    for child in layout.children:
        placed += places(child, kerf, x, y)
        length, width = least_size(child, kerf)
        if layout.direction is Direction.CROSSCUT:
            x += length + kerf
        else:
            y += width + kerf
    return placed


def least_cost(problem, kerf):
    """The least cost there is, by trying every way to share and cut a handful of parts."""
    parts = [item for item in problem.items for _ in range(item.qty)]

    @cache
    def can_cut(length, width, chosen, grain):
        if len(chosen) == 1:
            part = parts[chosen[0]]
            ways = []
            if not grain or part.grain is not Grain.WIDTH:
                ways.append((part.length, part.width))
            if not grain or part.grain is not Grain.LENGTH:
                ways.append((part.width, part.length))
            return any(a <= length and b <= width for a, b in ways)
        for picked in range(1, 2 ** (len(chosen) - 1)):
            one = tuple(p for n, p in enumerate(chosen) if picked >> n & 1)
            rest = tuple(p for n, p in enumerate(chosen) if not picked >> n & 1)
            for at in range(1, length - kerf):
                if can_cut(at, width, one, grain) and can_cut(
                    length - at - kerf, width, rest, grain
                ):
                    return True
            for at in range(1, width - kerf):
                if can_cut(length, at, one, grain) and can_cut(
                    length, width - at - kerf, rest, grain
                ):
                    return True
        return False

    @cache
    def cost_of(chosen):
        if not chosen:
            return 0
        costs = []
        # The sheet that holds the first part, with any of the others beside it.
        for picked in range(2 ** (len(chosen) - 1)):
            one = (chosen[0], *(p for n, p in enumerate(chosen[1:]) if picked >> n & 1))
            rest = tuple(p for p in chosen if p not in one)
            costs += [
                stock.cost + cost_of(rest)
                for stock in problem.stock
                if can_cut(stock.length, stock.width, one, stock.grain)
            ]
        return min(costs, default=10**9)

    return cost_of(tuple(range(len(parts))))
