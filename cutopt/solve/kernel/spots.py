"""The cheapest spot for a part: beside any node, across any two of a row, on an empty sheet.

A spot costs the waste it locks in, in square ticks: ground beside the part or what it lies
next to that nothing can reach, growth of the block around it, a share of the part's area
where the block had not reached before, and a little for the narrow side of what stays free.
"""

from __future__ import annotations

import math
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from cutopt.solve.kernel.chance import draw
from cutopt.solve.kernel.compiling import compiled
from cutopt.solve.kernel.trees import (
    ABOVE,
    ACROSS,
    ACROSS_SPARE,
    ALONG,
    ALONG_SPARE,
    FIRST,
    FIRST_WAY,
    LENGTH,
    NEXT,
    PAIR_SPARE,
    ROOM_LENGTH,
    ROOM_WIDTH,
    SHEET,
    WAY,
    WIDEST,
    WIDTH,
    Nodes,
    Parts,
    Sheets,
    Trees,
    Whole,
)

# Entries of a taste (see ``search.Taste``), shares of a part's area but for the chances.
NOISE, GROUND, RESIDUAL, BLINK, EMPTY, WHOLE_SHEET, STOP_EARLY, JITTER, TAKEN = range(9)

# Entries of a spot: the node beside (-1: an empty sheet), the way, 1 for turned, the sheet,
# the second node of a pair or -1.
BESIDE, ALONG_OR_ACROSS, IS_TURNED, ON_SHEET, AND = range(5)

_NEVER = 1e300
Tastes = NDArray[np.float64]


class Spots(NamedTuple):
    """Where there may be room for the parts left in this round.

    Laying a part takes room everywhere but next to itself and to what it was laid beside, so
    the lists made at the start of a round only grow by those; a node may be listed twice.

    Attributes:
        beside: nodes with room beside them.
        across: blocks of three and more with room across two of them.
        counts: of the two lists, and of the empty sheets.
    """

    beside: Nodes
    across: Nodes
    counts: Whole


def no_spots(parts: int) -> Spots:
    """Give empty lists, long enough for this many parts."""
    return Spots(
        np.zeros(8 * parts + 8, np.int32),
        np.zeros(4 * parts + 8, np.int32),
        np.zeros(3, np.int64),
    )


@compiled
def list_spots(trees: Trees, parts: Parts, spots: Spots) -> None:
    """List where the smallest sides of the parts left would find room."""
    nodes = trees.nodes
    least = 1 << 31
    for place in range(trees.counts[1]):
        part = trees.left[place]
        least = min(least, parts.length[part], parts.width[part])
    beside = across = empty = 0
    for node in range(nodes.shape[0]):
        if nodes[node, ALONG_SPARE] >= least or nodes[node, ACROSS_SPARE] >= least:
            spots.beside[beside] = node
            beside += 1
        if nodes[node, PAIR_SPARE] >= least:
            spots.across[across] = node
            across += 1
    for sheet in range(trees.roots.shape[0]):
        if trees.roots[sheet] < 0:
            empty += 1
    spots.counts[0] = beside
    spots.counts[1] = across
    spots.counts[2] = empty


@compiled
def add_spots(nodes: Nodes, part: int, spot: Nodes, spots: Spots) -> None:
    """List the spots that laying a part at a spot made."""
    beside, across = int(spots.counts[0]), int(spots.counts[1])
    spots.beside[beside] = part
    beside += 1
    above = nodes[part, ABOVE]
    if above >= 0:
        spots.beside[beside] = above
        spots.across[across] = above
        beside += 1
        across += 1
    if spot[BESIDE] < 0:
        spots.counts[2] -= 1
    elif spot[BESIDE] != above:
        spots.beside[beside] = spot[BESIDE]
        beside += 1
    if spot[AND] >= 0:
        pair = nodes[spot[BESIDE], ABOVE]
        spots.beside[beside] = spot[AND]
        spots.beside[beside + 1] = pair
        spots.across[across] = pair
        beside += 2
        across += 1
    spots.counts[0] = beside
    spots.counts[1] = across


@compiled
def _beside(
    run: int,
    depth: int,
    own_run: int,
    own_depth: int,
    above_run: int,
    above_depth: int,
    ground: float,
) -> float:
    """Give the waste of a part next to a node, both measured along the way they lie."""
    if depth <= own_depth:
        cost = float(own_depth - depth) * float(run)
        deepest = own_depth
    else:
        cost = float(depth - own_depth) * float(own_run)
        deepest = depth
    grown = own_run + run - above_run
    if grown > 0:
        cost += ground
        if above_depth > deepest:
            cost += float(grown) * float(above_depth - deepest)
    return cost


