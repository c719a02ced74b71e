"""Ways to fill one measured board: the most valuable, all that are good enough, and how they lie.

A table over (stage, place) gives the most that may still follow, an upper bound where a part could
be counted in several runs; a search that follows it gives the exact fill.

Source: Gilmore, P. C. and Gomory, R. E., "A linear programming approach to the cutting stock
problem - part II", Operations Research 11 (1963), doi:10.1287/opre.11.6.863 (the auxiliary
knapsack).
"""

from __future__ import annotations

from collections.abc import Sequence
from math import prod

import numpy as np
from numpy.typing import NDArray

from cutopt.solve.knapsack import BestFill, Counts, Need
from cutopt.solve.measured_load import MeasuredLoad

Whole = NDArray[np.int64]

_MOST_STEPS = 4_000
_MOST_LABELS = 60_000
_LARGEST = 1 << 62


def best_fill(
    load: MeasuredLoad,
    board: int,
    values: Sequence[int],
    limits: Sequence[int],
    most_nodes: int = 20_000,
) -> BestFill:
    """Give the most valuable fill of a kind of board, at most ``limits`` of each part.

    Past ``most_nodes`` its ceiling may be above its value.
    """
    from cutopt.solve.kernel import measured as kernel  # noqa: PLC0415 (slow)

    weights, many, grid, rows = _tables(load, board, limits, 1)
    worth = np.array(values, np.int64)
    stages = load.stages[board]
    order = stages.kinds, stages.starts, stages.stops
    kernel.complete_stages(rows[0], grid, *order, weights, worth, many)
    found = np.zeros(len(weights), np.int64)
    best, ceiling = kernel.follow_stages(
        rows[0], grid, *order, weights, worth, many, most_nodes, found
    )
    return BestFill(int(best), tuple(found.tolist()) if best else None, int(ceiling))


def list_board(
    load: MeasuredLoad, board: int, limits: Sequence[int], needs: Sequence[Need], most: int
) -> list[Counts] | None:
    """Give every fill of a board that meets all needs and has no room for another part.

    None where there are more than ``most``, or too much work would be needed to list them.
    """
    from cutopt.solve.kernel import measured as kernel  # noqa: PLC0415 (slow)

    weights, many, grid, rows = _tables(load, board, limits, len(needs))
    if prod(count + 1 for count in many.tolist()) > _LARGEST:
        return None
    values = np.array([need.values for need in needs], np.int64).reshape(len(needs), len(weights))
    least = np.array([need.least for need in needs], np.int64)
    stages = load.stages[board]
    order = stages.kinds, stages.starts, stages.stops
    for table, worth in zip(rows, values, strict=True):
        kernel.complete_stages(table, grid, *order, weights, worth, many)
    found = np.empty((most, len(weights)), np.int16)
    total = kernel.list_full_stages(
        rows, grid, *order, weights, values, least, many, _MOST_LABELS, found
    )
    return None if total < 0 else [tuple(row) for row in found[:total].tolist()]


def _tables(
    load: MeasuredLoad, board: int, limits: Sequence[int], needs: int
) -> tuple[Whole, Whole, int, Whole]:
    """Give weights, limits, the room of a step, and empty tables."""
    room = load.load.rooms[board]
    weights = np.array(load.load.weights, np.int64)
    many = np.minimum(np.array(limits, np.int64), room // weights)
    grid = -(-(room + 1) // _MOST_STEPS)
    rows = np.empty((needs, len(load.stages[board].kinds) + 1, room // grid + 1), np.int64)
    return weights, many, grid, rows


def places(load: MeasuredLoad, board: int, counts: Counts) -> list[tuple[int, int]]:
    """Give how the parts of a fill lie: kind and beginning of each, from left to right."""
    stages, weights = load.stages[board], load.load.weights
    none = (0,) * len(counts)
    # For each set of parts laid so far the least place past them, and how they lie.
    reached: dict[Counts, tuple[int, tuple[tuple[int, int], ...]]] = {none: (0, ())}
    for kind, start, stop in zip(
        stages.kinds.tolist(), stages.starts.tolist(), stages.stops.tolist(), strict=True
    ):
        for laid, (past, before) in list(reached.items()):
            now, at, parts = laid, max(past, start), before
            while now[kind] < counts[kind] and at + weights[kind] <= stop:
                parts = (*parts, (kind, at))
                at += weights[kind]
                now = (*now[:kind], now[kind] + 1, *now[kind + 1 :])
                if now not in reached or at < reached[now][0]:
                    reached[now] = (at, parts)
    return list(reached[counts][1])
