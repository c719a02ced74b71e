"""Which grade to buy: boards are as the model says, tests of purchases are right, promises kept."""

from __future__ import annotations

import itertools
import math
import statistics
from dataclasses import replace
from random import Random

import numpy as np
import pytest

from cutopt.model.grade import Grade, grade_of
from cutopt.model.job import Kind, Material, Stock
from cutopt.model.plan import Measure
from cutopt.solve.chances import (
    hopeless_misses,
    lower_limit,
    most_misses,
    too_many_misses,
    upper_limit,
)
from cutopt.solve.grades import SCENARIOS, Chances
from cutopt.solve.grades_answer import answer
from cutopt.solve.grades_bound import Worths
from cutopt.solve.grades_question import Boards, Offer, Question
from cutopt.solve.kernel import clear_runs, come_out
from cutopt.units import Ticks, inches

PINE = Material("pine", Kind.BOARD, inches(0, 3, 4), "1x4")
KERF = inches(0, 1, 8)
FOOT = inches(12)
COMMON = Grade("common", 0.6, inches(1), inches(3), 0.2, inches(1), inches(5))


def offer(feet: int, cents: int, grade: Grade) -> Offer:
    stock = Stock(
        f"{grade.name} {feet} ft", PINE, Ticks(feet * FOOT), inches(3), cents, grade=grade.name
    )
    return Offer(stock, grade, cents, described=True)


def question(
    clear: list[int], offers: list[Offer], loose: list[int] | None = None, kerf: int = KERF
) -> Question:
    return Question(
        PINE,
        Measure.PRICE,
        kerf,
        tuple(offers),
        tuple(sorted(clear, reverse=True)),
        tuple(sorted(loose or [], reverse=True)),
    )


def runs_of_boards(asked: Question, count: int, seed: int = 5) -> list[list[tuple[int, int]]]:
    """Clear runs of single boards, one a scenario."""
    boards = Boards(asked)
    runs = np.empty((clear_runs.MOST_RUNS, 6), np.int64)
    found = []
    for scenario in range(count):
        number = clear_runs.lay_out(
            runs, seed, scenario, boards.rows, boards.odds, np.array([1]), boards.first, boards.kerf
        )
        found.append([(int(r[clear_runs.START]), int(r[clear_runs.STOP])) for r in runs[:number]])
    return found


# --- Wilson's limits ---------------------------------------------------------------------------


def test_wilsons_limits_are_the_roots_of_his_equation() -> None:
    # Wilson 1927: the limits p solve (share - p)^2 = z^2 p (1 - p) / n.
    z = 1.6448536269514722
    for found, tried in ((0, 10), (7, 10), (1950, 2000), (2000, 2000)):
        for p in (lower_limit(found, tried), upper_limit(found, tried)):
            assert math.isclose(
                (found / tried - p) ** 2, z * z * p * (1 - p) / tried, abs_tol=1e-12
            )


def test_misses_allowed_reach_the_share_and_one_more_does_not() -> None:
    for share in (0.9, 0.95, 0.99):
        misses = most_misses(share, 2000)
        assert lower_limit(2000 - misses, 2000) >= share > lower_limit(2000 - misses - 1, 2000)
        misses = hopeless_misses(share, 200)
        assert upper_limit(200 - misses, 200) >= share > upper_limit(200 - misses - 1, 200)


# --- the boards drawn ----------------------------------------------------------------------------


def test_boards_are_bad_as_often_as_the_grade_says() -> None:
    grade = Grade("g", 1.0, inches(1), inches(1), 0.0)
    asked = question([inches(5)], [offer(8, 400, grade)], kerf=0)
    drawn = runs_of_boards(asked, 4000)
    metres = 8 * 0.3048
    # No bad span begins in a board with the chance exp(-rate x length).
    clean = sum(board == [(0, 8 * FOOT)] for board in drawn) / 4000
    assert abs(clean - math.exp(-metres)) < 4 * math.sqrt(0.08 / 4000)
    # Spans one inch long cover 1 - exp(-rate x inch) of a board, away from its left end.
    clear = statistics.mean(sum(b - a for a, b in board) for board in drawn) / (8 * FOOT)
    assert abs(clear - math.exp(-0.0254)) < 0.003


