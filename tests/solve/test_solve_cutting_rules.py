"""Rules of cutting: levels of cuts, the way of the first, store edges, the widest strip."""

from __future__ import annotations

import random
from dataclasses import replace
from functools import cache

import pytest
from sheet_jobs import assert_holds, plan, sheets_of

from cutopt.errors import CannotPlanError
from cutopt.model.job import Favour
from cutopt.model.layout import Blank, Direction, Split
from cutopt.solve.cutting_rules import keeps_rules, needed_size, stages_of
from cutopt.solve.kernel.trees import outgrows
from cutopt.solve.params import CuttingRules, Item, Problem, Search, StockType, Unwatched
from cutopt.solve.sheets import plan_sheets
from cutopt.solve.sheets_improve import Improving
from cutopt.solve.sheets_kernel import Kernel, Taste
from cutopt.solve.sheets_leftover import Tidying
from cutopt.solve.sheets_sizes import keeps_to, sizes_of
from cutopt.units import Ticks

RIP, CROSSCUT = Direction.RIP, Direction.CROSSCUT


def blank(length, width):
    return Blank("P1", Ticks(length), Ticks(width))


SHELVES = Split(
    RIP,
    (
        Split(CROSSCUT, (blank(40, 20), blank(30, 15))),
        Split(CROSSCUT, (blank(50, 10), Split(RIP, (blank(20, 4), blank(20, 4))))),
    ),
)
"""Two shelves, the second with two small parts one above the other at its end."""


def test_levels_are_counted_once_for_cuts_of_one_direction():
    assert stages_of(blank(4, 3)) == 0
    assert stages_of(SHELVES) == 3
    # A shelf within shelves, its rips parallel to theirs: the same level.
    assert stages_of(Split(RIP, (SHELVES, blank(60, 5)))) == 3


def test_store_edges_are_taken_from_every_gap_of_the_first_levels():
    # Each cut takes 1 + 2; the small parts need 11 where their rip does so, too, else 9 of 10.
    one, two = (CuttingRules(edge=Ticks(2), edge_stages=levels) for levels in (1, 2))
    assert needed_size(SHELVES, CuttingRules(), 1) == (71, 31)
    assert needed_size(SHELVES, one, 1) == (71, 33)
    assert needed_size(SHELVES, two, 1) == (73, 33)
    assert needed_size(SHELVES, CuttingRules(edge=Ticks(2), edge_stages=3), 1) == (73, 34)
    assert keeps_rules(SHELVES, two, 1, 73, 33)
    assert not keeps_rules(SHELVES, two, 1, 72, 33)


def test_cuts_that_start_the_other_way_are_one_level_deeper():
    first = CuttingRules(stages=3, first=RIP)
    assert keeps_rules(SHELVES, first, 1, 100, 60)
    assert not keeps_rules(SHELVES, replace(first, first=CROSSCUT), 1, 100, 60)
    assert keeps_rules(SHELVES, CuttingRules(stages=4, first=CROSSCUT), 1, 100, 60)


def test_strips_of_the_first_level_are_held_to_the_widest():
    assert keeps_rules(SHELVES, CuttingRules(first=RIP, widest=Ticks(20)), 1, 100, 60)
    assert not keeps_rules(SHELVES, CuttingRules(first=RIP, widest=Ticks(19)), 1, 100, 60)


def test_rules_that_make_no_sense_are_refused():
    for wrong in ({"stages": 0}, {"edge": Ticks(-1)}, {"widest": Ticks(9)}):
        with pytest.raises(ValueError, match="cut"):
            CuttingRules(**wrong)


def any_rules(rng):
    first = rng.choice([None, RIP, CROSSCUT])
    return CuttingRules(
        stages=rng.choice([None, 1, 2, 2, 3, 4]),
        first=first,
        edge=Ticks(rng.choice([0, 4, 8])),
        edge_stages=rng.choice([0, 1, 2]),
        widest=Ticks(rng.choice([45, 60])) if first and rng.random() < 0.4 else None,
    )


