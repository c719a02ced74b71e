"""In how many scenarios all parts come out of boards bought, and how many boards it takes."""

from __future__ import annotations

import numpy as np

from cutopt.solve.kernel.clear_runs import MOST_RUNS, Real, Whole, lay_out
from cutopt.solve.kernel.come_out import DOUBTFUL, OUT, come_out
from cutopt.solve.kernel.compiling import compiled


@compiled
def count_out(
    seed: int,
    scenarios: int,
    most_short: int,
    rows: Whole,
    odds: Real,
    counts: Whole,
    first: Whole,
    weights: Whole,
    rest: Whole,
    kerf: int,
    fills: int,
    nodes: int,
) -> tuple[int, int, int]:
    """Give in how many scenarios all parts come out, in how many that is open, and of how many.

    Stops, short of all scenarios, once more than ``most_short`` of them fail.
    """
    runs = np.empty((MOST_RUNS, 6), np.int64)
    out, doubtful, tried = 0, 0, 0
    for scenario in range(scenarios):
        count = lay_out(runs, seed, scenario, rows, odds, counts, first, kerf)
        answer = come_out(runs, count, weights, rest, kerf, fills, nodes)
        out += answer == OUT
        doubtful += answer == DOUBTFUL
        tried += 1
        if tried - out > most_short:
            break
    return out, doubtful, tried


@compiled
def boards_needed(
    seed: int,
    scenarios: int,
    rows: Whole,
    odds: Real,
    counts: Whole,
    more: int,
    most: int,
    first: Whole,
    weights: Whole,
    rest: Whole,
    kerf: int,
    fills: int,
    nodes: int,
) -> Whole:
    """Give for each scenario how many boards of the row ``more`` it takes beside the others.

    Found by halving, as one more board never hurts; ``most + 1`` where not even that many do.
    """
    runs = np.empty((MOST_RUNS, 6), np.int64)
    needed = np.empty(scenarios, np.int64)
    bought = counts.copy()
    guess = counts[more]
    for scenario in range(scenarios):
        low, high = 0, most + 1
        trial = min(max(guess, 0), most)
        while low < high:
            bought[more] = trial
            count = lay_out(runs, seed, scenario, rows, odds, bought, first, kerf)
            if come_out(runs, count, weights, rest, kerf, fills, nodes) == OUT:
                high = trial
                step = max(low, trial - 1)
            else:
                low = trial + 1
                step = trial + 1
            near = abs(trial - guess) <= 2
            trial = min(step if near else (low + high) // 2, most)
        needed[scenario] = low
        guess = low
    return needed