def test_bad_ends_come_as_often_and_as_long_as_the_grade_says() -> None:
    grade = Grade("g", 0.0, Ticks(0), Ticks(0), 0.3, inches(2), inches(6))
    drawn = runs_of_boards(question([inches(5)], [offer(8, 400, grade)]), 4000)
    lefts = [board[0][0] for board in drawn if board[0][0]]
    rights = [8 * FOOT - board[0][1] for board in drawn if board[0][1] < 8 * FOOT]
    for bad in (lefts, rights):
        assert abs(len(bad) / 4000 - 0.3) < 4 * math.sqrt(0.21 / 4000)
        assert min(bad) >= inches(2)
        assert max(bad) <= inches(6)
        assert abs(statistics.mean(bad) / inches(4) - 1) < 0.04


def test_neighbouring_boards_know_nothing_of_each_other() -> None:
    boards = Boards(question([inches(5)], [offer(8, 400, COMMON)]))
    lengths = clear_runs.clear_lengths(3, 3000, boards.rows, boards.odds, 0, 3, 0, 0)
    each = np.diff(lengths, axis=1).T.astype(float)
    for one, other in itertools.combinations(range(3), 2):
        assert abs(np.corrcoef(each[one], each[other])[0, 1]) < 4 / math.sqrt(3000)


def test_no_clear_run_is_nearer_to_the_one_before_than_a_cut() -> None:
    grade = Grade("g", 20.0, Ticks(1), Ticks(3))
    for board in runs_of_boards(question([inches(1)], [offer(8, 400, grade)]), 50):
        for (_, stop), (start, _) in itertools.pairwise(board):
            assert start - stop >= KERF


# --- whether parts come out ----------------------------------------------------------------------


def packs(parts: tuple[int, ...], rooms: tuple[int, ...]) -> bool:
    """Say by trying every way whether parts fit in rooms; a code of its own."""
    if not parts:
        return True
    part, tried = parts[0], set()
    for index, room in enumerate(rooms):
        if room >= part and room not in tried:
            tried.add(room)
            rest = (*rooms[:index], room - part, *rooms[index + 1 :])
            if packs(parts[1:], rest):
                return True
    return False


def test_small_cases_agree_with_trying_every_way() -> None:
    random = Random(4)
    answers = {come_out.OUT: 0, come_out.SHORT: 0}
    for _ in range(400):
        rooms = [random.randint(10, 60) for _ in range(random.randint(1, 6))]
        parts = sorted((random.randint(5, 30) for _ in range(random.randint(1, 8))), reverse=True)
        kerf = random.randint(0, 3)
        runs = np.array([(0, room, i, 0, room, 10**9) for i, room in enumerate(rooms)], np.int64)
        weights = np.array([part + kerf for part in parts], np.int64)
        found = come_out.come_out(
            runs, len(rooms), weights, np.empty(0, np.int64), kerf, 6, 100_000
        )
        fits = packs(tuple(map(int, weights)), tuple(room + kerf for room in rooms))
        assert found == (come_out.OUT if fits else come_out.SHORT)
        answers[found] += 1
    assert min(answers.values()) > 50


def test_parts_that_may_hold_bad_spans_use_what_clear_parts_leave() -> None:
    # One board of 40: clear 0-15 and 20-40. A loose part of 30 goes over the bad span.
    runs = np.array([(0, 15, 0, 0, 40, 99), (20, 40, 0, 0, 40, 99)], np.int64)

    def asked(clear: list[int], loose: list[int]) -> int:
        return int(
            come_out.come_out(
                runs, 2, np.array(clear, np.int64), np.array(loose, np.int64), 0, 6, 1000
            )
        )

    assert asked([], [40]) == come_out.OUT
    assert asked([10], [30]) == come_out.OUT
    assert asked([16, 12], [11]) == come_out.OUT
    assert asked([16], [24]) == come_out.OUT
    assert asked([16], [25]) != come_out.OUT
    assert asked([16, 12], [13]) != come_out.OUT
    assert asked([30], []) == come_out.SHORT