def any_problem(rng, most=12):
    items = tuple(
        Item(f"P{n}", Ticks(rng.randint(5, 60)), Ticks(rng.randint(5, 40)), rng.randint(1, 2))
        for n in range(rng.randint(1, most))
    )
    stock = [StockType("large", Ticks(100), Ticks(60), 100)]
    if rng.random() < 0.4:
        stock.append(StockType("square", Ticks(70), Ticks(70), 70))
    kerf = Ticks(rng.choice([0, 1, 3]))
    return Problem("ply", items, tuple(stock), kerf, kerf, rules=any_rules(rng))


@pytest.mark.parametrize("seed", range(20))
def test_the_search_lays_nothing_that_breaks_a_rule(seed):
    rng = random.Random(seed)
    sizes = sizes_of(any_problem(rng), 1)
    kernel = Kernel(sizes, seed, lambda: False)
    for sheets in (2, 4):
        floor = kernel.floor([0] * sheets)
        for _ in range(6):
            kernel.fill(floor, Taste(taken=6.0), (0.3, 0.05), 40, keep=0.1)
            assert not any(outgrows(floor.trees, floor.sheets, sheet) for sheet in range(sheets))
            for sheet, block in kernel.laid(kernel.words_on(floor)):
                assert sizes.legal(block, sheet)
    for number in range(int(kernel.pool.counts[0])):
        sheet = int(kernel.pool.types[number])
        assert sizes.legal(kernel.block(kernel.pattern(number), sheet), sheet)


@pytest.mark.parametrize("seed", range(20))
def test_every_plan_keeps_the_rules_and_none_costs_less_than_the_bound_without(seed):
    rng = random.Random(1000 + seed)
    problem = any_problem(rng)
    problem = replace(problem, favour=rng.choice(list(Favour)))
    try:
        answer = plan_sheets(problem, Search(rng.choice([0, 1]), seed), Unwatched())
    except CannotPlanError:
        assert problem.rules.widest is not None
        return
    assert_holds(problem, answer)
    for pattern in answer.patterns:
        stock = problem.stock[pattern.stock]
        assert keeps_rules(pattern.layout, problem.rules, problem.kerf, stock.length, stock.width)
    free = replace(problem, rules=CuttingRules())
    assert answer.lower_bound <= plan_sheets(free, Search(1, seed), Unwatched()).cost


@pytest.mark.parametrize("favour", list(Favour))
def test_tidying_keeps_every_part_where_cuts_take_more(favour):
    rules = CuttingRules(first=CROSSCUT, edge=Ticks(6), edge_stages=2)
    keeping = (1, 10, 4)
    for seed in range(4):
        rng = random.Random(seed)
        parts = [(rng.randint(8, 40), rng.randint(6, 30), 2) for _ in range(6)]
        sizes = sizes_of(replace(sheets_of(100, 60, parts, kerf=1), rules=rules), 1)
        kernel = Kernel(sizes, seed, lambda: False)
        floor = kernel.floor([0, 0])
        assert kernel.fill(floor, Taste(), (0.3, 0.01), 4_000) == 0
        before = kernel.judge(floor, keeping)
        tidied = Tidying(kernel, keeping, 400_000).tidied(kernel.words_on(floor), favour)
        assert keeps_to(sizes, kernel.laid(tidied))
        after = kernel.judge(
            kernel.floor([t for t, _ in tidied], [words for _, words in tidied]), keeping
        )
        if favour is Favour.OFFCUTS and len(tidied) == 2:
            assert after.largest >= before.largest
        elif len(tidied) == 2:
            assert after.work <= before.work


