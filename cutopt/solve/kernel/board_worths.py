"""What boards drawn at random are worth to parts, at most: sums over their clear runs.

Each run counts for the most value of parts that fit in it, whatever the other runs hold. So the
worth of several boards is the sum of theirs, and parts worth more never come out of them.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from cutopt.solve.kernel.clear_runs import (
    GROUND_FROM,
    GROUND_TO,
    LENGTH,
    MOST_RUNS,
    START,
    STOP,
    Real,
    Whole,
    add_board,
    board_key,
)
from cutopt.solve.kernel.compiling import compiled

Worth = NDArray[np.int32]


@compiled
def board_worths(
    seed: int,
    scenarios: int,
    rows: Whole,
    odds: Real,
    row: int,
    most: int,
    kerf: int,
    worths: Whole,
    whole: Whole,
    unit: int,
) -> Worth:
    """Give what the first 0 to ``most`` boards of a row are worth: [boards, value, scenario].

    Args:
        seed: of all scenarios.
        scenarios: how many.
        rows: of the stock list.
        odds: their chances.
        row: of which the boards are.
        most: boards at most.
        kerf: of the saw.
        worths: [value, room]: most value in a run with so many units of room, kerf included.
        whole: the last value, of room between a board's ends, bad spans and all.
        unit: ticks.
    """
    values = len(worths)
    found = np.zeros((most + 1, values + 1, scenarios), np.int32)
    runs = np.empty((MOST_RUNS, 6), np.int64)
    for scenario in range(scenarios):
        for board in range(most):
            key = board_key(seed, scenario, row, board)
            count = add_board(runs, 0, board, key, rows[row], odds[row], kerf)
            for value in range(values):
                total = found[board, value, scenario]
                for run in range(count):
                    total += worths[value, (runs[run, STOP] - runs[run, START] + kerf) // unit]
                found[board + 1, value, scenario] = total
            ground = rows[row, LENGTH]
            if count:
                ground = runs[0, GROUND_TO] - runs[0, GROUND_FROM]
            found[board + 1, values, scenario] = (
                found[board, values, scenario] + whole[(ground + kerf) // unit]
            )
    return found


@compiled
def worth_for_money(worths: Worth, cost: int, others: Worth) -> Worth:
    """Give the most that money buys in each scenario: [scenario, money], ``others`` included.

    Args:
        worths: [boards, scenario] of one row.
        cost: of one of its boards, from 1.
        others: [scenario, money] of the rows so far.
    """
    best = others.copy()
    scenarios, money = others.shape
    for scenario in range(scenarios):
        for boards in range(1, len(worths)):
            spent = boards * cost
            if spent >= money:
                break
            worth = worths[boards, scenario]
            for paid in range(spent, money):
                trial = others[scenario, paid - spent] + worth
                best[scenario, paid] = max(best[scenario, paid], trial)
    return best
