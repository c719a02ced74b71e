"""Ruin and recreate: lay as much as possible on a given set of sheets.

A few parts near each other are taken off and put back where they waste least, bigger ones
first more often than not; worse results are accepted less and less often.

Source: Schrimpf, Schneider, Stamm-Wilbrandt and Dueck, "Record breaking optimization results
using the ruin and recreate principle", 2000, doi:10.1006/jcph.1999.6413; blinks: Christiaens
and Vanden Berghe, "Slack induction by string removals for vehicle routing problems", 2020,
doi:10.1287/trsc.2019.0914; with the set of sheets as the goal: Gardeyn and Wauters, 2022,
doi:10.1016/j.ejor.2021.11.031.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from cutopt.solve.kernel.chance import draw, pick, wait
from cutopt.solve.kernel.compiling import compiled
from cutopt.solve.kernel.pool import Pool, keep_pattern
from cutopt.solve.kernel.spots import (
    ALONG_OR_ACROSS,
    AND,
    BESIDE,
    IS_TURNED,
    JITTER,
    ON_SHEET,
    STOP_EARLY,
    TAKEN,
    WHOLE_SHEET,
    Spots,
    Tastes,
    add_spots,
    find_spot,
    list_spots,
)
from cutopt.solve.kernel.trees import (
    FIRST,
    LENGTH,
    NEXT,
    PART,
    TURNED,
    WAY,
    WIDTH,
    Nodes,
    Parts,
    Sheets,
    Trees,
    Whole,
    copy_trees,
    outgrows,
    put,
    put_across,
    share_room,
    take,
)

# Entries of the course of an anneal: heat now, what it falls by each time, worth left now and
# at best.
HEAT, FALL, LEFT_NOW, LEFT_BEST = range(4)
_LOOKS_A_PART = 30
_LOOKS_A_ROUND = 900


class Desk(NamedTuple):
    """Room to work in, made once.

    Attributes:
        before, best: trees as they were before this round, and at their best.
        stack: of nodes.
        spot: the spot found last.
        spots: to look at.
        keys: what parts are ordered by.
        changed: sheets changed in this round.
        failed: by kind, whether none could be laid in this round.
    """

    before: Trees
    best: Trees
    stack: Nodes
    spot: Nodes
    spots: Spots
    keys: NDArray[np.float64]
    changed: NDArray[np.bool_]
    failed: NDArray[np.bool_]


@compiled
def ruin(trees: Trees, sheets: Sheets, taste: Tastes, chance: Whole, desk: Desk) -> None:
    """Take parts off one or two sheets, now and then all of a sheet's; share the room anew."""
    _take_some(trees, taste, chance, desk)
    for sheet in range(trees.roots.shape[0]):
        if not desk.changed[sheet]:
            continue
        if outgrows(trees, sheets, sheet):
            take(trees, int(trees.roots[sheet]), desk.stack)
        elif trees.roots[sheet] >= 0:
            share_room(
                trees.nodes,
                int(trees.roots[sheet]),
                sheets.length[sheet],
                sheets.width[sheet],
                desk.stack,
            )


@compiled
def _take_some(trees: Trees, taste: Tastes, chance: Whole, desk: Desk) -> None:
    nodes, roots = trees.nodes, trees.roots
    count = roots.shape[0]
    if count > 1 and draw(chance) < taste[WHOLE_SHEET]:
        sheet = pick(chance, count)
        if roots[sheet] >= 0:
            desk.changed[sheet] = True
            take(trees, int(roots[sheet]), desk.stack)
        return
    wanted = 1 + int(wait(chance) * taste[TAKEN])
    one = other = pick(chance, count)
    if draw(chance) < 0.5:
        other = pick(chance, count)
    before = int(trees.counts[1])
    for _ in range(4 * wanted + 8):
        if trees.counts[1] - before >= wanted:
            return
        sheet = one if draw(chance) < 0.5 else other
        if roots[sheet] < 0:
            if draw(chance) < 0.3:
                one = pick(chance, count)
            continue
        node = int(roots[sheet])
        while nodes[node, WAY] != PART:
            many = 0
            below = nodes[node, FIRST]
            while below >= 0:
                many += 1
                below = nodes[below, NEXT]
            node = int(nodes[node, FIRST])
            for _ in range(pick(chance, many)):
                node = int(nodes[node, NEXT])
            if draw(chance) < taste[STOP_EARLY]:
                break
        desk.changed[sheet] = True
        take(trees, node, desk.stack)


