"""Whether parts come out of what is clear of bad spans on boards.

Source: Gupta and Ho, "A new heuristic algorithm for the one-dimensional bin-packing problem",
Production Planning & Control 10(6), 1999, doi:10.1080/095372899232894 (rooms filled in turn,
each as full as it goes).
"""

from __future__ import annotations

import numpy as np

from cutopt.solve.kernel.clear_runs import (
    BOARD,
    GROUND_FROM,
    GROUND_TO,
    MOST,
    START,
    STOP,
    Whole,
)
from cutopt.solve.kernel.compiling import compiled

OUT, SHORT, DOUBTFUL = 1, 0, 2
"""All parts come out; they cannot; neither was shown within the work allowed."""


@compiled
def _cannot(weights: Whole, caps: Whole, count: int, most: Whole) -> bool:
    """Say whether parts, heaviest first, surely do not fit in rooms."""
    total, wanted = 0, len(weights)
    for index in range(wanted):
        total += weights[index]
        if index + 1 < wanted and weights[index + 1] == weights[index]:
            continue
        # Parts at least this heavy: how many, and how much room, the rooms have for them.
        least, held, room = weights[index], 0, 0
        for other in range(count):
            if caps[other] >= least and most[other] >= least:
                held += caps[other] // least
                room += caps[other]
        if held < index + 1 or room < total:
            return True
    return False


@compiled
def _best_fit(weights: Whole, free: Whole, count: int, most: Whole) -> bool:
    """Put each part, heaviest first, where it leaves least; say whether all are in."""
    for weight in weights:
        best = -1
        for index in range(count):
            if free[index] >= weight <= most[index] and (best < 0 or free[index] < free[best]):
                best = index
        if best < 0:
            return False
        free[best] -= weight
    return True


