"""The compiled search: what it lays can be sawn, and it is the same search everywhere."""

from __future__ import annotations

import os
import random
import subprocess
import sys
from collections import Counter
from pathlib import Path

import numpy as np
import pytest
from sheet_jobs import plan, sheets_of

from cutopt.model.job import Grain
from cutopt.solve.kernel.chance import chance_from, draw
from cutopt.solve.params import Item, Problem, StockType
from cutopt.solve.sheets_first import first_plan
from cutopt.solve.sheets_kernel import Kernel, Taste
from cutopt.solve.sheets_sizes import cost_of, sizes_of
from cutopt.solve.slicing import parts_in
from cutopt.units import Ticks


def never():
    return False


def cabinet(seed, count=30, *, grain=True):
    """A made-up cabinet's parts on 8 ft by 4 ft sheets, sizes in ticks."""
    rng = random.Random(seed)
    items = tuple(
        Item(
            f"P{n}",
            Ticks(rng.randint(100, 720) * 320),
            Ticks(rng.randint(80, 560) * 320),
            rng.choice([1, 1, 2, 4]),
            rng.choice([Grain.ANY, Grain.LENGTH, Grain.WIDTH]),
        )
        for n in range(count)
    )
    stock = (
        StockType("full", Ticks(2440 * 320), Ticks(1220 * 320), 5500, None, grain),
        StockType("half", Ticks(1220 * 320), Ticks(1220 * 320), 3100, None, grain=False),
    )
    return Problem("ply", items, stock, Ticks(960), Ticks(960))


def filled(problem, sheets, seed=1, rounds=300):
    """The kernel, and what it lays on these sheets: (type, block) and the area left."""
    kernel = Kernel(sizes_of(problem, problem.kerf), seed, never)
    floor = kernel.floor(sheets)
    left = kernel.fill(floor, Taste(), (0.1, 0.01), rounds, keep=0.5)
    return kernel, kernel.laid(kernel.words_on(floor)), left


@pytest.mark.parametrize("seed", range(6))
def test_what_is_laid_fits_its_sheet_and_what_is_not_is_counted(seed):
    problem = cabinet(seed)
    kernel, laid, left = filled(problem, [0, 1, 0])
    assert all(kernel.sizes.legal(root, sheet) for sheet, root in laid)
    made = Counter(part.kind for _, root in laid for part in parts_in(root))
    missing = {
        kind: kernel.sizes.kinds[kind].qty - made[kind] for kind in range(len(kernel.sizes.kinds))
    }
    assert min(missing.values()) >= 0
    assert sum(kernel.sizes.kinds[k].area * many for k, many in missing.items()) == left


@pytest.mark.parametrize("seed", range(3))
def test_every_pattern_kept_fits_the_sheet_it_is_kept_for(seed):
    kernel, _, _ = filled(cabinet(seed), [0, 1, 0])
    count = int(kernel.pool.counts[0])
    assert count > 10
    seen = set()
    for number in range(count):
        sheet = int(kernel.pool.types[number])
        block = kernel.block(kernel.pattern(number), sheet)
        assert kernel.sizes.legal(block, sheet)
        assert block.area >= 0.5 * kernel.sizes.types[sheet].area
        seen.add((sheet, tuple(sorted(part.kind for part in parts_in(block)))))
    assert len(seen) == count


def test_letting_patterns_go_keeps_the_others_as_they_were():
    kernel, _, _ = filled(cabinet(1), [0, 1, 0])
    kept = np.arange(3, int(kernel.pool.counts[0]), 2)
    before = [(int(kernel.pool.types[n]), kernel.pattern(n).tolist()) for n in kept]
    kernel.keep_patterns(kept)
    after = [
        (int(kernel.pool.types[n]), kernel.pattern(n).tolist())
        for n in range(int(kernel.pool.counts[0]))
    ]
    assert after == before


def test_a_pattern_laid_again_leaves_out_parts_there_are_no_more_of():
    kernel, _, _ = filled(cabinet(2), [0, 0, 0])
    words = kernel.pattern(0).copy()
    floor = kernel.floor([0, 0, 0], [words, words, words])
    laid = kernel.laid(kernel.words_on(floor))
    assert all(kernel.sizes.legal(root, sheet) for sheet, root in laid)
    made = Counter(part.kind for _, root in laid for part in parts_in(root))
    assert all(made[kind] <= kernel.sizes.kinds[kind].qty for kind in made)
    wanted = Counter(int(word) >> 1 for word in words if word >= 0)
    assert all(
        made[kind] == min(3 * many, kernel.sizes.kinds[kind].qty) for kind, many in wanted.items()
    )


def test_the_same_seed_lays_the_same():
    one, other = (filled(cabinet(3), [0, 1, 0])[0] for _ in range(2))
    assert one.work == other.work
    assert one.pool.words.tolist() == other.pool.words.tolist()


SHOW = """
import sys
sys.path.insert(0, sys.argv[1])
from test_solve_sheets_kernel import cabinet, filled
kernel, laid, left = filled(cabinet(4, 30), [0, 1], rounds=60)
count = int(kernel.pool.counts[0])
print(kernel.work, left, kernel.pool.words[: int(kernel.pool.starts[count])].tolist())
"""


def test_the_search_is_the_same_when_nothing_is_compiled():
    here = str(Path(__file__).parent)
    shown = [
        subprocess.run(
            [sys.executable, "-c", SHOW, here],
            env={**os.environ, "NUMBA_DISABLE_JIT": off},
            capture_output=True,
            text=True,
            check=True,
        ).stdout
        for off in ("0", "1")
    ]
    assert shown[0] == shown[1]
    assert len(shown[0]) > 100


# A generator of 31 bits each: mean 1/2 and variance 1/12, four standard errors allowed.
def test_chance_is_even():
    state = chance_from(5)
    drawn = np.array([draw(state) for _ in range(20_000)])
    assert ((drawn >= 0) & (drawn < 1)).all()
    assert abs(drawn.mean() - 1 / 2) < 4 * np.sqrt(1 / 12 / 20_000)
    assert abs(drawn.var() - 1 / 12) < 4 * np.sqrt(1 / 180 / 20_000)
    halves = drawn[1:] * drawn[:-1]
    assert abs(halves.mean() - 1 / 4) < 4 * np.sqrt(7 / 144 / 10_000)


@pytest.mark.parametrize("seed", range(5))
def test_searching_is_never_dearer_than_laying_parts_one_by_one(seed):
    problem = cabinet(seed, 12)
    sizes = sizes_of(problem, problem.kerf)
    assert plan(problem, effort=0).cost <= cost_of(sizes, first_plan(sizes))


# Sheets cut up by random straight cuts: no waste at all, so the number of sheets is known.
@pytest.mark.parametrize("seed", range(4))
def test_four_sheets_cut_in_five_parts_each_are_put_together_again(seed):
    parts = [(*size, 1) for _ in range(4) for size in cut_up(random.Random(seed), 5)]
    assert plan(sheets_of(2440, 1220, parts), seed=seed).cost == 400


def cut_up(rng, count):
    """A 2440 x 1220 sheet cut in ``count`` pieces."""
    pieces = [(2440, 1220)]
    while len(pieces) < count:
        pieces.sort(key=lambda piece: piece[0] * piece[1])
        length, width = pieces.pop()
        if rng.random() < length / (length + width):
            at = rng.randint(length // 5, length - length // 5)
            pieces += [(at, width), (length - at, width)]
        else:
            at = rng.randint(width // 5, width - width // 5)
            pieces += [(length, at), (length, width - at)]
    return pieces
