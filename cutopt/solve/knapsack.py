"""The most valuable way to fill one board, exactly, and every way that is good enough.

A table over (part, room left) gives an upper bound on what the remaining parts can still
be worth. Where the room has few enough whole steps the table is exact; else it is laid on
a coarser grid, part lengths rounded down, which keeps it an upper bound. A depth-first
search that follows the table's bound then gives the exact fill. Integers only.

Source: Gilmore, P. C. and Gomory, R. E., "A linear programming approach to the cutting
stock problem - part II", Operations Research 11 (1963), doi:10.1287/opre.11.6.863 (the
auxiliary knapsack); Martello, S. and Toth, P., "Knapsack Problems" (1990), section 3.4
(bounded knapsack as binary multiples).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

Counts = tuple[int, ...]

_LEAST_STEPS = 2_000
_MOST_STEPS = 32_000
_MOST_CELLS = 1_000_000
_ROUGH = 16
_NODES_A_FILL = 200


def _grid(room: int, kinds: int, *, rough: bool = False) -> int:
    """Give the room of a step of a table that takes a millisecond or so, less if rough."""
    most = min(_MOST_STEPS, max(_LEAST_STEPS, _MOST_CELLS // max(1, kinds)))
    if rough and room >= most:
        most = max(_LEAST_STEPS // 2, most // _ROUGH)
    return -(-(room + 1) // most)


@dataclass(frozen=True, slots=True)
class BestFill:
    """The best fill found for one room.

    Attributes:
        value: worth of ``counts``, or 0.
        counts: how many of each part, or None where nothing of worth fits.
        ceiling: no fill is worth more; equals ``value`` where the search was complete.
    """

    value: int
    counts: Counts | None
    ceiling: int


def best_fills(
    rooms: Sequence[int],
    weights: Sequence[int],
    values: Sequence[int],
    limits: Sequence[int],
    most_nodes: int = 20_000,
    *,
    rough: bool = False,
) -> list[BestFill]:
    """Give the most valuable fill of each room: at most ``limits`` of each part.

    Args:
        rooms: lengths to fill.
        weights: length each part takes, at least 1.
        values: worth of each part; parts worth nothing stay out.
        limits: how many of each part at most.
        most_nodes: work limit per room; past it ``ceiling`` may be above ``value``.
        rough: a good fill soon matters more than the best.
    """
    from cutopt.solve.kernel import fills as kernel  # noqa: PLC0415 (slow)

    worth, length, many = (np.array(row, np.int64) for row in (values, weights, limits))
    kinds = np.flatnonzero((worth > 0) & (many > 0))
    kinds = kinds[np.argsort(-worth[kinds] / length[kinds], kind="stable")]
    ordered = length[kinds], worth[kinds], many[kinds]
    most = max(rooms)
    grid = _grid(most, len(kinds), rough=rough)
    rows = np.empty((len(kinds) + 1, most // grid + 1), np.int64)
    kernel.complete(rows, grid, *ordered, most)
    found = np.zeros(len(kinds), np.int64)
    answers = []
    for room in rooms:
        best, ceiling = kernel.follow(rows, grid, *ordered, room, most_nodes, found)
        counts = None
        if best:
            row = np.zeros(len(weights), np.int64)
            row[kinds] = found
            counts = tuple(row.tolist())
        answers.append(BestFill(int(best), counts, int(ceiling)))
    return answers


@dataclass(frozen=True, slots=True)
class Need:
    """A fill counts only where its parts are worth ``least`` at these ``values``."""

    values: tuple[int, ...]
    least: int


def list_fills(
    room: int,
    weights: Sequence[int],
    limits: Sequence[int],
    needs: Sequence[Need],
    most: int,
) -> list[Counts] | None:
    """Give every fill that meets all needs and has no room for another part.

    Returns None where more than ``most`` meet them, or to list them takes too much work.
    """
    from cutopt.solve.kernel import fills as kernel  # noqa: PLC0415 (slow)

    kinds = len(weights)
    length, many = np.array(weights, np.int64), np.array(limits, np.int64)
    values = np.array([need.values for need in needs], np.int64).reshape(len(needs), kinds)
    least = np.array([need.least for need in needs], np.int64)
    grid = _grid(room, kinds)
    rows = np.empty((len(needs), kinds + 1, room // grid + 1), np.int64)
    for table, worths in zip(rows, values, strict=True):
        kernel.complete(table, grid, length, worths, many, room)
    found = np.empty((most, kinds), np.int16)
    total = kernel.list_full(
        rows, grid, length, values, least, many, room, most * _NODES_A_FILL, found
    )
    return None if total < 0 else [tuple(row) for row in found[:total].tolist()]
