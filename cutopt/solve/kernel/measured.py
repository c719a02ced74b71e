"""Filling measured boards in compiled code: parts in runs, from left to right.

A board is a row of stages. At each stage some parts of one kind may follow what lies there
already: the first of them begins no further left than ``starts`` of the stage, the last ends no
further right than ``stops``, all with a kerf behind each part. ``past`` is where the next part
could begin; the further left, the better, so that of two ways to lay the same parts one will do.

Source: Irnich, S. and Desaulniers, G., "Shortest path problems with resource constraints", in
Column Generation (2005), doi:10.1007/0-387-25486-2_2 (labels, and which of them suffice).
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from cutopt.solve.kernel.compiling import compiled

Whole = NDArray[np.int64]


@compiled
def complete_stages(
    rows: Whole,
    grid: int,
    kinds: Whole,
    starts: Whole,
    stops: Whole,
    weights: Whole,
    values: Whole,
    limits: Whole,
) -> None:
    """Write what the stages from the i-th on can at most be worth, by i and steps of ``past``.

    Args:
        rows: filled in; one row more than stages, a column for each step.
        grid: ticks of a step; 1 makes the places exact.
        kinds: of part, for each stage.
        starts: of the stages.
        stops: of the stages.
        weights: of the parts.
        values: of the parts.
        limits: how many of each part at most, at each stage.
    """
    stages, steps = len(kinds), rows.shape[1]
    rows[stages, :] = 0
    for stage in range(stages - 1, -1, -1):
        kind = kinds[stage]
        weight, value, limit = weights[kind], values[kind], limits[kind]
        row, after = rows[stage], rows[stage + 1]
        row[:] = after
        if value == 0:
            continue
        # Wherever its parts have to begin further right, at ``start``, it is worth the same.
        start, held = starts[stage], 0
        first = -(-start // grid)
        for count in range(1, limit + 1):
            taken, gain = count * weight, count * value
            if start + taken > stops[stage]:
                break
            shift = taken // grid
            held = max(held, gain + after[(start + taken) // grid])
            for step in range(first, (stops[stage] - taken) // grid + 1):
                row[step] = max(row[step], gain + after[step + shift])
        for step in range(min(first, steps)):
            row[step] = max(row[step], held)


@compiled
def follow_stages(
    rows: Whole,
    grid: int,
    kinds: Whole,
    starts: Whole,
    stops: Whole,
    weights: Whole,
    values: Whole,
    limits: Whole,
    most_nodes: int,
    best_counts: Whole,
) -> tuple[int, int]:
    """Give the worth of the best fill found, and what none exceeds; write its counts.

    Depth first, highest bound first; past ``most_nodes`` the best so far will do.
    """
    stages = len(kinds)
    top = rows[0, 0]
    best = 0
    best_counts[:] = 0
    if top == 0:
        return 0, 0
    left = limits.copy()
    counts = np.zeros(stages, np.int64)
    past = np.zeros(stages + 1, np.int64)
    worth = np.zeros(stages + 1, np.int64)
    # The branch taken last at each stage: the next has less hope, or as much and a lower count.
    last_hope = np.zeros(stages + 1, np.int64)
    last_count = np.zeros(stages + 1, np.int64)
    stage = 0
    last_hope[0] = top + 1
    nodes = 1
    while stage >= 0:
        kind = kinds[stage]
        left[kind] += counts[stage]
        counts[stage] = 0
        hope, chosen, reached = -1, -1, 0
        place = past[stage]
        for count in range(left[kind] + 1):
            if count == 1:
                place = max(place, starts[stage])
            if count:
                place += weights[kind]
                if place > stops[stage]:
                    break
            this = worth[stage] + count * values[kind] + rows[stage + 1, place // grid]
            if (
                this > best
                and this >= hope
                and (
                    this < last_hope[stage]
                    or (this == last_hope[stage] and count < last_count[stage])
                )
            ):
                hope, chosen, reached = this, count, place
        if chosen < 0:
            stage -= 1
            continue
        last_hope[stage], last_count[stage] = hope, chosen
        counts[stage] = chosen
        left[kind] -= chosen
        gained = worth[stage] + chosen * values[kind]
        if hope == gained or stage + 1 == stages:
            best = gained
            best_counts[:] = 0
            for one in range(stage + 1):
                best_counts[kinds[one]] += counts[one]
            if best >= top:
                return best, best
            continue
        nodes += 1
        if nodes > most_nodes and best > 0:
            return best, top
        stage += 1
        past[stage], worth[stage] = reached, gained
        last_hope[stage] = hope + 1
    return best, best


@compiled
def list_full_stages(
    rows: Whole,
    grid: int,
    kinds: Whole,
    starts: Whole,
    stops: Whole,
    weights: Whole,
    values: Whole,
    least: Whole,
    limits: Whole,
    most: int,
    found: NDArray[np.int16],
) -> int:
    """Write every fill without room for another part that is worth enough; give how many.

    All fills that may yet be worth enough are kept, each with the least ``past`` it has, stage
    after stage.

    Args:
        rows: a table of completions for each need.
        grid: of the tables.
        kinds: of part, for each stage.
        starts: of the stages.
        stops: of the stages.
        weights: of the parts.
        values: of the parts, a row for each need.
        least: that the parts of a fill are worth together, for each need.
        limits: how many of each part at most; the product of them, one more each, is a number.
        most: fills kept at once, at most.
        found: room for the fills.

    Returns:
        How many fills; -1 where they outgrow ``found`` or ``most``.
    """
    needs, parts = len(least), len(weights)
    radix = np.ones(parts, np.int64)
    for kind in range(1, parts):
        radix[kind] = radix[kind - 1] * (limits[kind - 1] + 1)
    slots = 16
    while slots < 2 * most:
        slots *= 2
    table = np.full(slots, -1, np.int64)
    keys, pasts = np.empty(most, np.int64), np.empty(most, np.int64)
    worth = np.zeros((most, needs), np.int64)
    gained = np.zeros(needs, np.int64)
    keys[0] = pasts[0] = 0
    table[_slot(table, keys, 0)] = 0
    total = 1
    for stage in range(len(kinds)):
        kind = kinds[stage]
        for label in range(total):
            alive = True
            for need in range(needs):
                if worth[label, need] + rows[need, stage, pasts[label] // grid] < least[need]:
                    alive = False
                    break
            if not alive:
                continue
            used = (keys[label] // radix[kind]) % (limits[kind] + 1)
            past = max(pasts[label], starts[stage])
            for count in range(1, limits[kind] - used + 1):
                past += weights[kind]
                if past > stops[stage]:
                    break
                alive = True
                for need in range(needs):
                    gained[need] = worth[label, need] + count * values[need, kind]
                    if gained[need] + rows[need, stage + 1, past // grid] < least[need]:
                        alive = False
                        break
                if not alive:
                    continue
                key = keys[label] + count * radix[kind]
                slot = _slot(table, keys, key)
                if table[slot] >= 0:
                    pasts[table[slot]] = min(pasts[table[slot]], past)
                    continue
                if total == most:
                    return -1
                keys[total], pasts[total] = key, past
                worth[total, :] = gained
                table[slot] = total
                total += 1
    full = 0
    for label in range(total):
        counts = True
        for need in range(needs):
            counts = counts and worth[label, need] >= least[need]
        for kind in range(parts):
            used = (keys[label] // radix[kind]) % (limits[kind] + 1)
            if used < limits[kind] and table[_slot(table, keys, keys[label] + radix[kind])] >= 0:
                counts = False
            if not counts:
                break
        if not counts:
            continue
        if full == len(found):
            return -1
        for kind in range(parts):
            found[full, kind] = (keys[label] // radix[kind]) % (limits[kind] + 1)
        full += 1
    return full


@compiled
def _slot(table: Whole, keys: Whole, key: int) -> int:
    """Give where a key stands in a table of places in ``keys``, or where it would."""
    mask = len(table) - 1
    slot = ((key ^ (key >> 29)) * 0x1E3779B97F4A7C15 >> 20) & mask
    while table[slot] >= 0 and keys[table[slot]] != key:
        slot = (slot + 1) & mask
    return slot
