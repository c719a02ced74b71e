"""Lower bounds on what the sheets must cost, in integers only.

A weighing gives every part a weight and every sheet a capacity so that no layout by
straight cuts ever weighs more than its sheet can hold. The weight of all parts is then a
demand on the sheets bought, and the cheapest purchase that meets all demands is a bound.

Area is such a weighing. So is f(length) x g(width) for functions f and g that are
superadditive and never fall: cutting a sheet in two never raises the sum. Functions made
for one sheet's side are continued beyond it, where other sheets are larger, by the most
that sizes up to that side can add up to.

Source: Fekete and Schepers, "New classes of fast lower bounds for bin packing problems",
2001, doi:10.1007/s101070100243 (f0, u); Carlier, Clautiaux and Moukrim, "New reduction
procedures and lower bounds for the two-dimensional bin packing problem with fixed
orientation", 2007, doi:10.1016/j.cor.2005.08.012 (the function of floor(x / k)); Clautiaux,
Alves and Valerio de Carvalho, "A survey of dual-feasible and superadditive functions",
2010, doi:10.1007/s10479-008-0453-8.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from ortools.sat.python import cp_model

from cutopt.solve.choosing import repeatable_solver
from cutopt.solve.sheets_sizes import Sizes

Whole = NDArray[np.int64]
Weigh = Callable[[Whole], Whole]

AREA = "area"
SIZES = "sizes"
LISTED = "listed"
_LARGEST = 1 << 61
_KEPT = 24
_STEPS = 12


@dataclass(frozen=True, slots=True)
class Weighing:
    """What no purchase may fall short of: capacities summed over the sheets >= demand.

    Attributes:
        capacities: by sheet type.
        demand: weight of all parts.
        about: AREA, SIZES or LISTED.
    """

    capacities: tuple[int, ...]
    demand: int
    about: str


@dataclass(frozen=True, slots=True)
class Purchase:
    """The cheapest purchase that meets every weighing.

    Attributes:
        cost: None where the stock available cannot meet them.
        about: the weighing that sets the cost: AREA if area alone gives it.
        counts: how many sheets of each type; empty where there is no cost.
    """

    cost: int | None
    about: str
    counts: tuple[int, ...] = ()


def area_weighings(sizes: Sizes) -> list[Weighing]:
    """Give the demands by area: of all parts, and of the parts that only some types hold."""
    holders = [
        frozenset(t for t in range(len(sizes.types)) if sizes.lays[t][k])
        for k in range(len(sizes.kinds))
    ]
    found: list[Weighing] = []
    for group in sorted(set(holders), key=lambda g: (-len(g), sorted(g))):
        demand = sum(
            kind.area * kind.qty
            for kind, holder in zip(sizes.kinds, holders, strict=True)
            if holder <= group
        )
        found.append(
            Weighing(
                tuple(t.area if n in group else 0 for n, t in enumerate(sizes.types)),
                demand,
                AREA,
            )
        )
    everything = Weighing(tuple(t.area for t in sizes.types), sizes.area, AREA)
    return [everything, *(weighing for weighing in found if weighing != everything)]


def size_weighings(sizes: Sizes, most: int) -> list[Weighing]:
    """Give the strongest demands by pairs of functions of length and width.

    Args:
        sizes: the problem.
        most: how many thresholds to try for each function and side.
    """
    lengths = np.array([kind.length for kind in sizes.kinds], np.int64)
    widths = np.array([kind.width for kind in sizes.kinds], np.int64)
    counts = np.array([kind.qty for kind in sizes.kinds], np.int64)
    sheet_lengths = np.array([t.length for t in sizes.types], np.int64)
    sheet_widths = np.array([t.width for t in sizes.types], np.int64)
    straight = np.array([_may_lie(sizes, k, turned=False) for k in range(len(counts))])
    turned = np.array([_may_lie(sizes, k, turned=True) for k in range(len(counts))])
    either = straight & turned
    every = np.concatenate([lengths, widths]) if turned.any() else lengths
    every_across = np.concatenate([lengths, widths]) if turned.any() else widths
    costs = np.array([t.cost for t in sizes.types], np.int64)
    prices: list[NDArray[np.float64]] = []
    found: list[tuple[Whole, Whole]] = []
    for whole_length, whole_width in sorted({(t.length, t.width) for t in sizes.types}):
        along = _functions(whole_length, int(sheet_lengths.max()), every, most)
        across = _functions(whole_width, int(sheet_widths.max()), every_across, most)
        across_widths = np.array([g(widths) for g in across])
        across_lengths = np.array([g(lengths) for g in across])
        across_sheets = np.array([g(sheet_widths) for g in across])
        heaviest = int(across_sheets.max())
        for f in along:
            along_sheets = f(sheet_lengths)
            if int(along_sheets.max()) * heaviest * int(counts.sum()) > _LARGEST:
                continue
            one_way = f(lengths) * across_widths
            other_way = f(widths) * across_lengths
            weights = np.where(
                either,
                np.minimum(one_way, other_way),
                np.where(straight, one_way, other_way),
            )
            demands = weights @ counts
            capacities = along_sheets * across_sheets
            prices.append(_prices(costs, capacities, demands))
            found.append((capacities, demands))
    if not found:
        return []
    capacities = np.concatenate([of_pairs for of_pairs, _ in found])
    demands = np.concatenate([of_pairs for _, of_pairs in found])
    dearest = np.argsort(-np.concatenate(prices), kind="stable")[:_KEPT]
    return [
        Weighing(tuple(capacities[pair].tolist()), int(demands[pair]), SIZES) for pair in dearest
    ]


def _prices(costs: Whole, capacities: Whole, demands: Whole) -> NDArray[np.float64]:
    """Give what demands would cost by the cheapest weight for money; a rank, never a bound."""
    some = capacities > 0
    each = np.where(some, costs * demands[:, None] / np.where(some, capacities, 1), np.inf)
    least: NDArray[np.float64] = each.min(axis=1)
    return np.where(np.isinf(least), 0.0, least)


def _may_lie(sizes: Sizes, kind: int, *, turned: bool) -> bool:
    return any(lay[2] is turned for of_type in sizes.lays for lay in of_type[kind])


def _functions(whole: int, longest: int, parts: Whole, most: int) -> list[Weigh]:
    """Give functions for a side of size ``whole``, thresholds from the parts.

    They hold for sizes up to ``longest``.
    """
    small = np.unique(np.concatenate([parts[2 * parts <= whole], whole - parts, whole - parts + 1]))
    small = small[(small >= 1) & (2 * small <= whole)]
    if len(small) > most:
        small = small[np.linspace(0, len(small) - 1, most).astype(np.int64)]
    steps = range(1, _STEPS + 1) if whole == longest else ()
    return [
        lambda x: x,
        *(_big_and_small(whole, longest, int(threshold)) for threshold in small),
        *(_whole_steps(whole, int(threshold)) for threshold in small),
        *(_even_steps(whole, count) for count in steps),
    ]


def _big_and_small(whole: int, longest: int, threshold: int) -> Weigh:
    """Count nearly whole sizes as whole, sizes below the threshold as nothing.

    Beyond the whole: so many nearly whole ones, and the rest as it is unless too small.
    """
    nearly = whole - threshold + 1

    def weigh(x: Whole) -> Whole:
        best = np.where(x >= threshold, x, 0)
        for many in range(1, longest // nearly + 1):
            rest = x - many * nearly
            beside = np.where(rest >= threshold, rest, 0)
            best = np.where(rest >= 0, np.maximum(best, many * whole + beside), best)
        return best

    return weigh


def _whole_steps(whole: int, step: int) -> Weigh:
    """Count how many steps fit a size, and for sizes over half how many no longer fit beside.

    Beyond the whole: a size over half saves ``spared`` against its steps, so the sizes that
    fit x, at most ``over_half`` of them over half, count no more than (x + savings) / step.
    """
    steps = whole // step
    spared = step - 1 - whole % step

    def weigh(x: Whole) -> Whole:
        over_half = x // (whole // 2 + 1)
        inside = np.where(
            2 * x > whole,
            2 * (steps - (whole - x) // step),
            np.where(2 * x == whole, steps, 2 * (x // step)),
        )
        return np.where(x > whole, 2 * (x + over_half * spared) // step, inside)

    return weigh


def _even_steps(whole: int, steps: int) -> Weigh:
    """Round sizes down to even shares of the whole; a size that is one exactly keeps its own.

    For sizes up to the whole only.
    """

    def weigh(x: Whole) -> Whole:
        parted = (steps + 1) * x
        return np.where(parted % whole == 0, x * steps, parted // whole * whole)

    return weigh


def cheapest_purchase(
    sizes: Sizes, weighings: Sequence[Weighing], ruled_out: Sequence[tuple[int, ...]] = ()
) -> Purchase:
    """Give the least cost of stock that meets every weighing within what is available.

    Args:
        sizes: the problem.
        weighings: what the sheets must meet.
        ruled_out: purchases that were proved too small; so is every part of one.
    """
    found = _least(sizes, weighings, ruled_out)
    by_area = _least(sizes, [w for w in weighings if w.about == AREA], ())
    if found is None:
        return Purchase(None, AREA if by_area is None else SIZES)
    about = AREA if by_area is not None and by_area[0] == found[0] else SIZES
    return Purchase(*found[:1], about, found[1])


def _least(
    sizes: Sizes, weighings: Sequence[Weighing], ruled_out: Sequence[tuple[int, ...]]
) -> tuple[int, tuple[int, ...]] | None:
    """Give the least cost and its purchase (empty where only the cost 0 is sure), or None."""
    if len(sizes.types) == 1:
        only = sizes.types[0]
        if any(w.demand > 0 and w.capacities[0] == 0 for w in weighings):
            return None
        count = max(
            (-(-w.demand // w.capacities[0]) for w in weighings if w.capacities[0]), default=0
        )
        count = max([count, *(too_few + 1 for (too_few,) in ruled_out)])
        return (count * only.cost, (count,)) if count <= only.available else None
    model = cp_model.CpModel()
    counts = [model.new_int_var(0, t.available, "") for t in sizes.types]
    for weighing in weighings:
        terms = [c * n for c, n in zip(weighing.capacities, counts, strict=True) if c]
        if terms:
            model.add(sum(terms) >= weighing.demand)
        elif weighing.demand > 0:
            return None
    for too_small in ruled_out:
        more = []
        for bought, few, sheet in zip(counts, too_small, sizes.types, strict=True):
            if few < sheet.available:
                more.append(model.new_bool_var(""))
                model.add(bought > few).only_enforce_if(more[-1])
        model.add_bool_or(more)
    model.minimize(sum(t.cost * n for t, n in zip(sizes.types, counts, strict=True)))
    solver = repeatable_solver(1.0)
    status = solver.solve(model)
    if status == cp_model.INFEASIBLE:
        return None
    if status == cp_model.OPTIMAL:
        cheapest = tuple(solver.value(n) for n in counts)
        return sum(t.cost * n for t, n in zip(sizes.types, cheapest, strict=True)), cheapest
    return 0, ()