@compiled
def _fullest(kinds: Whole, left: Whole, cap: int, most: int, take: Whole, nodes: int) -> int:
    """Give the greatest weight of parts that a room holds, and in ``take`` how many of each."""
    best, total, depth, now = -1, 0, 0, np.zeros(len(kinds), np.int64)
    for _ in range(nodes):
        for kind in range(depth, len(kinds)):
            now[kind] = 0
            if kinds[kind] <= most:
                now[kind] = min(left[kind], (cap - total) // kinds[kind])
                total += now[kind] * kinds[kind]
        if total > best:
            best = total
            take[:] = now
            if best == cap:
                break
        depth = len(kinds) - 1
        total -= now[depth] * kinds[depth]  # fewer of the lightest only leave more room
        now[depth] = 0
        while depth >= 0 and now[depth] == 0:
            depth -= 1
        if depth < 0:
            break
        now[depth] -= 1
        total -= kinds[depth]
        depth += 1
    return best


@compiled
def _fill_in_turn(
    weights: Whole, free: Whole, count: int, most: Whole, order: Whole, nodes: int
) -> bool:
    """Fill room after room as full as it goes; say whether all parts are in."""
    kinds = np.empty(len(weights), np.int64)
    left = np.zeros(len(weights), np.int64)
    number = 0
    for weight in weights:
        if number == 0 or kinds[number - 1] != weight:
            kinds[number] = weight
            number += 1
        left[number - 1] += 1
    kinds, left = kinds[:number], left[:number]
    take = np.zeros(number, np.int64)
    waiting = len(weights)
    for place in range(count):
        if waiting == 0:
            return True
        room = order[place]
        if free[room] < kinds[number - 1]:
            continue
        free[room] -= _fullest(kinds, left, free[room], most[room], take, nodes)
        left -= take
        waiting -= take.sum()
    return waiting == 0


@compiled
def _search(weights: Whole, free: Whole, count: int, most: Whole, nodes: int) -> int:
    """Try every way, heaviest part first, tightest room first, until ``nodes`` are spent."""
    wanted = len(weights)
    place = np.full(wanted, -1, np.int64)
    weight_left = np.zeros(wanted + 1, np.int64)
    for index in range(wanted - 1, -1, -1):
        weight_left[index] = weight_left[index + 1] + weights[index]
    least, level, spent = weights[wanted - 1], 0, 0
    while level >= 0:
        if level == wanted:
            return OUT
        spent += 1
        if spent > nodes:
            return DOUBTFUL
        weight, last = weights[level], place[level]
        last_free = -1
        if last >= 0:
            free[last] += weight
            last_free = free[last]
        else:
            room = 0
            for index in range(count):
                if free[index] >= least:
                    room += free[index]
            if room < weight_left[level]:
                place[level] = -1
                level -= 1
                continue
        # The next room by (free, index); rooms that are free alike are tried once.
        best = -1
        for index in range(count):
            if free[index] < weight or most[index] < weight:
                continue
            if last >= 0:
                if free[index] < last_free:
                    continue
                if free[index] == last_free and (index <= last or most[index] == most[last]):
                    continue
            if best < 0 or free[index] < free[best]:
                best = index
        place[level] = best
        if best < 0:
            level -= 1
            continue
        free[best] -= weight
        level += 1
    return SHORT


@compiled
def _rooms(runs: Whole, count: int, kerf: int, caps: Whole, most: Whole) -> None:
    """Give each run as a room for parts that are one kerf longer than they are."""
    for index in range(count):
        caps[index] = runs[index, STOP] - runs[index, START] + kerf
        most[index] = runs[index, MOST] + kerf


@compiled
def _is_last(runs: Whole, count: int, caps: Whole, free: Whole, index: int) -> bool:
    """Say whether no later run of the same board holds a clear part."""
    for later in range(index + 1, count):
        if runs[later, BOARD] != runs[index, BOARD]:
            break
        if caps[later] != free[later]:
            return False
    return True


@compiled
def _put_beside(
    runs: Whole, count: int, caps: Whole, free: Whole, rest: Whole, kerf: int, to_the_end: bool
) -> bool:
    """Say whether parts that may hold bad spans fit in what clear parts leave of the boards.

    Clear parts lie at the left end of their runs, so that what is left of a run, the bad span
    after it and empty runs after that are one piece; those in the last run that holds any at
    its right end where ``to_the_end`` says so.
    """
    # At most one before each run, and one at the end of each board.
    rooms, most = np.empty(2 * count, np.int64), np.empty(2 * count, np.int64)
    number, start = 0, runs[0, GROUND_FROM]
    for index in range(count):
        used = caps[index] - free[index]
        if used:
            most[number] = runs[index, MOST] + kerf
            if to_the_end and _is_last(runs, count, caps, free, index):
                rooms[number] = runs[index, STOP] + kerf - used - start
                start = runs[index, STOP] + kerf
            else:
                rooms[number] = runs[index, START] - start
                start = runs[index, START] + used
            number += 1
        if index + 1 == count or runs[index + 1, BOARD] != runs[index, BOARD]:
            rooms[number] = max(0, runs[index, GROUND_TO] + kerf - start)
            most[number] = runs[index, MOST] + kerf
            number += 1
            if index + 1 < count:
                start = runs[index + 1, GROUND_FROM]
    return _best_fit(rest, rooms, number, most)


@compiled
def _put_rest(runs: Whole, count: int, caps: Whole, free: Whole, rest: Whole, kerf: int) -> bool:
    """Say whether parts that may hold bad spans fit one way or the other."""
    return _put_beside(runs, count, caps, free, rest, kerf, False) or _put_beside(
        runs, count, caps, free, rest, kerf, True
    )


@compiled
def _rest_first(
    runs: Whole, count: int, weights: Whole, rest: Whole, kerf: int, nodes: int
) -> bool:
    """Say whether all fit with the parts that may hold bad spans on the worst boards."""
    boards = 0
    for index in range(count):
        if index == 0 or runs[index, BOARD] != runs[index - 1, BOARD]:
            boards += 1
    first, longest = np.empty(boards + 1, np.int64), np.zeros(boards, np.int64)
    board = -1
    for index in range(count):
        if index == 0 or runs[index, BOARD] != runs[index - 1, BOARD]:
            board += 1
            first[board] = index
        longest[board] = max(longest[board], runs[index, STOP] - runs[index, START])
    first[boards] = count
    order = np.argsort(longest, kind="mergesort")
    rooms, most = np.empty(boards, np.int64), np.empty(boards, np.int64)
    for place in range(boards):
        run = first[order[place]]
        rooms[place] = runs[run, GROUND_TO] - runs[run, GROUND_FROM] + kerf
        most[place] = runs[run, MOST] + kerf
    free = rooms.copy()
    if not _fill_in_turn(rest, free, boards, most, np.arange(boards), nodes):
        return False
    caps, limits = np.empty(count, np.int64), np.empty(count, np.int64)
    _rooms(runs, count, kerf, caps, limits)
    for place in range(boards):
        used = rooms[place] - free[place]
        board = order[place]
        for index in range(first[board], first[board + 1]):
            start = max(runs[index, START], runs[index, GROUND_FROM] + used)
            caps[index] = max(0, runs[index, STOP] + kerf - start) if used else caps[index]
    if len(weights) == 0:
        return True
    free = caps.copy()
    if _best_fit(weights, free, count, limits):
        return True
    by_size = np.argsort(caps, kind="mergesort")
    return _fill_in_turn(weights, caps.copy(), count, limits, by_size, nodes)


@compiled
def _cannot_beside(runs: Whole, count: int, weights: Whole, rest: Whole, kerf: int) -> bool:
    """Say whether all parts surely do not fit even if boards were clear between their ends."""
    rooms, most = np.empty(count, np.int64), np.empty(count, np.int64)
    boards = 0
    for index in range(count):
        if index == 0 or runs[index, BOARD] != runs[index - 1, BOARD]:
            rooms[boards] = runs[index, GROUND_TO] - runs[index, GROUND_FROM] + kerf
            most[boards] = runs[index, MOST] + kerf
            boards += 1
    every = np.sort(np.concatenate((weights, rest)))[::-1].copy()
    return _cannot(every, rooms, boards, most)


@compiled
def come_out(
    runs: Whole, count: int, weights: Whole, rest: Whole, kerf: int, fills: int, nodes: int
) -> int:
    """Say whether all parts come out of the clear runs of boards.

    Args:
        runs: the runs, those of one board side by side, in the order they lie.
        count: how many runs there are.
        weights: lengths of the clear parts plus one kerf, longest first.
        rest: the same of parts that may hold bad spans.
        kerf: of the saw.
        fills: steps allowed to fill one run as full as it goes.
        nodes: steps allowed for trying every way.
    """
    if count == 0:
        return OUT if len(weights) + len(rest) == 0 else SHORT
    caps, most = np.empty(count, np.int64), np.empty(count, np.int64)
    _rooms(runs, count, kerf, caps, most)
    if _cannot(weights, caps, count, most):
        return SHORT
    if len(rest) and _cannot_beside(runs, count, weights, rest, kerf):
        return SHORT
    free = caps.copy()
    if _best_fit(weights, free, count, most) and (
        len(rest) == 0 or _put_rest(runs, count, caps, free, rest, kerf)
    ):
        return OUT
    by_size = np.argsort(caps, kind="mergesort")
    free = caps.copy()
    if _fill_in_turn(weights, free, count, most, by_size, fills) and (
        len(rest) == 0 or _put_rest(runs, count, caps, free, rest, kerf)
    ):
        return OUT
    if len(rest) and _rest_first(runs, count, weights, rest, kerf, fills):
        return OUT
    if len(weights) == 0:
        return DOUBTFUL
    free = caps.copy()
    found = _search(weights, free, count, most, nodes)
    if found != OUT or len(rest) == 0:
        return found
    return OUT if _put_rest(runs, count, caps, free, rest, kerf) else DOUBTFUL
