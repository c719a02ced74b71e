"""Proofs for sheets against exhaustive searches that know only what a straight cut does."""

from __future__ import annotations

import random
from functools import cache
from itertools import combinations

import numpy as np
import pytest
from sheet_jobs import assert_holds, least_cost, sheets_of

from benchmarks.library import cost_by_library
from cutopt.model.job import Grain
from cutopt.solve.bounds import area_weighings, cheapest_purchase, size_weighings
from cutopt.solve.exact_pricing import UnlimitedFills
from cutopt.solve.listed_fills import ListedFills
from cutopt.solve.params import Answer, Item, Problem, Search, StockType, Unwatched
from cutopt.solve.part_sets import list_part_sets
from cutopt.solve.sheets import plan_sheets
from cutopt.solve.sheets_choice import Choice, choose
from cutopt.solve.sheets_listing import judge
from cutopt.solve.sheets_mixture import Mixture
from cutopt.solve.sheets_sizes import patterns_of, sizes_of
from cutopt.solve.slicing import parts_in
from cutopt.solve.tight_fills import close_fills, tight_fills
from cutopt.units import Ticks

GRAINS = (Grain.ANY, Grain.LENGTH, Grain.WIDTH)


def never():
    return False


def random_parts(rng, most):
    return tuple(
        Item(
            f"P{number}",
            Ticks(rng.randint(1, 9)),
            Ticks(rng.randint(1, 7)),
            rng.choice([1, 1, 1, 2]),
            rng.choice(GRAINS),
        )
        for number in range(rng.randint(2, most))
    )


def random_job(rng, *, most_sizes=2):
    """Parts with grain, kerf or none, sheets as after a trim, perhaps few of them."""
    kerf = Ticks(rng.choice([0, 0, 1, 2]))
    trim = rng.choice([0, 0, 1])
    stock = [
        StockType(
            f"S{number}",
            Ticks(rng.randint(5, 12) - 2 * trim),
            Ticks(rng.randint(5, 10) - 2 * trim),
            rng.randint(3, 12),
            rng.choice([None, None, 1, 2]),
            rng.random() < 0.5,
        )
        for number in range(rng.randint(1, most_sizes))
    ]
    stock.append(StockType("any part", Ticks(9), Ticks(9), rng.randint(9, 20)))
    parts = random_parts(rng, 4)
    while sum(part.qty for part in parts) > 5:
        parts = random_parts(rng, 4)
    return Problem("ply", parts, tuple(stock), kerf, kerf)


def limited_least_cost(problem):
    """The least cost, with no more sheets of a type than there are, by trying every purchase."""
    parts = [item for item in problem.items for _ in range(item.qty)]
    fits = {}

    def can_cut(chosen, stock):
        if (chosen, stock) not in fits:
            alone = Problem(
                "ply",
                tuple(
                    Item(str(n), parts[n].length, parts[n].width, 1, parts[n].grain) for n in chosen
                ),
                (stock,),
                problem.kerf,
                problem.kerf,
            )
            fits[chosen, stock] = least_cost(alone, problem.kerf) == stock.cost
        return fits[chosen, stock]

    @cache
    def cost_of(chosen, left):
        if not chosen:
            return 0
        costs = []
        for picked in range(2 ** (len(chosen) - 1)):
            one = (chosen[0], *(p for n, p in enumerate(chosen[1:]) if picked >> n & 1))
            rest = tuple(p for p in chosen if p not in one)
            for number, stock in enumerate(problem.stock):
                if left[number] and can_cut(one, stock):
                    fewer = tuple(n - (k == number) for k, n in enumerate(left))
                    costs.append(stock.cost + cost_of(rest, fewer))
        return min(costs, default=10**9)

    there = tuple(
        len(parts) if stock.available is None else stock.available for stock in problem.stock
    )
    return cost_of(tuple(range(len(parts))), there)


