"""Measured boards: clear parts between the bad spans, at least cost, against another model.

The other model is an assignment: each part a start on one board, every pair of parts apart.
"""

from __future__ import annotations

from random import Random

import pytest
from ortools.sat.python import cp_model

from cutopt.errors import CannotPlanError
from cutopt.model.layout import blanks_of
from cutopt.solve.measured import longest_clear, plan_measured
from cutopt.solve.params import Answer, Item, Problem, Search, StockType, Unwatched
from cutopt.units import Ticks, Units

WIDTH = Ticks(10)


def item(part: str, length: int, qty: int = 1, *, knots_ok: bool = False) -> Item:
    return Item(part, Ticks(length), WIDTH, qty, knots_ok=knots_ok)


def board(name: str, length: int, *bad: tuple[int, int]) -> StockType:
    spans = tuple((Ticks(start), Ticks(end)) for start, end in bad)
    return StockType(name, Ticks(length), WIDTH, 0, 1, grain=True, bad=spans)


def to_buy(name: str, length: int, cost: int, available: int | None = None) -> StockType:
    return StockType(name, Ticks(length), WIDTH, cost, available, grain=True)


def problem(items: list[Item], stock: list[StockType], kerf: int = 2, least: int = -1) -> Problem:
    kerfs = Ticks(kerf), Ticks(kerf if least < 0 else least)
    return Problem("pine", tuple(items), tuple(stock), *kerfs)


def plan(asked: Problem) -> Answer:
    answer = plan_measured(asked, Search(), Unwatched(), names={}, units=Units.MM)
    faults = wrong_with(asked, answer)
    assert not faults, faults
    return answer


def wrong_with(asked: Problem, answer: Answer) -> list[str]:
    """Lay each board out from the left and give what lies where it may not."""
    knots_ok = {item.part: item.knots_ok for item in asked.items}
    left = {item.part: item.qty for item in asked.items}
    faults = []
    for pattern in answer.patterns:
        stock, free = asked.stock[pattern.stock], 0
        for blank in blanks_of(pattern.layout):
            start = max(free, blank.start)
            end = start + blank.length
            free = end + asked.kerf
            left[blank.part] -= 1
            if end > stock.length:
                faults.append(f"{blank.part} ends past {stock.name}")
            if not knots_ok[blank.part] and any(a < end and start < b for a, b in stock.bad):
                faults.append(f"{blank.part} lies on a bad span of {stock.name}")
    faults += [f"{count} of {part} missing" for part, count in left.items() if count]
    used = [pattern.stock for pattern in answer.patterns]
    faults += [
        f"too many of {stock.name}"
        for index, stock in enumerate(asked.stock)
        if stock.available is not None and used.count(index) > stock.available
    ]
    if sum(asked.stock[index].cost for index in used) != answer.cost:
        faults.append("the cost is another")
    return faults


def test_parts_lie_between_the_bad_spans_of_a_board_already_bought():
    answer = plan(problem([item("leg", 40, 2)], [board("A", 100, (45, 50)), to_buy("new", 100, 9)]))
    assert (answer.cost, answer.why) == (0, "what is owned is enough")
    assert [blank.start for blank in blanks_of(answer.patterns[0].layout)] == [0, 50]


def test_one_more_board_is_needed_where_a_bad_span_is_in_the_way():
    answer = plan(problem([item("leg", 40, 2)], [board("A", 100, (35, 50)), to_buy("new", 100, 9)]))
    assert (answer.cost, answer.lower_bound) == (9, 9)


def test_parts_that_may_contain_knots_lie_across_a_bad_span():
    stock = [board("A", 100, (45, 50)), to_buy("new", 100, 9)]
    clear, rough = item("leg", 60), item("slat", 60, knots_ok=True)
    assert plan(problem([clear], stock)).cost == 9
    assert plan(problem([rough], stock)).cost == 0


def test_a_part_may_end_at_a_bad_span_to_the_tick():
    assert (
        plan(problem([item("leg", 45)], [board("A", 60, (45, 60)), to_buy("n", 90, 9)])).cost == 0
    )
    assert (
        plan(problem([item("leg", 45)], [board("A", 60, (44, 60)), to_buy("n", 90, 9)])).cost == 9
    )


def test_a_bad_span_narrower_than_the_kerf_takes_the_kerf():
    stock = [board("A", 101, (50, 51)), to_buy("new", 101, 9)]
    assert plan(problem([item("leg", 50, 2)], stock, kerf=1)).cost == 0
    assert plan(problem([item("leg", 50, 2)], stock, kerf=2)).cost == 9
    assert plan(problem([item("leg", 50), item("rail", 49)], stock, kerf=2)).cost == 0


