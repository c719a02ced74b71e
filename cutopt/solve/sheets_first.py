"""The first plan: parts laid one by one in several orders, sheets opened as needed."""

from __future__ import annotations

from collections.abc import Iterator

from cutopt.solve.sheets_floor import ORDERS, Floor, Weights
from cutopt.solve.sheets_sizes import Laid, Sizes, cost_of
from cutopt.solve.slicing import Block, parts_in

_WEIGHTS = (Weights(), Weights(ground=0.1, residual=0.3))
_MANY_PARTS = 150


def rank_of(sizes: Sizes, laid: Laid) -> tuple[int, int, int]:
    """Give how good a plan is, least first: cost, free sheets used (by area), sheets."""
    free = sum(sizes.types[t].area for t, _ in laid if sizes.types[t].cost == 0)
    return cost_of(sizes, laid), free, len(laid)


def first_plan(sizes: Sizes) -> Laid | None:
    """Give the best of a few plain passes, or None where the stock ran out in all of them."""
    best: Laid | None = None
    for opened in _passes(sizes):
        laid = on_cheaper_sheets(sizes, opened)
        if best is None or rank_of(sizes, laid) < rank_of(sizes, best):
            best = laid
    return best


def _passes(sizes: Sizes) -> Iterator[Laid]:
    parts = sizes.all_parts()
    types = sizes.types
    tried = _WEIGHTS if len(parts) <= _MANY_PARTS else _WEIGHTS[:1]
    for favourite in range(len(types)):
        if types[favourite].cost == 0 and len(types) > 1 and favourite > 0:
            continue
        preference = sorted(
            range(len(types)),
            key=lambda t: (
                types[t].cost > 0,
                t != favourite,
                types[t].cost / types[t].area,
                -types[t].area,
                t,
            ),
        )
        for order in ORDERS:
            keys = [order(kind.length, kind.width) for kind in sizes.kinds]
            ordered = sorted(parts, key=lambda k: (-keys[k], k))
            for weights in tried:
                floor = Floor(sizes)
                if all(_lay_or_open(floor, kind, preference, weights) for kind in ordered):
                    yield floor.laid()


def _lay_or_open(floor: Floor, kind: int, preference: list[int], weights: Weights) -> bool:
    """Lay a part, on a new sheet if need be; False where no sheet that holds it is left."""
    if floor.place(kind, weights):
        return True
    sizes = floor.sizes
    for sheet in preference:
        if sizes.lays[sheet][kind] and floor.sheets.count(sheet) < sizes.types[sheet].available:
            floor.add_sheet(sheet)
            return floor.place(kind, weights)
    return False


def on_cheaper_sheets(sizes: Sizes, laid: Laid) -> Laid:
    """Give a plan with each sheet's parts moved to the cheapest type that holds them."""
    types = sizes.types
    if len(types) == 1:
        return laid
    used = [0] * len(types)
    for sheet, _ in laid:
        used[sheet] += 1
    result: Laid = []
    for sheet, root in laid:
        for other in sorted(range(len(types)), key=lambda t: (types[t].cost, types[t].area, t)):
            if types[other].cost >= types[sheet].cost or used[other] >= types[other].available:
                continue
            moved = root if sizes.legal(root, other) else _laid_alone(sizes, root, other)
            if moved is not None:
                used[other] += 1
                used[sheet] -= 1
                result.append((other, moved))
                break
        else:
            result.append((sheet, root))
    return result


def _laid_alone(sizes: Sizes, root: Block, sheet: int) -> Block | None:
    """Give the parts of a block laid on one sheet of a type in one plain pass, or None."""
    if root.area > sizes.types[sheet].area:
        return None
    kinds = sorted(part.kind for part in parts_in(root))
    if not all(sizes.lays[sheet][kind] for kind in kinds):
        return None
    floor = Floor(sizes, [sheet])
    return floor.roots[0] if all(floor.place(kind, _WEIGHTS[0]) for kind in kinds) else None