def assert_proved(seed):
    """The judge proves the exhaustive optimum, lays it, and claims nothing above it."""
    rng = random.Random(seed)
    problem = random_job(rng)
    optimum = limited_least_cost(problem)
    sizes = sizes_of(problem, problem.kerf)
    weighings = area_weighings(sizes) + size_weighings(sizes, 60)
    low = cheapest_purchase(sizes, weighings).cost
    assert low <= optimum
    verdict = judge(sizes, weighings, low, None, 20_000, 1.0, never)
    assert verdict.low == optimum
    assert_holds(problem, Answer(patterns_of(problem, sizes, verdict.laid), optimum, verdict.low))
    for weighing in verdict.weighings:
        assert (cheapest_purchase(sizes, [weighing]).cost or 0) <= optimum
    # With a plan to beat: at the optimum it is proved, one above it it is beaten.
    assert judge(sizes, weighings, low, optimum, 20_000, 1.0, never).low == optimum
    beaten = judge(sizes, weighings, low, optimum + 1, 20_000, 1.0, never)
    assert beaten.low <= optimum
    assert beaten.laid is not None
    # Whatever little is allowed, the bound holds.
    for limit in (0, 1, 3):
        assert judge(sizes, weighings, low, None, limit, 0.0, never).low <= optimum


@pytest.mark.parametrize("seed", range(150))
def test_what_is_proved_is_the_exhaustive_optimum(seed):
    assert_proved(seed)


@pytest.mark.slow
@pytest.mark.parametrize("block", range(20))
def test_what_is_proved_is_the_exhaustive_optimum_of_many_jobs(block):
    for seed in range(1_000 + 100 * block, 1_100 + 100 * block):
        assert_proved(seed)


@pytest.mark.slow
@pytest.mark.parametrize("block", range(20))
def test_whole_plans_of_many_jobs_against_all_plans_there_are_and_a_library(block):
    """Kerf, trim, grain, few or many sheets of up to three sizes: 2,000 jobs, none left out.

    No bound is above the optimum, so what is called proven is. No plan costs more than the
    best of the 252 guillotine variants of rectpack 0.2.2.
    """
    for seed in range(5_000 + 100 * block, 5_100 + 100 * block):
        problem = random_job(random.Random(seed))
        answer = plan_sheets(problem, Search(1, second_goals=False), Unwatched())
        assert_holds(problem, answer)
        optimum = limited_least_cost(problem)
        assert answer.lower_bound <= optimum <= answer.cost, seed
        assert answer.cost == optimum, seed
        library = cost_by_library(problem)
        assert library is None or answer.cost <= library, seed


@pytest.mark.parametrize("seed", range(60))
def test_mixtures_of_rounded_sizes_claim_nothing_above_the_optimum(seed):
    rng = random.Random(f"rounded {seed}")
    problem = random_job(rng)
    optimum = limited_least_cost(problem)
    sizes = sizes_of(problem, problem.kerf)
    weighings = area_weighings(sizes)
    for most in (3, 5, 8, 40):
        mixture = Mixture(len(sizes.types), UnlimitedFills(sizes, most))
        counts = tuple(rng.randint(0, 2) for _ in sizes.types)
        shortage = mixture.weigh(counts, 60, never, through=True)
        if shortage is not None:
            proved = cheapest_purchase(sizes, [*weighings, shortage.weighing]).cost
            assert proved is None or proved <= optimum


def fits(problem, chosen):
    """Whether one sheet of the first stock gives the chosen parts."""
    parts = [item for item in problem.items for _ in range(item.qty)]
    items = tuple(
        Item(str(n), parts[k].length, parts[k].width, 1, parts[k].grain)
        for n, k in enumerate(chosen)
    )
    stock = problem.stock[0]
    alone = Problem("ply", items, (stock,), problem.kerf, problem.kerf)
    return least_cost(alone, problem.kerf) == stock.cost