def test_no_part_longer_than_the_straight_run_is_taken() -> None:
    crooked = replace(COMMON, bad_per_metre=0.0, end_chance=0.0, straight=inches(40))
    short = Chances(question([inches(40)] * 4, [offer(8, 400, crooked)]))
    long = Chances(question([inches(41)] * 4, [offer(8, 400, crooked)]))
    assert short.weigh((2,)).out == SCENARIOS
    assert long.weigh((9,)).out == 0


# --- purchases ------------------------------------------------------------------------------------


def test_one_more_board_never_hurts() -> None:
    asked = question([inches(30)] * 5 + [inches(11)] * 5, [offer(8, 400, COMMON)])
    out = Chances(asked).alone(0)
    assert out is not None
    assert list(out.out) == sorted(out.out)
    assert out.boards(0.9) <= out.boards(0.95) <= out.boards(0.99)


def test_the_same_question_gets_the_same_answer() -> None:
    asked = question([inches(30)] * 5, [offer(8, 400, COMMON), offer(6, 900, Grade("clear"))])
    assert answer(asked, 0.95, 1200) == answer(asked, 0.95, 1200)


def test_clear_boards_need_no_spares() -> None:
    asked = question([inches(30)] * 6, [offer(8, 900, Grade("clear")), offer(8, 400, COMMON)])
    found = answer(asked)
    assert found.clean == ((2, 0), 1800)
    assert found.unspared == ((0, 2), 800)
    mix = found.usual_mix
    assert mix is not None
    assert 800 < mix.cost <= 1800


def test_boards_in_the_shop_are_used_first() -> None:
    asked = question([inches(30)] * 3, [offer(8, 400, COMMON)])
    own = replace(asked, owned=((0, inches(91), 0),))
    assert answer(own).usual_mix.counts == (0,)
    assert answer(asked).usual_mix.counts[0] > 0


def test_no_more_boards_than_there_are() -> None:
    few = offer(8, 400, COMMON)
    few = replace(few, stock=replace(few.stock, available=2))
    asked = question([inches(30)] * 6, [few, offer(8, 900, Grade("clear"))])
    for mix in answer(asked).mixes:
        assert mix is not None
        assert mix.counts[0] <= 2


# --- what any purchase costs at least -------------------------------------------------------------


def test_too_many_misses_are_those_of_the_binomial_counted_in_whole_numbers() -> None:
    for tenths, tried in ((9, 20), (5, 30), (7, 11)):
        found = too_many_misses(tenths / 10, tried)

        def ways(least: int, tenths: int = tenths, tried: int = tried) -> int:
            return sum(
                math.comb(tried, n) * (10 - tenths) ** n * tenths ** (tried - n)
                for n in range(least, tried + 1)
            )

        assert 20 * ways(found) <= 10**tried < 20 * ways(found - 1)


@pytest.mark.parametrize("loose", [0, 3])
def test_boards_worth_too_little_never_give_all_parts(loose: int) -> None:
    random, seen = Random(loose), 0
    for _ in range(6):
        parts = [random.randint(8 * 8, 40 * 8) * inches(0, 1, 8) for _ in range(8)]
        crooked = replace(COMMON, name="crooked", straight=inches(36))
        asked = question(
            parts[loose:],
            [offer(8, 400, COMMON), offer(6, 200, crooked), offer(6, 600, Grade("clear"))],
            parts[:loose],
        )
        asked = replace(asked, owned=((0, inches(20), 0), (inches(22), inches(40), 0)))
        weigher = Chances(asked)
        worths = Worths(asked, weigher.boards, 12, SCENARIOS, 2400)
        for counts in ((1, 1, 1), (2, 2, 0), (3, 0, 1), (0, 4, 1), (4, 0, 0)):
            misses = worths.misses(counts)
            assert misses <= SCENARIOS - weigher.weigh(counts).out
            seen += 0 < misses < SCENARIOS
    assert seen >= 3


