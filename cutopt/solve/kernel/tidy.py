"""Among plans on the same sheets: a large piece left over, few settings of the saw, few cuts.

Parts are taken off and put back as in the search, and only complete plans count.
"""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

from cutopt.solve.kernel.chance import wait
from cutopt.solve.kernel.compiling import compiled
from cutopt.solve.kernel.search import Desk, order_left, recreate, ruin
from cutopt.solve.kernel.spots import Tastes
from cutopt.solve.kernel.trees import (
    ABOVE,
    ALONG,
    FIRST,
    LENGTH,
    NEXT,
    PART,
    WAY,
    WIDTH,
    Nodes,
    Parts,
    Sheets,
    Trees,
    Whole,
    copy_trees,
)

# What a plan is judged by.
LARGEST, GATHERED, SETTINGS, CUTS = range(4)
# Entries of a goal: what the first two, and the work of sawing, are weighed with.
WORK = 2
# What counts as left over: the blade's kerf, the least sides of a piece worth keeping.
KERF, LONG, SHORT = range(3)
# Entries of the course of an anneal: heat now, what it falls by each time, cost now, at best.
HEAT, FALL, COST_NOW, COST_BEST = range(4)

START = 1e300
_UNKNOWN = 1e299
_CUT = 0.15
_LOOKS_A_NODE = 6


@compiled
def _kept(length: int, width: int, worth_keeping: Whole) -> float:
    """Give the area of a leftover (kerf still on it), 0 where it is not worth keeping."""
    length -= worth_keeping[KERF]
    width -= worth_keeping[KERF]
    if max(length, width) < worth_keeping[LONG] or min(length, width) < worth_keeping[SHORT]:
        return 0.0
    return float(length) * float(width)


@compiled
def judge_trees(
    trees: Trees,
    sheets: Sheets,
    worth_keeping: Whole,
    mean: float,
    found: NDArray[np.float64],
    sizes: Nodes,
    stack: Nodes,
) -> None:
    """Set what a plan leaves and takes: see the four entries above.

    The largest leftover is in square ticks; all of them count, large ones more than in
    proportion, in ``GATHERED``. ``mean`` is what the areas are compared with.
    """
    nodes = trees.nodes
    largest = gathered = 0.0
    cuts = count = 0
    for sheet in range(trees.roots.shape[0]):
        root = trees.roots[sheet]
        length, width = int(sheets.length[sheet]), int(sheets.width[sheet])
        if root < 0:
            area = _kept(length, width, worth_keeping)
            largest = max(largest, area)
            gathered += area * math.sqrt(area / mean)
            continue
        along, across = length - int(nodes[root, LENGTH]), width - int(nodes[root, WIDTH])
        strip = max(_kept(along, width, worth_keeping), _kept(length, across, worth_keeping))
        largest = max(largest, strip)
        gathered += strip * math.sqrt(strip / mean)
        if nodes[root, WAY] == PART:
            if along > 0:
                sizes[count] = nodes[root, LENGTH]
                count += 1
                cuts += 1
            if across > 0:
                sizes[count] = nodes[root, WIDTH]
                count += 1
                cuts += 1
            continue
        stack[0] = root
        height = 1
        while height > 0:
            height -= 1
            node = int(stack[height])
            run, deep = (LENGTH, WIDTH) if nodes[node, WAY] == ALONG else (WIDTH, LENGTH)
            above = nodes[node, ABOVE]
            if above < 0:
                depth, slack = (width, along) if nodes[node, WAY] == ALONG else (length, across)
            else:
                # Cut to its own depth; what lies right on the sheet has all of the sheet's run.
                depth, whole = int(nodes[node, deep]), int(nodes[above, run])
                if nodes[above, ABOVE] < 0:
                    whole = length if nodes[node, WAY] == ALONG else width
                slack = whole - int(nodes[node, run])
                if slack > 0:
                    area = _kept(slack, depth, worth_keeping)
                    largest = max(largest, area)
                    gathered += area * math.sqrt(area / mean)
            if slack > 0:
                cuts += 1
            below = nodes[node, FIRST]
            while below >= 0:
                sizes[count] = nodes[below, run]
                count += 1
                cuts += 1
                if nodes[below, WAY] == PART:
                    rest = depth - int(nodes[below, deep])
                    if rest > 0:
                        cuts += 1
                        sizes[count] = nodes[below, deep]
                        count += 1
                        area = _kept(rest, int(nodes[below, run]), worth_keeping)
                        largest = max(largest, area)
                        gathered += area * math.sqrt(area / mean)
                else:
                    stack[height] = below
                    height += 1
                below = nodes[below, NEXT]
            cuts -= 1
    ordered = np.sort(sizes[:count])
    settings = 0
    for place in range(count):
        if place == 0 or ordered[place] != ordered[place - 1]:
            settings += 1
    found[LARGEST] = largest
    found[GATHERED] = gathered
    found[SETTINGS] = settings
    found[CUTS] = cuts


@compiled
def work_of(settings: float, cuts: float) -> float:
    """Give the work of sawing, in settings."""
    return settings + _CUT * cuts


@compiled
def _cost(goal: NDArray[np.float64], found: NDArray[np.float64], mean: float) -> float:
    """Give what a plan is judged by in one number, less being better."""
    return float(
        goal[WORK] * work_of(found[SETTINGS], found[CUTS])
        - (goal[LARGEST] * found[LARGEST] + goal[GATHERED] * found[GATHERED]) / mean
    )


@compiled
def tidy(
    trees: Trees,
    parts: Parts,
    sheets: Sheets,
    goal: NDArray[np.float64],
    least_largest: float,
    most_work: float,
    worth_keeping: Whole,
    mean: float,
    taste: Tastes,
    course: NDArray[np.float64],
    chance: Whole,
    rounds: int,
    limit: int,
    found: NDArray[np.float64],
    sizes: Nodes,
    desk: Desk,
) -> tuple[int, int]:
    """Search among complete plans for some rounds; give the rounds and the work done.

    Called again with the same course, it goes on where it stopped; a course starts with both
    costs at ``START``. The best trees are in ``desk.best``. No plan is taken whose largest
    leftover is less, or whose settings and cuts (see ``work_of``) are more than allowed.
    """
    if course[COST_BEST] > _UNKNOWN:
        judge_trees(trees, sheets, worth_keeping, mean, found, sizes, desk.stack)
        course[COST_NOW] = course[COST_BEST] = _cost(goal, found, mean)
        copy_trees(trees, desk.best)
    work = 0
    for done in range(rounds):
        if work >= limit:
            return done, work
        course[HEAT] *= course[FALL]
        copy_trees(trees, desk.before)
        for sheet in range(desk.changed.shape[0]):
            desk.changed[sheet] = False
        ruin(trees, sheets, taste, chance, desk)
        order_left(trees, parts, taste, chance, desk)
        work += recreate(trees, parts, sheets, taste, chance, desk)
        work += _LOOKS_A_NODE * trees.nodes.shape[0]
        if trees.counts[1] == 0:
            judge_trees(trees, sheets, worth_keeping, mean, found, sizes, desk.stack)
            cost = _cost(goal, found, mean)
            worse = cost - course[COST_NOW]
            if (
                found[LARGEST] >= least_largest
                and work_of(found[SETTINGS], found[CUTS]) <= most_work
                and (worse <= 0.0 or worse < course[HEAT] * wait(chance))
            ):
                course[COST_NOW] = cost
                if cost < course[COST_BEST]:
                    course[COST_BEST] = cost
                    copy_trees(trees, desk.best)
                continue
        copy_trees(desk.before, trees)
    return rounds, work