@compiled
def find_spot(
    trees: Trees,
    parts: Parts,
    sheets: Sheets,
    part: int,
    spots: Spots,
    taste: Tastes,
    chance: Whole,
    spot: Nodes,
) -> bool:
    """Set ``spot`` to where a part costs least; say whether there is room at all."""
    nodes, roots = trees.nodes, trees.roots
    length, width = int(parts.length[part]), int(parts.width[part])
    bound = parts.bound[part]
    area = float(length) * float(width)
    residual = taste[RESIDUAL] * math.sqrt(area)
    noise = taste[NOISE] * area
    ground = taste[GROUND] * area
    blink = taste[BLINK]
    ways = 1 if length == width else 2
    need_along, need_across = length, width
    if ways == 2:
        need_along = need_across = min(length, width)
    best = _NEVER
    last_length = last_width = -1
    for sheet in range(roots.shape[0]):
        if spots.counts[2] == 0:
            break
        if roots[sheet] >= 0:
            continue
        whole_length, whole_width = int(sheets.length[sheet]), int(sheets.width[sheet])
        if whole_length == last_length and whole_width == last_width:
            continue
        last_length, last_width = whole_length, whole_width
        if nodes[-1, WIDEST] > 0:
            if nodes[-1, FIRST_WAY] == ALONG:
                whole_length = min(whole_length, int(nodes[-1, WIDEST]))
            else:
                whole_width = min(whole_width, int(nodes[-1, WIDEST]))
        for turned in range(ways):
            if turned == 1 and bound and sheets.grained[sheet]:
                continue
            run, depth = (width, length) if turned == 1 else (length, width)
            if run <= whole_length and depth <= whole_width:
                cost = taste[EMPTY] * (area + noise * draw(chance))
                if cost < best:
                    best = cost
                    spot[BESIDE] = -1
                    spot[ALONG_OR_ACROSS] = ALONG
                    spot[IS_TURNED] = turned
                    spot[ON_SHEET] = sheet
                    spot[AND] = -1
    for place in range(spots.counts[0]):
        node = spots.beside[place]
        along_spare, across_spare = nodes[node, ALONG_SPARE], nodes[node, ACROSS_SPARE]
        if along_spare < need_along and across_spare < need_across:
            continue
        above = nodes[node, ABOVE]
        own_length, own_width = int(nodes[node, LENGTH]), int(nodes[node, WIDTH])
        above_length = above_width = 0
        if above >= 0:
            above_length, above_width = int(nodes[above, LENGTH]), int(nodes[above, WIDTH])
        room_length, room_width = int(nodes[node, ROOM_LENGTH]), int(nodes[node, ROOM_WIDTH])
        for turned in range(ways):
            if turned == 1 and bound and sheets.grained[nodes[node, SHEET]]:
                continue
            along, across = (width, length) if turned == 1 else (length, width)
            if along <= along_spare and across <= room_width:
                cost = _beside(
                    along, across, own_length, own_width, above_length, above_width, ground
                )
                cost += residual * min(along_spare - along, room_width - across)
                if cost < best and not (blink > 0.0 and draw(chance) < blink):
                    cost += noise * draw(chance)
                    if cost < best:
                        best = cost
                        spot[BESIDE] = node
                        spot[ALONG_OR_ACROSS] = ALONG
                        spot[IS_TURNED] = turned
                        spot[ON_SHEET] = nodes[node, SHEET]
                        spot[AND] = -1
            if across <= across_spare and along <= room_length:
                cost = _beside(
                    across, along, own_width, own_length, above_width, above_length, ground
                )
                cost += residual * min(across_spare - across, room_length - along)
                if cost < best and not (blink > 0.0 and draw(chance) < blink):
                    cost += noise * draw(chance)
                    if cost < best:
                        best = cost
                        spot[BESIDE] = node
                        spot[ALONG_OR_ACROSS] = ACROSS
                        spot[IS_TURNED] = turned
                        spot[ON_SHEET] = nodes[node, SHEET]
                        spot[AND] = -1
    for place in range(spots.counts[1]):
        node = spots.across[place]
        spare = nodes[node, PAIR_SPARE]
        if spare < 0:
            continue
        lies_along = nodes[node, WAY] == ALONG
        if spare < (need_across if lies_along else need_along):
            continue
        if lies_along:
            run_of, depth_of, room_run, room_deep = LENGTH, WIDTH, ROOM_LENGTH, ROOM_WIDTH
        else:
            run_of, depth_of, room_run, room_deep = WIDTH, LENGTH, ROOM_WIDTH, ROOM_LENGTH
        room = int(nodes[node, room_deep])
        slack = int(nodes[node, room_run]) - int(nodes[node, run_of])
        whole_run, whole_depth = int(nodes[node, run_of]), int(nodes[node, depth_of])
        limit = room - (need_across if lies_along else need_along)
        one = nodes[node, FIRST]
        while one >= 0:
            one_run, one_depth = int(nodes[one, run_of]), int(nodes[one, depth_of])
            other = nodes[one, NEXT] if one_depth <= limit else -1
            while other >= 0:
                other_run, other_depth = int(nodes[other, run_of]), int(nodes[other, depth_of])
                if other_depth <= limit:
                    both = one_run + other_run
                    deepest = max(one_depth, other_depth)
                    for turned in range(ways):
                        if turned == 1 and bound and sheets.grained[nodes[node, SHEET]]:
                            continue
                        if (turned == 1) == lies_along:
                            run, depth = width, length
                        else:
                            run, depth = length, width
                        if (
                            deepest + depth > room
                            or run > both + slack
                            or run <= one_run
                            or run <= other_run
                        ):
                            continue
                        if run <= both:
                            cost = float(both - run) * float(depth)
                        else:
                            cost = float(run - both) * float(deepest)
                        cost += float(deepest - one_depth) * float(one_run)
                        cost += float(deepest - other_depth) * float(other_run)
                        grown = deepest + depth - whole_depth
                        if grown > 0:
                            rest = whole_run - max(run, both)
                            cost += ground
                            if rest > 0:
                                cost += float(grown) * float(rest)
                        elif run > both:
                            cost += ground
                        cost += residual * min(slack, room - deepest - depth)
                        if cost < best and not (blink > 0.0 and draw(chance) < blink):
                            cost += noise * draw(chance)
                            if cost < best:
                                best = cost
                                spot[BESIDE] = one
                                spot[ALONG_OR_ACROSS] = ALONG + ACROSS - nodes[node, WAY]
                                spot[IS_TURNED] = turned
                                spot[ON_SHEET] = nodes[node, SHEET]
                                spot[AND] = other
                other = nodes[other, NEXT]
            one = nodes[one, NEXT]
    return best < _NEVER
