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
import numpy.typing as npt

Ints = npt.NDArray[np.int64]
Counts = tuple[int, ...]

_LEAST_STEPS = 2_000
_MOST_STEPS = 32_000
_MOST_CELLS = 1_000_000
_ROUGH = 16


class Completions:
    """What parts from the i-th on can at most be worth in a given room; parts in given order."""

    __slots__ = ("_rows", "exact", "grid", "limits", "values", "weights")

    def __init__(
        self,
        room: int,
        weights: Sequence[int],
        values: Sequence[int],
        limits: Sequence[int],
        *,
        rough: bool = False,
    ) -> None:
        """Build the table for rooms up to ``room``; values are non-negative.

        A rough table is built sooner where it cannot be exact, and bounds less tightly.
        """
        kinds = len(weights)
        most = min(_MOST_STEPS, max(_LEAST_STEPS, _MOST_CELLS // max(1, kinds)))
        if rough and room >= most:
            most = max(_LEAST_STEPS // 2, most // _ROUGH)
        self.grid = -(-(room + 1) // most)
        self.exact = self.grid == 1
        self.weights, self.values, self.limits = weights, values, limits
        steps = room // self.grid + 1
        rows = np.zeros((kinds + 1, steps), dtype=np.int64)
        for i in range(kinds - 1, -1, -1):
            row = rows[i]
            row[:] = rows[i + 1]
            for multiple in _binary(min(limits[i], room // weights[i])):
                shift = multiple * weights[i] // self.grid
                if shift < steps:
                    better = row[: steps - shift] + multiple * values[i]
                    np.maximum(row[shift:], better, out=row[shift:])
        self._rows = rows

    def bound(self, start: int, room: int) -> int:
        """Give an upper bound on the worth of parts ``start`` and later in ``room``."""
        return int(self._rows[start, room // self.grid])

    def bounds(self, start: int, rooms: Ints) -> Ints:
        """Give that bound for many rooms at once."""
        found: Ints = self._rows[start, rooms // self.grid]
        return found


def _binary(count: int) -> list[int]:
    """Give multiples whose subset sums are 0 to ``count``: 1, 2, 4 ... and the rest."""
    multiples = []
    size = 1
    while count > 0:
        multiples.append(min(size, count))
        count -= multiples[-1]
        size *= 2
    return multiples


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


_Path = tuple["_Path", int, int] | None


def _follow(table: Completions, room: int, most_nodes: int) -> BestFill:
    """Search depth first, highest bound first; past ``most_nodes`` the first fill will do."""
    kinds = len(table.weights)
    top = table.bound(0, room)
    best = 0
    chosen: _Path = None
    stack: list[tuple[int, int, int, _Path, int]] = [(0, room, 0, None, top)]
    nodes = 0
    while stack:
        i, left, worth, path, bound = stack.pop()
        if bound <= best:
            continue
        if bound == worth or i == kinds:
            best, chosen = worth, path
            if best >= top:
                break
            continue
        nodes += 1
        if nodes > most_nodes and best:
            return BestFill(best, _unwind(chosen, kinds), top)
        weight, value = table.weights[i], table.values[i]
        branches = []
        for count in range(min(table.limits[i], left // weight) + 1):
            rest = left - count * weight
            reach = worth + count * value
            hope = reach + table.bound(i + 1, rest)
            if hope > best:
                branches.append((hope, count, rest, reach))
        branches.sort()
        for hope, count, rest, reach in branches:
            stack.append((i + 1, rest, reach, (path, i, count) if count else path, hope))
    return BestFill(best, _unwind(chosen, kinds) if best else None, best)


def _unwind(path: _Path, kinds: int) -> Counts:
    counts = [0] * kinds
    while path is not None:
        path, kind, count = path
        counts[kind] = count
    return tuple(counts)


def best_fills(
    rooms: Sequence[int],
    weights: Sequence[int],
    values: Sequence[int],
    limits: Sequence[int],
    most_nodes: int = 3_000,
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
    kinds = [i for i in range(len(weights)) if values[i] > 0 and limits[i] > 0]
    kinds.sort(key=lambda i: (-values[i] / weights[i], i))
    table = Completions(
        max(rooms),
        [weights[i] for i in kinds],
        [values[i] for i in kinds],
        [limits[i] for i in kinds],
        rough=rough,
    )
    answers = []
    for room in rooms:
        best = _follow(table, room, most_nodes)
        if best.counts is not None:
            counts = [0] * len(weights)
            for i, count in zip(kinds, best.counts, strict=True):
                counts[i] = count
            best = BestFill(best.value, tuple(counts), best.ceiling)
        answers.append(best)
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

    Returns None where more than ``most`` partial fills would have to be kept at once.
    """
    kinds = len(weights)
    tables = [Completions(room, weights, need.values, limits) for need in needs]
    left = np.array([room], dtype=np.int64)
    worth = np.zeros((len(needs), 1), dtype=np.int64)
    counts = np.zeros((1, kinds), dtype=np.int16)
    for i in range(kinds):
        lefts, worths, kept = [], [], []
        for count in range(min(limits[i], room // weights[i]) + 1):
            rest = left - count * weights[i]
            alive = rest >= 0
            reach = worth.copy()
            for row, (table, need) in enumerate(zip(tables, needs, strict=True)):
                reach[row] += count * need.values[i]
                hope = table.bounds(i + 1, np.maximum(rest, 0))
                alive &= reach[row] + hope >= need.least
            if not alive.any():
                continue
            chosen = counts[alive].copy()
            chosen[:, i] = count
            lefts.append(rest[alive])
            worths.append(reach[:, alive])
            kept.append(chosen)
        if not kept:
            return []
        left, worth, counts = np.concatenate(lefts), np.concatenate(worths, 1), np.concatenate(kept)
        if len(left) > most:
            return None
    fits = np.asarray(weights)[None, :] <= left[:, None]
    more = counts < np.asarray(limits)[None, :]
    full = counts[~(fits & more).any(axis=1)]
    return [tuple(int(count) for count in row) for row in full]
