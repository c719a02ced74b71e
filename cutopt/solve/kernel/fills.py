"""Filling boards in compiled code: bounds by table, the best fill, all good ones, a packing.

All numbers are whole, but for the worths a packing learns; parts come in a given order.

Source: Martello, S. and Toth, P., "Knapsack Problems" (1990), sections 2.5.1 and 3.4 (depth
first with the fractional bound; bounded knapsack as binary multiples).
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from cutopt.solve.kernel.chance import draw
from cutopt.solve.kernel.compiling import compiled

Whole = NDArray[np.int64]
Floats = NDArray[np.float64]

_WHOLE = 100_000.0


@compiled
def complete(
    rows: Whole, grid: int, weights: Whole, values: Whole, limits: Whole, room: int
) -> None:
    """Write what parts from the i-th on can at most be worth, by i and steps of room.

    Args:
        rows: filled in; one row more than parts, a column for each step up to ``room``.
        grid: room of a step; 1 makes the table exact.
        weights: of the parts.
        values: of the parts.
        limits: how many of each part at most.
        room: most room asked for.
    """
    kinds, steps = len(weights), rows.shape[1]
    rows[kinds, :] = 0
    before = np.empty(steps, np.int64)
    for i in range(kinds - 1, -1, -1):
        row = rows[i]
        row[:] = rows[i + 1]
        left = min(limits[i], room // weights[i])
        size = 1
        while left > 0:
            multiple = min(size, left)
            left -= multiple
            size *= 2
            shift = multiple * weights[i] // grid
            gain = multiple * values[i]
            before[:] = row
            for step in range(shift, steps):
                row[step] = max(before[step], before[step - shift] + gain)


@compiled
def follow(
    rows: Whole,
    grid: int,
    weights: Whole,
    values: Whole,
    limits: Whole,
    room: int,
    most_nodes: int,
    best_counts: Whole,
) -> tuple[int, int]:
    """Give the worth of the best fill of ``room``, and what none exceeds; write its counts.

    Depth first, highest bound first; past ``most_nodes`` the best so far will do.
    """
    kinds = len(weights)
    top = rows[0, room // grid]
    best = 0
    best_counts[:] = 0
    if top == 0:
        return 0, 0
    counts = np.zeros(kinds, np.int64)
    left = np.zeros(kinds + 1, np.int64)
    worth = np.zeros(kinds + 1, np.int64)
    # The branch taken last at each part: the next one has less hope, or as much and a lower count.
    last_hope = np.zeros(kinds + 1, np.int64)
    last_count = np.zeros(kinds + 1, np.int64)
    left[0] = room
    i = 0
    last_hope[0] = top + 1
    nodes = 1
    while i >= 0:
        hope, chosen = -1, -1
        for count in range(min(limits[i], left[i] // weights[i]) + 1):
            rest = left[i] - count * weights[i]
            this = worth[i] + count * values[i] + rows[i + 1, rest // grid]
            if (
                this > best
                and this >= hope
                and (this < last_hope[i] or (this == last_hope[i] and count < last_count[i]))
            ):
                hope, chosen = this, count
        if chosen < 0:
            counts[i] = 0
            i -= 1
            continue
        last_hope[i], last_count[i] = hope, chosen
        counts[i] = chosen
        reached = worth[i] + chosen * values[i]
        if hope == reached or i + 1 == kinds:
            best = reached
            best_counts[:] = counts
            if best >= top:
                return best, best
            continue
        nodes += 1
        if nodes > most_nodes and best > 0:
            return best, top
        left[i + 1] = left[i] - chosen * weights[i]
        worth[i + 1] = reached
        i += 1
        last_hope[i] = hope + 1
    return best, best


@compiled
def list_full(
    rows: Whole,
    grid: int,
    weights: Whole,
    values: Whole,
    least: Whole,
    limits: Whole,
    room: int,
    most_nodes: int,
    found: NDArray[np.int16],
) -> int:
    """Write every fill without room for another part that is worth enough; give how many.

    Args:
        rows: a table of completions for each need.
        grid: of the tables.
        weights: of the parts.
        values: of the parts, a row for each need.
        least: that the parts of a fill are worth together, for each need.
        limits: how many of each part at most.
        room: of the board.
        most_nodes: partial fills looked at, at most.
        found: room for the fills.

    Returns:
        How many fills; -1 where they outgrow ``found`` or the nodes run out.
    """
    kinds, needs = len(weights), len(least)
    counts = np.zeros(kinds, np.int64)
    left = np.zeros(kinds + 1, np.int64)
    worth = np.zeros((kinds + 1, needs), np.int64)
    left[0] = room
    total = 0
    nodes = 0
    i = 0
    counts[0] = min(limits[0], room // weights[0]) + 1
    while i >= 0:
        counts[i] -= 1
        if counts[i] < 0:
            i -= 1
            continue
        nodes += 1
        if nodes > most_nodes:
            return -1
        rest = left[i] - counts[i] * weights[i]
        alive = True
        for need in range(needs):
            reached = worth[i, need] + counts[i] * values[need, i]
            worth[i + 1, need] = reached
            if reached + rows[need, i + 1, rest // grid] < least[need]:
                alive = False
                break
        if not alive:
            continue
        left[i + 1] = rest
        if i + 1 < kinds:
            i += 1
            counts[i] = min(limits[i], rest // weights[i]) + 1
            continue
        full = True
        for kind in range(kinds):
            if counts[kind] < limits[kind] and weights[kind] <= rest:
                full = False
                break
        if full:
            if total == len(found):
                return -1
            found[total, :] = counts
            total += 1
    return total


@compiled
def quick_fill(
    room: int, weights: Whole, values: Whole, limits: Whole, most_nodes: int, best_counts: Whole
) -> int:
    """Give the worth of a good fill of ``room``; write its counts.

    Parts come in the order of worth by weight, most first. Depth first, as many of each as fit
    first, cut off by the fractional bound; past ``most_nodes`` the best so far will do.
    """
    kinds = len(weights)
    best = 0
    best_counts[:] = 0
    counts = np.zeros(kinds, np.int64)
    lightest = np.empty(kinds + 1, np.int64)
    lightest[kinds] = room + 1
    for i in range(kinds - 1, -1, -1):
        lightest[i] = min(lightest[i + 1], weights[i]) if limits[i] else lightest[i + 1]
    left, worth, i, nodes = room, 0, 0, 0
    while True:
        while i < kinds and left >= lightest[i]:
            rest, hope = left, worth
            for j in range(i, kinds):
                if weights[j] * limits[j] <= rest:
                    rest -= weights[j] * limits[j]
                    hope += values[j] * limits[j]
                else:
                    hope += values[j] * rest // weights[j]
                    break
            if hope <= best:
                break
            counts[i] = min(limits[i], left // weights[i])
            left -= counts[i] * weights[i]
            worth += counts[i] * values[i]
            i += 1
            nodes += 1
        if worth > best:
            best = worth
            best_counts[:i] = counts[:i]
            best_counts[i:] = 0
        if nodes > most_nodes:
            return best
        i -= 1
        while i >= 0 and counts[i] == 0:
            i -= 1
        if i < 0:
            return best
        counts[i] -= 1
        left += weights[i]
        worth -= values[i]
        i += 1


@compiled
def fill_in_turn(
    weights: Whole,
    demands: Whole,
    rooms: Whole,
    costs: Whole,
    boards: Whole,
    worths: Floats,
    state: Whole,
    below: int,
    most_nodes: int,
    chosen: Whole,
    times: Whole,
    fills: Whole,
) -> tuple[int, int]:
    """Fill boards until nothing is missing, correcting ``worths`` on the way.

    Args:
        weights: of the parts.
        demands: how many of each part.
        rooms: of the boards.
        costs: of the boards.
        boards: how many of each board there are.
        worths: of the parts; changed by what their boards cost.
        state: of chance.
        below: give up once it costs as much.
        most_nodes: for each fill.
        chosen: filled in: the board of each fill,
        times: how often it is cut,
        fills: and how many of each part it holds.

    Returns:
        How many fills, -1 where the boards did not do or it got too dear; and the cost.
    """
    kinds = len(weights)
    missing, have = demands.copy(), boards.copy()
    weight = 0
    for kind in range(kinds):
        weight += missing[kind] * weights[kind]
    total, cost = 0, 0
    best_counts = np.zeros(kinds, np.int64)
    while weight > 0:
        if total == len(chosen):
            return -1, cost
        board = -1
        for other in range(len(rooms)):
            if (
                have[other] > 0
                and rooms[other] >= weight
                and (
                    board < 0
                    or costs[other] < costs[board]
                    or (costs[other] == costs[board] and rooms[other] < rooms[board])
                )
            ):
                board = other
        if board >= 0:
            best_counts[:] = missing
        else:
            most = 0.0
            for kind in range(kinds):
                if missing[kind]:
                    most = max(most, worths[kind])
            asked = np.nonzero(missing)[0]
            dense = worths[asked] / weights[asked]
            asked = asked[np.argsort(-dense, kind="mergesort")]
            some_weights, some_missing = weights[asked], missing[asked]
            values = np.empty(len(asked), np.int64)
            for place in range(len(asked)):
                whole = int(worths[asked[place]] * (_WHOLE / most) + 0.5)
                values[place] = max(1, whole)
            counts = np.zeros(len(asked), np.int64)
            ratio, owned = -1.0, False
            for other in range(len(rooms)):
                free = costs[other] == 0
                if have[other] == 0 or (owned and not free):
                    continue
                value = quick_fill(
                    rooms[other], some_weights, values, some_missing, most_nodes, counts
                )
                if value == 0:
                    continue
                if free:
                    this = 0.0
                    for place in range(len(asked)):
                        this += counts[place] * some_weights[place]
                    this /= rooms[other]
                else:
                    this = value / costs[other]
                if this > ratio or (free and not owned):
                    board, ratio, owned = other, this, free
                    best_counts[:] = 0
                    for place in range(len(asked)):
                        best_counts[asked[place]] = counts[place]
            if board < 0:
                return -1, cost
        often = have[board]
        taken = 0
        for kind in range(kinds):
            if best_counts[kind]:
                often = min(often, missing[kind] // best_counts[kind])
                taken += best_counts[kind] * weights[kind]
        if often > 2:
            often //= 2
        chosen[total], times[total] = board, often
        fills[total, :] = best_counts
        total += 1
        have[board] -= often
        cost += often * costs[board]
        weight -= often * taken
        for kind in range(kinds):
            if best_counts[kind]:
                missing[kind] -= often * best_counts[kind]
                share = 0.25 * (0.6 + 0.8 * draw(state))
                fair = max(costs[board], 1) * weights[kind] / taken
                worths[kind] += share * (fair - worths[kind])
        if cost >= below:
            return -1, cost
    return total, cost


@compiled
def fill_tightly(
    weights: Whole,
    demands: Whole,
    rooms: Whole,
    boards: Whole,
    state: Whole,
    most_nodes: int,
    tries: int,
    chosen: Whole,
    fills: Whole,
) -> int:
    """Fill given boards one by one so that next to nothing is wasted on any.

    Args:
        weights: of the parts.
        demands: how many of each part.
        rooms: of the boards.
        boards: how many of each board there are, together at least as long as the parts.
        state: of chance.
        most_nodes: for each fill.
        tries: orders of parts tried for each board; that which wastes least is taken.
        chosen: filled in: each board,
        fills: and how many of each part it holds.

    Returns:
        How many boards; -1 where the parts did not fit.
    """
    kinds = len(weights)
    missing, have = demands.copy(), boards.copy()
    weight, spare, total = 0, 0, 0
    for kind in range(kinds):
        weight += missing[kind] * weights[kind]
    for board in range(len(rooms)):
        spare += rooms[board] * have[board]
    spare -= weight
    left = int(have.sum())
    while weight > 0:
        if left == 0 or total == len(chosen):
            return -1
        board = int(np.argmax(have))
        asked = np.nonzero(missing)[0]
        counts = np.zeros(len(asked), np.int64)
        keys = np.empty(len(asked), np.float64)
        best = -1
        for _ in range(tries):
            for place in range(len(asked)):
                keys[place] = -weights[asked[place]] * (1.0 + draw(state))
            turn = asked[np.argsort(keys, kind="mergesort")]
            length = weights[turn]
            filled = quick_fill(rooms[board], length, length, missing[turn], most_nodes, counts)
            if filled > best:
                best = filled
                fills[total, :] = 0
                for place in range(len(turn)):
                    fills[total, turn[place]] = counts[place]
            if best == weight or (rooms[board] - best) * left <= spare:
                break
        spare -= rooms[board] - best
        if spare < 0 and best < weight:
            return -1
        chosen[total] = board
        missing -= fills[total]
        total += 1
        have[board] -= 1
        left -= 1
        weight -= best
    return total
