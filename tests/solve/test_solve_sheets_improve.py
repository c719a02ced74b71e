"""The search for cheaper plans: what it hands on makes every part once."""

from __future__ import annotations

import random
from collections import Counter

from sheet_jobs import plan, sheets_of

from cutopt.solve.sheets_first import first_plan
from cutopt.solve.sheets_improve import Improving
from cutopt.solve.sheets_sizes import sizes_of
from cutopt.solve.slicing import parts_in


def test_a_part_that_two_settled_sheets_make_is_made_once(monkeypatch):
    problem = sheets_of(100, 50, [(60, 45, 1), (30, 45, 2), (100, 20, 1)])
    sizes = sizes_of(problem, problem.kerf)
    search = Improving(sizes, [], 0, 0.0, lambda: False)
    laid = first_plan(sizes)
    twice = [(sheet, search.kernel.words_of(root)) for sheet, root in [*laid, laid[0]]]
    monkeypatch.setattr(search._descent, "attempt", lambda _below, _limit: twice)

    found = search.attempt(0, 400, 1)

    made = Counter(part.kind for _, root in found for part in parts_in(root))
    assert [made[kind] for kind in range(len(sizes.kinds))] == [kind.qty for kind in sizes.kinds]
    assert len(found) == len(laid)


def test_an_attempt_with_no_work_left_gives_a_whole_plan_or_none():
    # Sheets of a dozen parts and more, a little more of them than a sheet has room for.
    parts = [(11 + number % 7, 7 + number % 5, 1) for number in range(40)]
    problem = sheets_of(100, 50, parts)
    sizes = sizes_of(problem, problem.kerf)
    search = Improving(sizes, [], 0, 0.0, lambda: False)
    below = 100 * (1 + sizes.area // sizes.types[0].area)
    for attempt in range(8):
        search.spend(10_000_000_000)
        found = search.attempt(0, below, 1 + attempt)
        assert found is None or sum(root.area for _, root in found) == sizes.area


def test_three_hundred_parts_end_within_a_sheet_of_the_bound():
    # Invented: sides of 150 to 1100 and 90 to 550 mm, on sheets of 2440 x 1220 mm.
    rng = random.Random(7)
    parts = [(rng.randint(150, 1100), rng.randint(90, 550), rng.randint(1, 4)) for _ in range(125)]
    problem = sheets_of(2440, 1220, parts, kerf=3)
    assert sum(item.qty for item in problem.items) >= 290
    answer = plan(problem)
    assert answer.cost - answer.lower_bound <= 100