def test_what_a_thinner_saw_could_do_is_not_claimed_to_be_impossible():
    stock = [board("A", 101, (50, 51)), to_buy("new", 101, 9)]
    answer = plan(problem([item("leg", 50, 2)], stock, kerf=2, least=1))
    assert (answer.cost, answer.lower_bound) == (9, 0)
    assert answer.why == "not every cheaper purchase is ruled out"


def test_a_part_longer_than_every_clear_run_is_told():
    with pytest.raises(CannotPlanError, match="leg"):
        plan(problem([item("leg", 60)], [board("A", 100, (45, 50))]))


def test_parts_that_may_contain_knots_leave_clear_wood_over():
    stock = [board("A", 100, (20, 30))]
    asked = problem([item("slat", 28, knots_ok=True)], stock)
    answer = plan(asked)
    assert longest_clear(stock[0], answer.patterns[0].layout, asked.kerf) == 70


def test_a_part_with_a_knot_begins_behind_the_clear_piece_that_is_left():
    stock = [board("A", 100, (70, 80))]
    asked = problem([item("slat", 28, knots_ok=True)], stock)
    answer = plan(asked)
    assert longest_clear(stock[0], answer.patterns[0].layout, asked.kerf) == 70
    assert [blank.start for blank in blanks_of(answer.patterns[0].layout)] == [72]


def test_sixty_boards_with_knots_are_planned_with_proof():
    random = Random(4)
    items = [
        item(f"P{n}", random.randrange(128, 640), random.randint(1, 8), knots_ok=n % 2 == 0)
        for n in range(40)
    ]
    stock = [to_buy("8 ft", 1536, 900), to_buy("6 ft", 1152, 700)]
    for number in range(60):
        at = sorted(random.sample(range(1537), 6))
        stock.append(board(f"B{number}", 1536, *zip(at[::2], at[1::2], strict=True)))
    answer = plan(problem(items, stock, kerf=2))
    assert answer.lower_bound == answer.cost
    assert answer.cost > 0


def random_problem(random: Random) -> Problem:
    items = [
        item(f"P{n}", random.randint(8, 55), random.randint(1, 2), knots_ok=random.random() < 0.5)
        for n in range(random.randint(1, 4))
    ]
    stock = [to_buy("long", 80, 9), to_buy("short", 56, random.randint(5, 8))]
    for name in "AB"[: random.randint(1, 2)]:
        length = random.randint(50, 90)
        at = sorted(random.sample(range(length + 1), 2 * random.randint(1, 3)))
        spans = [
            (start, min(end, start + random.choice([1, 3, 12])))
            for start, end in zip(at[::2], at[1::2], strict=True)
        ]
        stock.append(board(name, length, *spans))
    return problem(items, stock, kerf=random.choice([0, 1, 2]))


def least_cost(asked: Problem) -> int:
    """Give the least cost by an assignment of every single part to a place on a board."""
    model = cp_model.CpModel()
    copies = [item for item in asked.items for _ in range(item.qty)]
    boards = [
        stock
        for stock in asked.stock
        for _ in range(len(copies) if stock.available is None else stock.available)
    ]
    lies = {}
    used = [model.new_bool_var("") for _ in boards]
    for b, stock in enumerate(boards):
        intervals = []
        for p, part in enumerate(copies):
            start = model.new_int_var(0, 1000, "")
            here = lies[p, b] = model.new_bool_var("")
            model.add(start + part.length <= stock.length).only_enforce_if(here)
            model.add_implication(here, used[b])
            whole = part.length + asked.kerf
            intervals.append(model.new_optional_fixed_size_interval_var(start, whole, here, ""))
            for first, last in () if part.knots_ok else stock.bad:
                before = model.new_bool_var("")
                model.add(start + part.length <= first).only_enforce_if(here, before)
                model.add(start >= last).only_enforce_if(here, ~before)
        model.add_no_overlap(intervals)
    for p in range(len(copies)):
        model.add_exactly_one(lies[p, b] for b in range(len(boards)))
    model.minimize(sum(stock.cost * use for stock, use in zip(boards, used, strict=True)))
    solver = cp_model.CpSolver()
    solver.parameters.num_workers = 1
    assert solver.solve(model) == cp_model.OPTIMAL
    return round(solver.objective_value)


def cross_check(seeds: range) -> None:
    for seed in seeds:
        asked = random_problem(Random(seed))
        answer = plan(asked)
        assert (answer.cost, answer.lower_bound) == (least_cost(asked),) * 2, seed


def test_random_jobs_cost_what_another_model_says():
    cross_check(range(15))


@pytest.mark.slow
def test_many_random_jobs_cost_what_another_model_says():
    cross_check(range(15, 260))
