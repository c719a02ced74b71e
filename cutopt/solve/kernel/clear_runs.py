"""Boards with bad spans drawn at random, and the runs that are clear of them.

Every number drawn hangs only on what it is for: the seed, the scenario, the row of the stock
list, which board of it, and which of its numbers. So board 7 is the same board whether 7 or
12 are bought, and the same on every machine.

Source: Salmon, Moraes, Dror and Shaw, "Parallel random numbers: as easy as 1, 2, 3", SC 2011,
doi:10.1145/2063384.2063405 (numbers from a counter).
"""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

from cutopt.solve.kernel.compiling import compiled

Whole = NDArray[np.int64]
Real = NDArray[np.float64]

MOST_RUNS = 4096
"""Clear runs of all boards of a scenario together; what is over is not used."""
_WORD = 0xFFFFFFFF
_STEPS = 4096
# Rounded, so that no machine's logarithm can differ from another's.
_WAITS = np.array(
    [round(-math.log(1.0 - (step + 0.5) / _STEPS), 9) for step in range(_STEPS)], np.float64
)

# Columns of a row of boards.
LENGTH, TRIM, SPAN_FROM, SPAN_TO, END_FROM, END_TO, STRAIGHT = range(7)
# Its chances: bad spans a tick, a bad end.
RATE, END_CHANCE = range(2)
# Columns of a clear run: where it starts and ends, the board, the ground of that board between
# its ends, the longest part it may give.
START, STOP, BOARD, GROUND_FROM, GROUND_TO, MOST = range(6)


@compiled
def _times(word: int, factor: int) -> int:
    """Give the low 32 bits of a product without ever leaving 63 bits."""
    low = (word & 0xFFFF) * factor
    high = ((word >> 16) * factor) & 0xFFFF
    return (low + (high << 16)) & _WORD


@compiled
def scramble(word: int) -> int:
    """Give 32 bits that hang on every bit of the word: multiplied and folded, twice."""
    word &= _WORD
    word ^= word >> 16
    word = _times(word, 0x7FEB352D)
    word ^= word >> 15
    word = _times(word, 0x846CA68B)
    return word ^ (word >> 16)


@compiled
def board_key(seed: int, scenario: int, row: int, board: int) -> int:
    """Give what all numbers of one board hang on."""
    key = scramble(seed + 0x9E3779B9)
    key = scramble(key ^ scramble(scenario + 0x3C6EF372))
    key = scramble(key ^ scramble(row + 0x1B873593))
    return scramble(key ^ scramble(board + 0x5BD1E995))


@compiled
def number_of(key: int, which: int) -> float:
    """Give one of a board's numbers, from 0 to under 1."""
    return scramble(key ^ scramble(which + 0x27D4EB2F)) * 2.0**-32


@compiled
def add_board(
    runs: Whole, count: int, board: int, key: int, row: Whole, odds: Real, kerf: int
) -> int:
    """Add the clear runs of a board that is drawn at random; give how many runs there are now."""
    length = row[LENGTH]
    first, last = row[TRIM], length - row[TRIM]
    if number_of(key, 0) < odds[END_CHANCE]:
        bad = row[END_FROM] + int(number_of(key, 1) * (row[END_TO] - row[END_FROM] + 1))
        first = max(first, bad)
    if number_of(key, 2) < odds[END_CHANCE]:
        bad = row[END_FROM] + int(number_of(key, 3) * (row[END_TO] - row[END_FROM] + 1))
        last = min(last, length - bad)
    start, at, which = first, 0.0, 4
    rate = odds[RATE]
    while start < last and count < len(runs):
        stop, after = last, last
        if rate > 0:
            at += _WAITS[int(number_of(key, which) * _STEPS)] / rate
            size = row[SPAN_FROM] + int(
                number_of(key, which + 1) * (row[SPAN_TO] - row[SPAN_FROM] + 1)
            )
            which += 2
            if at < last:
                stop = int(at)
                after = stop + size
        if stop > start:
            runs[count, START] = start
            runs[count, STOP] = stop
            runs[count, BOARD] = board
            runs[count, GROUND_FROM] = first
            runs[count, GROUND_TO] = last
            runs[count, MOST] = row[STRAIGHT]
            count += 1
            # A bad span narrower than the blade: the cut before it reaches into what follows.
            after = max(after, stop + kerf)
        start = max(start, after)
    return count


@compiled
def lay_out(
    runs: Whole,
    seed: int,
    scenario: int,
    rows: Whole,
    odds: Real,
    counts: Whole,
    first: Whole,
    kerf: int,
) -> int:
    """Put the clear runs of all boards of a scenario in ``runs``; give how many they are.

    Args:
        runs: filled here.
        seed: of all scenarios.
        scenario: which one.
        rows: of the stock list, as the columns say.
        odds: their chances.
        counts: boards of each row.
        first: runs of boards that are known.
        kerf: of the saw.
    """
    number = len(first)
    runs[:number] = first
    board = number
    for row in range(len(counts)):
        for which in range(counts[row]):
            key = board_key(seed, scenario, row, which)
            number = add_board(runs, number, board, key, rows[row], odds[row], kerf)
            board += 1
    return number


@compiled
def clear_lengths(
    seed: int, scenarios: int, rows: Whole, odds: Real, row: int, most: int, least: int, kerf: int
) -> Whole:
    """Give the length, a kerf for each run added, that boards of a row are clear of bad spans.

    Of the first 0 to ``most`` boards, for each scenario; runs shorter than ``least`` (a part
    and one kerf) give none.
    """
    runs = np.empty((MOST_RUNS, 6), np.int64)
    lengths = np.zeros((scenarios, most + 1), np.int64)
    for scenario in range(scenarios):
        for board in range(most):
            key = board_key(seed, scenario, row, board)
            count = add_board(runs, 0, board, key, rows[row], odds[row], kerf)
            total = lengths[scenario, board]
            for index in range(count):
                room = runs[index, STOP] - runs[index, START] + kerf
                if room >= least:
                    total += room
            lengths[scenario, board + 1] = total
    return lengths