def test_nothing_under_the_floor_gives_the_chance_on_other_boards() -> None:
    asked = question(
        [inches(30)] * 5 + [inches(19)] * 4, [offer(8, 400, COMMON), offer(6, 640, Grade("clear"))]
    )
    found = answer(asked)
    others = Chances(asked, seed=7)
    below = 0
    for mix, floor, share in zip(found.mixes, found.floors, found.chances, strict=True):
        assert mix is not None
        assert floor is not None
        assert floor <= mix.cost
        for counts in itertools.product(range(10), range(6)):
            if floor - 700 < asked.cost(counts) < floor:
                below += 1
                # Three standard deviations of 2,000 draws over the chance.
                most = share + 3 * math.sqrt(share * (1 - share) / SCENARIOS)
                assert others.weigh(counts).chance < most
    assert below > 3
    assert list(found.floors) == sorted(found.floors)


def test_clear_boards_are_proved_the_cheapest() -> None:
    clear = Grade("clear")
    dear = offer(8, 4000, COMMON)
    asked = question([inches(30)] * 6, [offer(8, 900, clear), offer(6, 700, clear), dear])
    found = answer(asked)
    assert [mix.cost for mix in found.mixes if mix] == [1800] * 3
    assert found.floors == (1800, 1800, 1800)


@pytest.mark.parametrize("seed", [1, 2])
def test_the_chance_promised_is_kept_on_fresh_boards_by_another_packing(seed: int) -> None:
    random = Random(seed)
    parts = [random.randint(8 * 8, 40 * 8) * inches(0, 1, 8) for _ in range(8)]
    asked = question(parts, [offer(8, 400, COMMON), offer(8, 900, Grade("clear"))])
    mix = answer(asked, 0.95).usual_mix
    assert mix is not None
    boards = Boards(asked)
    runs = np.empty((clear_runs.MOST_RUNS, 6), np.int64)
    counts, out = np.array(mix.counts, np.int64), 0
    for scenario in range(1000):
        number = clear_runs.lay_out(
            runs, 987_654, scenario, boards.rows, boards.odds, counts, boards.first, KERF
        )
        rooms = tuple(
            sorted(int(r[clear_runs.STOP] - r[clear_runs.START]) + KERF for r in runs[:number])
        )
        out += packs(tuple(int(w) for w in boards.weights), rooms)
    # Two standard deviations of 1,000 draws under the promise.
    assert out / 1000 > 0.95 - 2 * math.sqrt(0.95 * 0.05 / 1000)


def test_common_words_have_invented_figures_and_others_none() -> None:
    assert grade_of("No. 2", ()).invented
    assert grade_of("D Select", ()).bad_per_metre < grade_of("common", ()).bad_per_metre
    assert grade_of("barn find", ()) is None
    assert grade_of("COMMON", (COMMON,)) is COMMON


@pytest.mark.slow
@pytest.mark.parametrize("share", [0.9, 0.95, 0.99])
def test_no_chance_is_over_promised_by_a_point_on_4000_fresh_purchases(share: float) -> None:
    random = Random(round(share * 100))
    for _ in range(4):
        parts = [random.randint(8 * 8, 44 * 8) * inches(0, 1, 8) for _ in range(9)]
        asked = question(parts, [offer(8, 400, COMMON), offer(8, 900, Grade("clear"))])
        mix = answer(asked, share).usual_mix
        assert mix is not None
        boards = Boards(asked)
        runs = np.empty((clear_runs.MOST_RUNS, 6), np.int64)
        counts, out = np.array(mix.counts, np.int64), 0
        for scenario in range(4000):
            number = clear_runs.lay_out(
                runs, 24_680, scenario, boards.rows, boards.odds, counts, boards.first, KERF
            )
            rooms = tuple(
                sorted(int(r[clear_runs.STOP] - r[clear_runs.START]) + KERF for r in runs[:number])
            )
            out += packs(tuple(int(w) for w in boards.weights), rooms)
        assert out / 4000 > share - 0.01
        assert abs(out / 4000 - mix.chance) < 0.02
