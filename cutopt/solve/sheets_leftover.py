"""What is left over, gathered in one piece: one sheet is used only so far, all parts kept."""

from __future__ import annotations

import random
from collections.abc import Callable

from cutopt.solve.sheets_search import TASTES, Floor
from cutopt.solve.sheets_sizes import Laid, Sizes
from cutopt.solve.slicing import ACROSS, ALONG, Block

_FINEST = 256
_HELPERS = 5


def largest_leftover(root: Block, length: int, width: int, kerf: int) -> int:
    """Give the area of the largest rectangle left of a sheet after its parts are cut out."""
    most = max(
        (length - root.length - kerf) * (width - kerf),
        (width - root.width - kerf) * (length - kerf),
        0,
    )
    if root.way == ALONG:
        slack = length - root.length
        most = max(most, (slack - kerf) * (width - kerf))
        for child in root.children:
            most = max(most, largest_leftover(child, child.length, width, kerf))
    else:
        for child in root.children:
            most = max(most, largest_leftover(child, length, child.width, kerf))
    return most


def largest_of_all(sizes: Sizes, laid: Laid) -> int:
    """Give the area of the largest rectangle left over on any sheet."""
    return max(
        largest_leftover(root, sizes.types[t].length, sizes.types[t].width, sizes.kerf)
        for t, root in laid
    )


def gather_leftover(
    sizes: Sizes, laid: Laid, rng: random.Random, looks: int, stopped: Callable[[], bool]
) -> Laid:
    """Give the same sheets with as much as possible left of one of them in one piece.

    The sheet with most room is shortened one way, then the other, by ever smaller steps, while
    all parts still find a place: among themselves first, then on the other sheets.
    """
    best, most = laid, largest_of_all(sizes, laid)
    room = [sizes.types[t].area - root.area for t, root in laid]
    chosen = max(range(len(laid)), key=lambda s: (room[s], -s))
    for way in (ALONG, ACROSS):
        found = _shortened(sizes, laid, chosen, way, sum(room), rng, looks // 2, stopped)
        if found is not None and (left := largest_of_all(sizes, found)) > most:
            best, most = found, left
    return best


def _shortened(
    sizes: Sizes,
    laid: Laid,
    chosen: int,
    way: int,
    room: int,
    rng: random.Random,
    looks: int,
    stopped: Callable[[], bool],
) -> Laid | None:
    sheet = sizes.types[laid[chosen][0]]
    whole, other = (sheet.length, sheet.width) if way == ALONG else (sheet.width, sheet.length)

    def used(root: Block | None) -> int:
        return 0 if root is None else root.length if way == ALONG else root.width

    best: Laid | None = None
    plan = list(laid)
    high = used(laid[chosen][1])
    low = max(0, whole - room // other)
    step = (high - low) // 4
    spent = 0
    while step > whole // _FINEST and spent < looks and not stopped():
        middle = high - step
        extent = (middle, sheet.width) if way == ALONG else (sheet.length, middle)
        shorter, work = _try(sizes, [plan[chosen]], 0, extent, rng, looks // 16, stopped)
        spent += work
        if shorter is not None:
            shorter = [*plan[:chosen], *shorter, *plan[chosen + 1 :]]
        elif len(plan) > 1:
            near = sorted(
                (s for s in range(len(plan)) if s != chosen),
                key=lambda s: (plan[s][1].area - sizes.types[plan[s][0]].area, s),
            )[:_HELPERS]
            group = [plan[chosen], *(plan[s] for s in near)]
            shorter, work = _try(sizes, group, 0, extent, rng, looks // 8, stopped)
            spent += work
            if shorter is not None and len(shorter) == len(group):
                changed = dict(zip([chosen, *near], shorter, strict=True))
                shorter = [changed.get(s, sheet) for s, sheet in enumerate(plan)]
            elif shorter is not None:
                others = [sheet for s, sheet in enumerate(plan) if s != chosen and s not in near]
                return [*others, *shorter]
        if shorter is None:
            step //= 2
            continue
        best = plan = shorter
        high = min(middle, used(plan[chosen][1]))
        step = min(step, (high - low) // 2)
    return best


def _try(
    sizes: Sizes,
    laid: Laid,
    chosen: int,
    extent: tuple[int, int],
    rng: random.Random,
    looks: int,
    stopped: Callable[[], bool],
) -> tuple[Laid | None, int]:
    """Give the plan with one sheet shortened, or None, and the work it took."""
    floor = Floor(sizes, [t for t, _ in laid], rng)
    for sheet, (_, root) in enumerate(laid):
        floor.lay(sheet, root)
    floor.shorten(chosen, *extent)
    if not floor.improve(max(looks, 2_000), TASTES[0], stopped):
        return None, floor.work
    return floor.laid(), floor.work
