"""A good packing of boards quickly: fill one board after the other, learn, start over.

Source: Mukhacheva, E. A. and Zalgaller, V. A. (1993) and Belov, G. and Scheithauer, G.,
"Setup and open-stacks minimization in one-dimensional stock cutting", INFORMS Journal on
Computing 19 (2007), doi:10.1287/ijoc.1050.0132, section 3 (sequential value correction).
"""

from __future__ import annotations

from collections.abc import Sequence
from random import Random

from cutopt.solve.boards_load import Filled, Load, Packing
from cutopt.solve.knapsack import Counts, best_fills

_WHOLE = 100_000


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
    values = [max(value, 1e-9) for value in worth]
    best: Packing | None = None
    for _ in range(rounds):
        packing = _one_round(load, demands, boards, values, random, below)
        if packing is not None:
            best, below = packing, sum(load.costs[filled.board] for filled in packing)
            if below <= enough:
                break
    return best


def _one_round(
    load: Load,
    demands: Sequence[int],
    boards: Sequence[int],
    values: list[float],
    random: Random,
    below: int | None,
) -> Packing | None:
    """Fill boards until nothing is missing; correct ``values`` on the way."""
    missing, left = list(demands), list(boards)
    packing: list[Filled] = []
    cost = 0
    while any(missing):
        filled = _next_board(load, missing, left, values)
        if filled is None:
            return None
        board, counts = filled.board, filled.counts
        times = min(
            left[board],
            *(missing[kind] // count for kind, count in enumerate(counts) if count),
        )
        if times > 2:
            times = max(1, times // 2)
        packing.extend([filled] * times)
        left[board] -= times
        cost += times * load.costs[board]
        taken = sum(count * load.weights[kind] for kind, count in enumerate(counts))
        for kind, count in enumerate(counts):
            if count:
                missing[kind] -= times * count
                share = 0.25 * (0.6 + 0.8 * random.random())
                fair = max(load.costs[board], 1) * load.weights[kind] / taken
                values[kind] += share * (fair - values[kind])
        if below is not None and cost >= below:
            return None
    return tuple(packing)


def _next_board(
    load: Load, missing: Sequence[int], left: Sequence[int], values: Sequence[float]
) -> Filled | None:
    """Give the board and fill that bring most worth for the money; owned boards come first."""
    kinds = [board for board, count in enumerate(left) if count > 0]
    weight = sum(count * load.weights[kind] for kind, count in enumerate(missing))
    last = [board for board in kinds if load.rooms[board] >= weight]
    if last:
        cheapest = min(last, key=lambda board: (load.costs[board], load.rooms[board], board))
        return Filled(cheapest, tuple(missing))
    if not kinds:
        return None
    scale = _WHOLE / max(value for value, count in zip(values, missing, strict=True) if count)
    whole = [max(1, round(value * scale)) for value in values]
    fills = best_fills(
        [load.rooms[board] for board in kinds],
        load.weights,
        whole,
        missing,
        most_nodes=400,
        rough=True,
    )
    best: tuple[bool, float, Filled] | None = None
    for board, fill in zip(kinds, fills, strict=True):
        if fill.counts is None:
            continue
        owned = load.costs[board] == 0
        ratio = (
            _weight(load, fill.counts) / load.rooms[board]
            if owned
            else fill.value / load.costs[board]
        )
        if best is None or (owned, ratio) > best[:2]:
            best = owned, ratio, Filled(board, fill.counts)
    return best[2] if best else None


def _weight(load: Load, counts: Counts) -> int:
    return sum(count * weight for count, weight in zip(counts, load.weights, strict=True))
