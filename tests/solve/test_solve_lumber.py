"""Boards of several widths ripped and crosscut: costs and bounds against every way to cut."""

from __future__ import annotations

import random
from collections import Counter
from dataclasses import replace
from functools import cache

from cutopt.model.job import Grain
from cutopt.model.layout import blanks_of, least_size
from cutopt.solve.lumber import Lumber
from cutopt.solve.lumber_plan import plan_lumber
from cutopt.solve.params import Answer, Item, Problem, Search, StockType, Unwatched
from cutopt.units import Ticks

QUICK = Search(effort=0)


def lumber_of(seed: int, kerf: int = 2) -> Lumber:
    """Give a small made-up job: up to seven parts, boards of three widths, some not ripped."""
    draw = random.Random(seed)
    widths = (18, 40, 84)
    items = tuple(
        Item(
            f"P{i}",
            Ticks(draw.randrange(60, 480, 5)),
            Ticks(draw.choice(widths[:2] if seed % 3 else widths)),
            draw.choice((1, 1, 2)),
            Grain.LENGTH,
        )
        for i in range(draw.randrange(2, 5))
    )
    stock, suits = [], []
    for width in widths:
        for length in (500, 800):
            price = width * length * draw.randrange(60, 140) // 8000
            rip = draw.random() < 0.7
            stock.append(
                StockType(f"{width} x {length}", Ticks(length), Ticks(width), price, None, True)
            )
            suits.append(
                tuple(item.width == width or (rip and item.width < width) for item in items)
            )
    return Lumber(Problem("pine", items, tuple(stock), Ticks(kerf), Ticks(kerf)), tuple(suits))


def cheapest(lumber: Lumber) -> int:
    """Give the least cost by trying every way: all sets of parts, all straight cuts."""
    problem = lumber.problem
    parts = [i for i, item in enumerate(problem.items) for _ in range(item.qty)]
    kerf = problem.kerf
    everything = (1 << len(parts)) - 1

    @cache
    def boxes(held: int) -> frozenset[tuple[int, int]]:
        """Give the sizes of box that a set of parts can be cut from."""
        if held & (held - 1) == 0:
            item = problem.items[parts[held.bit_length() - 1]]
            return frozenset({(item.length, item.width)})
        found = set()
        one = (held - 1) & held
        while one:
            for a, b in boxes(one):
                for c, d in boxes(held ^ one):
                    found.add((a + kerf + c, max(b, d)))
                    found.add((max(a, c), b + kerf + d))
            one = (one - 1) & held
        return frozenset(
            box
            for box in found
            if not any(o != box and o[0] <= box[0] and o[1] <= box[1] for o in found)
        )

    @cache
    def price(held: int) -> float:
        """Give the least price of one board that gives a set of parts."""
        kinds = {parts[bit] for bit in range(len(parts)) if held >> bit & 1}
        return min(
            (
                board.cost
                for board, may in zip(problem.stock, lumber.suits, strict=True)
                if all(may[kind] for kind in kinds)
                and any(a <= board.length and b <= board.width for a, b in boxes(held))
            ),
            default=float("inf"),
        )

    @cache
    def least(held: int) -> float:
        if not held:
            return 0
        first = held & -held
        rest = held ^ first
        best = float("inf")
        more = rest
        while True:
            best = min(best, price(first | more) + least(rest ^ more))
            if not more:
                return best
            more = (more - 1) & rest

    return int(least(everything))


def check_cut(lumber: Lumber, answer: Answer) -> None:
    """Check that the boards hold their layouts and every part is made as often as asked."""
    problem = lumber.problem
    made: Counter[str] = Counter()
    number = {item.part: i for i, item in enumerate(problem.items)}
    for pattern in answer.patterns:
        board = problem.stock[pattern.stock]
        length, width = least_size(pattern.layout, problem.kerf)
        assert length <= board.length
        assert width <= board.width
        for blank in blanks_of(pattern.layout):
            made[blank.part] += 1
            assert lumber.suits[pattern.stock][number[blank.part]]
            assert not blank.turned
    assert made == Counter({item.part: item.qty for item in problem.items})
    assert answer.cost == sum(problem.stock[pattern.stock].cost for pattern in answer.patterns)


def test_against_every_way_to_cut_a_small_job():
    dear = proved = 0
    for seed in range(40):
        lumber = lumber_of(seed)
        answer = plan_lumber(lumber, QUICK, Unwatched())
        assert answer is not None
        check_cut(lumber, answer)
        best = cheapest(lumber)
        assert answer.lower_bound <= best <= answer.cost
        dear += answer.cost > best
        proved += answer.cost == answer.lower_bound
    assert dear <= 2
    assert proved >= 34


def test_boards_run_out():
    lumber = lumber_of(3)
    stock = tuple(
        StockType(s.name, s.length, s.width, s.cost, 0, True) for s in lumber.problem.stock
    )
    none = Lumber(Problem("pine", lumber.problem.items, stock, Ticks(2), Ticks(2)), lumber.suits)
    assert plan_lumber(none, QUICK, Unwatched()) is None


def many_of(seed: int, available: int | None = None) -> Lumber:
    """Give a made-up job with thirty times as many copies."""
    lumber = lumber_of(seed)
    problem = lumber.problem
    items = tuple(replace(item, qty=30 * item.qty) for item in problem.items)
    stock = tuple(replace(held, available=available) for held in problem.stock)
    return Lumber(replace(problem, items=items, stock=stock), lumber.suits)


def test_many_parts_cost_little_more_than_is_proved():
    for seed in (5, 7, 12):
        lumber = many_of(seed)
        answer = plan_lumber(lumber, QUICK, Unwatched())
        assert answer is not None
        check_cut(lumber, answer)
        assert answer.lower_bound <= answer.cost <= 1.05 * answer.lower_bound


def test_many_parts_keep_to_the_boards_there_are():
    lumber = many_of(5, available=12)
    answer = plan_lumber(lumber, QUICK, Unwatched())
    assert answer is not None
    check_cut(lumber, answer)
    assert max(Counter(pattern.stock for pattern in answer.patterns).values()) <= 12


def test_the_same_job_gives_the_same_plan():
    assert plan_lumber(lumber_of(11), QUICK, Unwatched()) == plan_lumber(
        lumber_of(11), QUICK, Unwatched()
    )


def test_a_finer_saw_may_do_with_less_and_the_bound_says_so():
    # Two strips of 20 and a kerf of 2 do not come from a board 41 wide; with no kerf they do.
    items = (Item("P1", Ticks(500), Ticks(20), 2, Grain.LENGTH),)
    stock = (StockType("wide", Ticks(500), Ticks(41), 700, None, True),)
    coarse = Lumber(Problem("pine", items, stock, Ticks(2), Ticks(0)), ((True,),))
    answer = plan_lumber(coarse, QUICK, Unwatched())
    assert answer is not None
    assert (answer.cost, answer.lower_bound) == (1400, 700)