@pytest.mark.parametrize("seed", range(120))
def test_lists_of_some_sizes_of_sheet_claim_nothing_above_the_optimum(seed):
    rng = random.Random(f"some sizes {seed}")
    problem = random_job(rng, most_sizes=3)
    optimum = limited_least_cost(problem)
    sizes = sizes_of(problem, problem.kerf)
    counts = tuple(kind.qty for kind in sizes.kinds)
    # Only sheets of one grain are listed together.
    alike = [t for t, of in enumerate(sizes.types) if of.grain is sizes.types[-1].grain]
    chosen = sorted(rng.sample(alike, rng.randint(1, len(alike))))
    sets, _ = list_part_sets(sizes, tuple(chosen), counts, 10_000, 10_000_000, never)
    mixture = Mixture(len(sizes.types), ListedFills(sizes, [sets]))
    purchase = tuple(int(t in chosen) for t in range(len(sizes.types)))
    shortage = mixture.weigh(purchase, 60, never, through=True)
    assert shortage is not None
    found = cheapest_purchase(sizes, [*area_weighings(sizes), shortage.weighing])
    assert found.cost is not None
    assert found.cost <= optimum
    for sheet in set(range(len(sizes.types))) - set(chosen):
        assert shortage.weighing.capacities[sheet] >= shortage.weighing.demand


@pytest.mark.parametrize("seed", range(40))
def test_the_list_holds_all_sets_that_one_sheet_gives_and_no_other(seed):
    rng = random.Random(f"list {seed}")
    kerf = rng.choice([0, 1])
    # Two parts of one size, so that sets with a part twice are among them.
    a, b = rng.randint(1, 6), rng.randint(1, 5)
    parts = [(a, b, 2, rng.choice(GRAINS))]
    parts += [(rng.randint(1, 8), rng.randint(1, 6), 1, rng.choice(GRAINS)) for _ in range(3)]
    problem = sheets_of(rng.randint(6, 12), rng.randint(6, 10), parts, kerf=kerf, grain=seed % 2)
    sizes = sizes_of(problem, kerf)
    counts = tuple(kind.qty for kind in sizes.kinds)
    sets, _ = list_part_sets(sizes, (0,), counts, 10_000, 10_000_000, never)
    listed = [tuple(sets.counts_of(one).items()) for one in range(1, len(sets))]
    assert len(listed) == len(set(listed))
    kind_of = {}
    for kind, of_kind in enumerate(sizes.kinds):
        for item, _, _ in of_kind.sources:
            kind_of[item] = kind
    of_part = [kind_of[n] for n, item in enumerate(problem.items) for _ in range(item.qty)]
    expected = set()
    for many in range(1, len(of_part) + 1):
        for chosen in combinations(range(len(of_part)), many):
            if fits(problem, chosen):
                kinds = sorted(of_part[k] for k in chosen)
                expected.add(tuple((k, kinds.count(k)) for k in dict.fromkeys(kinds)))
    assert set(listed) == expected
    for one in range(1, len(sets)):
        sheet = sizes.types[0]
        block = sets.lay(one, sheet.length, sheet.width, sizes)
        assert sizes.legal(block, 0)
        held = [part.kind for part in parts_in(block)]
        assert {kind: held.count(kind) for kind in held} == sets.counts_of(one)
    # Full sets: those that are in no larger one.
    larger = [dict(held) for held in expected]
    full = {
        held
        for held in expected
        if not any(
            dict(held) != other and all(other.get(k, 0) >= n for k, n in held) for other in larger
        )
    }
    assert {tuple(sets.counts_of(int(one)).items()) for one in sets.full(0)} == full