@compiled
def order_left(trees: Trees, parts: Parts, taste: Tastes, chance: Whole, desk: Desk) -> None:
    """Put the parts left in the order to lay them."""
    left, keys = trees.left, desk.keys
    which = draw(chance)
    count = int(trees.counts[1])
    for place in range(count):
        part = left[place]
        length, width = float(parts.length[part]), float(parts.width[part])
        if which < 0.45:
            key = length * width
        elif which < 0.65:
            key = max(length, width) ** 2
        elif which < 0.75:
            key = length * length
        elif which < 0.85:
            key = width * width
        elif which < 0.95:
            key = (length + width) ** 2
        else:
            keys[part] = draw(chance)
            continue
        keys[part] = key * (1.0 + taste[JITTER] * (draw(chance) - 0.5))
    for place in range(1, count):
        part = left[place]
        key = keys[part]
        before = place - 1
        while before >= 0 and keys[left[before]] < key:
            left[before + 1] = left[before]
            before -= 1
        left[before + 1] = part


@compiled
def lay_at(trees: Trees, parts: Parts, sheets: Sheets, part: int, spot: Nodes, desk: Desk) -> None:
    """Lay a part at a spot."""
    nodes = trees.nodes
    turned = spot[IS_TURNED]
    nodes[part, TURNED] = turned
    nodes[part, LENGTH] = parts.width[part] if turned == 1 else parts.length[part]
    nodes[part, WIDTH] = parts.length[part] if turned == 1 else parts.width[part]
    sheet = int(spot[ON_SHEET])
    desk.changed[sheet] = True
    if spot[AND] >= 0:
        put_across(trees, sheets, part, int(spot[BESIDE]), int(spot[AND]), sheet, desk.stack)
    else:
        put(
            trees,
            sheets,
            part,
            int(spot[BESIDE]),
            int(spot[ALONG_OR_ACROSS]),
            sheet,
            desk.stack,
        )


@compiled
def recreate(
    trees: Trees, parts: Parts, sheets: Sheets, taste: Tastes, chance: Whole, desk: Desk
) -> int:
    """Lay the parts left in their order where they find room; give the work it took."""
    left, spots = trees.left, desk.spots
    list_spots(trees, parts, spots)
    for kind in range(desk.failed.shape[0]):
        desk.failed[kind] = False
    laying = 100 + 6 * parts.length.shape[0] // trees.roots.shape[0]
    work = missed = 0
    for place in range(trees.counts[1]):
        part = int(left[place])
        kind = parts.kind[part]
        if not desk.failed[kind]:
            work += spots.counts[0] + 4 * spots.counts[1] + _LOOKS_A_PART
            if find_spot(trees, parts, sheets, part, spots, taste, chance, desk.spot):
                lay_at(trees, parts, sheets, part, desk.spot, desk)
                add_spots(trees.nodes, part, desk.spot, spots)
                work += laying
                continue
            desk.failed[kind] = True
        left[missed] = part
        missed += 1
    trees.counts[1] = missed
    return work


@compiled
def worth_left(trees: Trees, parts: Parts) -> float:
    """Give the worth of the parts left."""
    worth = 0.0
    for place in range(trees.counts[1]):
        worth += parts.worth[trees.left[place]]
    return worth


@compiled
def anneal(
    trees: Trees,
    parts: Parts,
    sheets: Sheets,
    taste: Tastes,
    course: NDArray[np.float64],
    chance: Whole,
    pool: Pool,
    keep: bool,
    rounds: int,
    limit: int,
    desk: Desk,
) -> tuple[int, int]:
    """Search for some rounds or until nothing is left; give the rounds and the work done.

    Called again with the same course, it goes on where it stopped. The best trees are in
    ``desk.best``. A course starts with ``LEFT_NOW`` below 0. With ``keep`` good sheets go to the
    pool. ``limit`` is of work in looks; it ends at the first round past it.
    """
    if course[LEFT_NOW] < 0.0:
        course[LEFT_NOW] = course[LEFT_BEST] = worth_left(trees, parts)
        copy_trees(trees, desk.best)
    work = 0
    for done in range(rounds):
        if course[LEFT_BEST] <= 0.0 or work >= limit:
            return done, work
        course[HEAT] *= course[FALL]
        copy_trees(trees, desk.before)
        for sheet in range(desk.changed.shape[0]):
            desk.changed[sheet] = False
        ruin(trees, sheets, taste, chance, desk)
        order_left(trees, parts, taste, chance, desk)
        work += (
            _LOOKS_A_ROUND
            + 8 * trees.nodes.shape[0]
            + recreate(trees, parts, sheets, taste, chance, desk)
        )
        now = worth_left(trees, parts)
        if keep:
            for sheet in range(trees.roots.shape[0]):
                if desk.changed[sheet] and trees.roots[sheet] >= 0:
                    keep_pattern(
                        pool,
                        trees,
                        parts,
                        int(trees.roots[sheet]),
                        int(sheets.number[sheet]),
                        desk.stack,
                    )
        if now <= course[LEFT_NOW] or now - course[LEFT_NOW] < course[HEAT] * wait(chance):
            course[LEFT_NOW] = now
            if now < course[LEFT_BEST]:
                course[LEFT_BEST] = now
                copy_trees(trees, desk.best)
        else:
            copy_trees(desk.before, trees)
    return rounds, work
