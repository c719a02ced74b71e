"""A good packing of boards quickly: fill one board after the other, learn, start over.

Source: Mukhacheva, E. A. and Zalgaller, V. A. (1993) and Belov, G. and Scheithauer, G.,
"Setup and open-stacks minimization in one-dimensional stock cutting", INFORMS Journal on
Computing 19 (2007), doi:10.1287/ijoc.1050.0132, section 3 (sequential value correction).
"""

from __future__ import annotations

from collections.abc import Sequence
from random import Random

import numpy as np

from cutopt.solve.boards_load import Filled, Load, Packing

_MOST_NODES = 2_000
_TRIES = 8
_NO_LIMIT = 1 << 62


def fill_boards(
    load: Load,
    demands: Sequence[int],
    boards: Sequence[int],
    worth: Sequence[float],
    rounds: int,
    random: Random,
    enough: int = -1,
    below: int | None = None,
) -> Packing | None:
    """Give the cheapest packing of ``demands`` found in so many rounds, or None.

    Args:
        load: parts and boards.
        demands: how many of each part.
        boards: how many of each board there are.
        worth: what a part is thought to be worth at first, any unit.
        rounds: fresh starts, each with worths corrected by what came before.
        random: generator for the size of the corrections.
        enough: stop at a packing that costs no more.
        below: give up a round once it costs as much.
    """
    from cutopt.solve.kernel.chance import chance_from  # noqa: PLC0415 (slow)
    from cutopt.solve.kernel.fills import fill_in_turn  # noqa: PLC0415 (slow)

    weights, missing, rooms, costs, have = (
        np.array(row, np.int64) for row in (load.weights, demands, load.rooms, load.costs, boards)
    )
    values = np.maximum(np.array(worth, np.float64), 1e-9)
    state = chance_from(random.getrandbits(32))
    # Each turn fills a board at least; a board that is cut often takes one place a halving.
    most = min(sum(demands), sum(boards)) + 1
    chosen, times = np.empty(most, np.int64), np.empty(most, np.int64)
    fills = np.empty((most, len(weights)), np.int64)
    best: Packing | None = None
    for _ in range(rounds):
        limit = _NO_LIMIT if below is None else below
        total, cost = fill_in_turn(
            weights, missing, rooms, costs, have, values, state, limit, _MOST_NODES,
            chosen, times, fills,
        )  # fmt: skip
        if total < 0:
            continue
        best, below = (
            tuple(
                filled
                for board, often, counts in zip(
                    chosen[:total].tolist(),
                    times[:total].tolist(),
                    fills[:total].tolist(),
                    strict=True,
                )
                for filled in [Filled(board, tuple(counts))] * often
            ),
            int(cost),
        )
        if cost <= enough:
            break
    return best


def fill_tightly(
    load: Load,
    demands: Sequence[int],
    boards: Sequence[int],
    rounds: int,
    random: Random,
) -> Packing | None:
    """Give a packing of ``demands`` into boards that are barely long enough together, or None.

    Args:
        load: parts and boards.
        demands: how many of each part.
        boards: how many of each board there are.
        rounds: fresh starts.
        random: generator for the order of the parts.
    """
    from cutopt.solve.kernel import fills as kernel  # noqa: PLC0415 (slow)
    from cutopt.solve.kernel.chance import chance_from  # noqa: PLC0415 (slow)

    weights, missing, rooms, have = (
        np.array(row, np.int64) for row in (load.weights, demands, load.rooms, boards)
    )
    if int(weights @ missing) > int(rooms @ have):
        return None
    state = chance_from(random.getrandbits(32))
    most = min(sum(demands), sum(boards))
    chosen, fills = np.empty(most, np.int64), np.empty((most, len(weights)), np.int64)
    for _ in range(rounds):
        total = kernel.fill_tightly(
            weights, missing, rooms, have, state, _MOST_NODES, _TRIES, chosen, fills
        )
        if total >= 0:
            return tuple(
                Filled(board, tuple(counts))
                for board, counts in zip(
                    chosen[:total].tolist(), fills[:total].tolist(), strict=True
                )
            )
    return None