def least_cost(parts, length, width, kerf, rules):
    """The least number of sheets, by all trees of cuts with so many levels.

    Shares nothing with the engine: smallest boxes of every set of parts, by the levels of cuts
    left and the way of the next one.
    """
    levels = rules.stages
    every = (1 << len(parts)) - 1

    def best(boxes):
        kept = []
        for box in sorted(set(boxes)):
            if box[0] <= length and box[1] <= width and (not kept or box[1] < kept[-1][1]):
                kept.append(box)
        return tuple(kept)

    def subsets(rest):
        part = rest
        while part:
            yield part
            part = (part - 1) & rest

    @cache
    def strips(group, way, depth):
        """Boxes of a group cut this way at this depth into two strips or more."""
        if depth >= levels:
            return ()
        gap = kerf + (rules.edge if depth < rules.edge_stages else 0)
        lowest = group & -group
        boxes = []
        for rest in subsets(group ^ lowest):
            one = group ^ rest
            for a in inside(one, 1 - way, depth + 1):
                for b in inside(rest, 1 - way, depth + 1) + strips(rest, way, depth):
                    if way == 0:
                        boxes.append((a[0] + b[0] + gap, max(a[1], b[1])))
                    else:
                        boxes.append((max(a[0], b[0]), a[1] + b[1] + gap))
        return best(boxes)

    @cache
    def inside(group, way, depth):
        """Boxes of one strip: a part as it lies, or cut the other way."""
        if group & (group - 1) == 0:
            part = parts[group.bit_length() - 1]
            return best([part, part[::-1]])
        return strips(group, way, depth)

    def fits(group):
        if group & (group - 1) == 0:
            return bool(inside(group, 0, 0))
        if rules.first is None:
            return bool(strips(group, 0, 0) or strips(group, 1, 0))
        way = 0 if rules.first is CROSSCUT else 1
        return bool(strips(group, way, 0) or strips(group, 1 - way, 1))

    @cache
    def sheets(group):
        if not group:
            return 0
        lowest = group & -group
        rest = group ^ lowest
        return 1 + min(
            sheets(group ^ one)
            for one in (lowest, *(lowest | more for more in subsets(rest)))
            if fits(one)
        )

    return sheets(every)


def test_small_jobs_cost_what_all_trees_of_cuts_show():
    agree = total = 0
    for seed in range(30):
        rng = random.Random(seed)
        parts = [(rng.randint(10, 60), rng.randint(8, 40)) for _ in range(rng.randint(3, 6))]
        kerf = rng.choice([0, 2])
        rules = CuttingRules(
            stages=rng.choice([1, 2, 3]),
            first=rng.choice([None, RIP, CROSSCUT]),
            edge=Ticks(5),
            edge_stages=rng.choice([0, 1, 2]),
        )
        problem = replace(sheets_of(100, 60, [(*p, 1) for p in parts], kerf=kerf), rules=rules)
        answer = plan(problem)
        for pattern in answer.patterns:
            assert keeps_rules(pattern.layout, rules, kerf, 100, 60)
        least = 100 * least_cost(tuple(parts), 100, 60, kerf, rules)
        assert answer.cost >= least
        agree += answer.cost == least
        total += 1
    assert agree >= 0.95 * total


def test_nothing_cheaper_is_sought_than_is_enough(monkeypatch):
    rng = random.Random(5)
    parts = [(rng.randint(10, 60), rng.randint(8, 40), 1) for _ in range(14)]
    problem = replace(sheets_of(100, 60, parts, kerf=1), rules=CuttingRules(stages=2))
    asked = []
    attempt = Improving.attempt

    def counted(self, *limits):
        asked.append(limits)
        return attempt(self, *limits)

    monkeypatch.setattr(Improving, "attempt", counted)
    cost = plan(problem).cost
    assert asked
    asked.clear()
    # A plan as good as the best known ends the search; the bound stays what it proves.
    answer = plan(replace(problem, enough=cost + 100))
    assert not asked
    assert answer.lower_bound <= cost <= answer.cost <= cost + 100