@pytest.mark.parametrize("seed", range(30))
def test_the_most_worth_is_that_of_a_plain_recursion(seed):
    rng = random.Random(f"worth {seed}")
    # As many of each as a sheet can hold: no limit is felt.
    parts = [(rng.randint(2, 9), rng.randint(2, 9), 90, rng.choice(GRAINS)) for _ in range(4)]
    problem = sheets_of(rng.randint(9, 20), rng.randint(9, 16), parts, grain=seed % 2)
    sizes = sizes_of(problem, 0)
    worths = np.array([rng.randint(0, 50) for _ in sizes.kinds], np.int64)

    @cache
    def most(length, width):
        best = max(
            (
                int(worths[kind])
                for kind, lays in enumerate(sizes.lays[0])
                for a, b, _ in lays
                if a <= length and b <= width
            ),
            default=0,
        )
        for at in range(1, length // 2 + 1):
            best = max(best, most(at, width) + most(length - at, width))
        for at in range(1, width // 2 + 1):
            best = max(best, most(length, at) + most(length, width - at))
        return best

    fills = UnlimitedFills(sizes, 100)
    sheet = sizes.types[0]
    (found,) = fills.reach(worths)
    assert found == most(sheet.length, sheet.width)
    for fill in fills.better(worths, {0: 0}):
        assert sum(int(worths[kind]) * many for kind, many in fill.counts.items()) == found
    assert not fills.better(worths, {0: found})


def tight_choice(problem, count):
    """What all tight fills say of so many sheets: proved too few, or the choice among them."""
    sizes = sizes_of(problem, problem.kerf)
    fills = UnlimitedFills(sizes, 100)
    shortage = Mixture(1, fills).weigh((count,), 100, never, through=True)
    if shortage.proved:
        return Choice.NONE, []
    tight, _ = tight_fills(fills, (count,), shortage, 10_000_000)
    if tight is None:
        return Choice.OPEN, []
    left = Mixture(1, tight).weigh((count,), 100, never, through=True)
    if left.proved:
        return Choice.NONE, []
    choice, chosen = choose(tight, (count,), left, 10_000, 5.0)
    blocks = [tight.lay(sheet, place) for sheet, place in chosen]
    assert all(sizes.legal(block, 0) for block in blocks)
    return choice, blocks


@pytest.mark.parametrize("seed", range(100))
def test_tight_fills_rule_out_too_few_sheets_and_never_enough(seed):
    rng = random.Random(f"tight {seed}")
    kerf = rng.choice([0, 1])
    # Parts of a sheet or two parted with no waste, some made a little smaller.
    parts = []
    for _ in range(rng.randint(1, 2)):
        a, b = rng.randint(3, 6), rng.randint(2, 5)
        parts += [(a, 8), (10 - a - kerf, b), (10 - a - kerf, 8 - b - kerf)]
    parts = [(max(1, a - (rng.random() < 0.2)), max(1, b), 1, rng.choice(GRAINS)) for a, b in parts]
    problem = sheets_of(10, 8, parts, kerf=kerf, grain=seed % 2)
    optimum = least_cost(problem, kerf) // 100
    if optimum > len(parts):
        return  # a part lies across a sheet with grain: nothing to plan
    choice, blocks = tight_choice(problem, optimum)
    assert choice is not Choice.NONE
    assert len(blocks) <= optimum


def test_sheets_parted_without_waste_are_put_together_again():
    # The only way to cut four sheets of 60 x 40 with no waste at all.
    sheet = [(25, 40), (35, 13), (20, 27), (15, 27)]
    parts = [(a, b, 4) for a, b in sheet]
    choice, blocks = tight_choice(sheets_of(60, 40, parts), 4)
    assert choice is Choice.FOUND
    assert len(blocks) == 4
    assert tight_choice(sheets_of(60, 40, parts), 3)[0] is Choice.NONE


@pytest.mark.parametrize("seed", range(60))
def test_close_fills_are_all_fills_that_waste_no_more_than_a_purchase_has_over(seed):
    rng = random.Random(f"close {seed}")
    kerf = rng.choice([0, 1])
    a, b = rng.randint(3, 6), rng.randint(2, 5)
    parts = [(a, 8), (10 - a - kerf, b), (10 - a - kerf, 8 - b - kerf)]
    parts += [(rng.randint(1, 5), rng.randint(1, 5)) for _ in range(2)]
    problem = sheets_of(10, 8, [(*part, 1, rng.choice(GRAINS)) for part in parts], kerf=kerf)
    sizes = sizes_of(problem, kerf)
    count = -(-sizes.area // sizes.types[0].area)
    over = count * sizes.types[0].area - sizes.area
    close, _ = close_fills(sizes, (count,), 1_000_000)
    if over >= sizes.types[0].area:
        assert close is None
        return
    close.reach(np.array([kind.area for kind in sizes.kinds], np.int64))
    found = {
        tuple(sorted(close.counts_on(0, place).items()))
        for place in range(len(close.weights_on(0)))
    }
    there = sizes.all_parts()
    for chosen in {
        tuple(sorted(some)) for n in range(1, len(there) + 1) for some in combinations(there, n)
    }:
        counts = tuple((kind, chosen.count(kind)) for kind in sorted(set(chosen)))
        area = sum(sizes.kinds[kind].area for kind in chosen)
        wanted = [0] * len(sizes.kinds)
        for kind in chosen:
            wanted[kind] += 1
        alone = [
            (k.length - kerf, k.width - kerf, n, Grain.LENGTH if k.bound else Grain.ANY)
            for k, n in zip(sizes.kinds, wanted, strict=True)
            if n
        ]
        fits = least_cost(sheets_of(10, 8, alone, kerf=kerf), kerf) == 100
        assert (counts in found) == (fits and area >= sizes.types[0].area - over)


@pytest.mark.parametrize("grain", [Grain.LENGTH, Grain.ANY])
def test_forty_parts_of_a_sheet_parted_without_waste_are_put_together_again(grain):
    rng = random.Random(f"forty {grain}")
    kerf = 7
    parts = [(2000, 1000)]
    while len(parts) < 40:
        a, b = parts.pop(max(range(len(parts)), key=lambda n: parts[n][0] * parts[n][1]))
        if a >= b:
            at = rng.randint(a // 4, a // 2)
            parts += [(at, b), (a - at - kerf, b)]
        else:
            at = rng.randint(b // 4, b // 2)
            parts += [(a, at), (a, b - at - kerf)]
    rng.shuffle(parts)
    problem = sheets_of(2000, 1000, [(*part, 1, grain) for part in parts], kerf=kerf)
    answer = plan_sheets(problem, Search(1), Unwatched())
    assert len(answer.patterns) == 1


def test_a_list_that_grows_past_its_limits_is_given_up():
    problem = sheets_of(60, 40, [(a, 60 - 5 * a, 1) for a in range(3, 12)])
    sizes = sizes_of(problem, 0)
    counts = tuple(kind.qty for kind in sizes.kinds)
    whole, work = list_part_sets(sizes, (0,), counts, 10_000, 10_000_000, never)
    assert whole is not None
    assert list_part_sets(sizes, (0,), counts, len(whole) - 2, 10_000_000, never)[0] is None
    assert list_part_sets(sizes, (0,), counts, 10_000, work // 2, never)[0] is None
    assert list_part_sets(sizes, (0,), counts, 10_000, 10_000_000, lambda: True)[0] is None


def test_a_choice_among_too_many_sets_stays_open():
    sizes = sizes_of(sheets_of(10, 10, [(6, 4, 4), (5, 5, 3)]), 0)
    counts = tuple(kind.qty for kind in sizes.kinds)
    sets, _ = list_part_sets(sizes, (0,), counts, 1_000, 1_000_000, never)
    listed = ListedFills(sizes, [sets])
    shortage = Mixture(1, listed).weigh((4,), 50, never, through=True)
    assert not shortage.proved
    assert choose(listed, (4,), shortage, 0, 1.0)[0] is Choice.OPEN
    assert choose(listed, (4,), shortage, 1_000, 1.0)[0] is Choice.FOUND


def test_more_sheet_types_than_a_list_can_tell_apart_claim_no_more() -> None:
    """Seventy sizes of sheet, more than the bits that tell them apart in a list."""
    items = tuple(Item(f"P{n}", Ticks(400 + 7 * n), Ticks(300 - 5 * n), 2) for n in range(6))
    sizes = tuple(
        StockType(f"sheet {n}", Ticks(900 + n), Ticks(650 - n), 1000 + n) for n in range(70)
    )
    many = Problem("ply", items, sizes, Ticks(3), Ticks(3))
    few = Problem("ply", items, sizes[:10], Ticks(3), Ticks(3))
    answer = plan_sheets(many, Search(), Unwatched())
    assert answer.lower_bound <= answer.cost
    # More to choose from never costs more, so no bound of the many exceeds a plan of the few.
    assert answer.lower_bound <= plan_sheets(few, Search(), Unwatched()).cost
