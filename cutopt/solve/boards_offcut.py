"""The longest single offcut at the same cost: a part that nobody needs, made ever longer.

The plan is asked to make one part more; the longest such part that costs nothing extra is
found by bisection. It is then left out again and its place is the offcut.
"""

from __future__ import annotations

from dataclasses import replace

from cutopt.solve.boards_load import Filled, Load, Packing, cost_of, exactly, used
from cutopt.solve.boards_mixture import Cut, Mixture, length_cut
from cutopt.solve.boards_purchase import Purchases, cheapest_purchase
from cutopt.solve.boards_search import Found, Quiet, side_work
from cutopt.solve.params import Search, Watch
from cutopt.units import inches

_STEP = inches(0, 1, 16)
_MOST_PARTS = (0, 120, 300, 1_000)
_GUESSES = 12
_OPEN = 2
"""Questions left open before the search ends, for each level of effort."""


def longest_left(load: Load, packing: Packing) -> int:
    """Give the most room left on one board, in the load's units (one kerf included)."""
    return max(
        load.rooms[filled.board]
        - sum(c * w for c, w in zip(filled.counts, load.weights, strict=True))
        for filled in packing
    )


def lengthen_offcut(found: Found, packing: Packing, search: Search, watch: Watch) -> Packing:
    """Give a packing of the same cost whose longest offcut is as long as the work allows."""
    load = found.load
    if sum(load.demands) > _MOST_PARTS[search.effort]:
        return packing
    taken = used(load, packing)
    own = replace(
        load,
        supplies=tuple(
            supply if cost else count
            for supply, cost, count in zip(load.supplies, load.costs, taken, strict=True)
        ),
    )
    cost = cost_of(load, packing)
    step = max(1, _STEP // load.unit)
    best = packing
    low = longest_left(load, best)
    high = max(load.rooms) + 1
    open_questions = _OPEN * search.effort
    while high - low > step and open_questions and not watch.stopped():
        middle = (low + high) // 2
        longer, proved = _with_offcut(own, found, best, middle, cost, search, watch)
        if longer is None:
            high = middle
            open_questions -= not proved
        else:
            best = longer
            low = max(middle, longest_left(load, best))
    return best


def _with_offcut(
    load: Load,
    found: Found,
    packing: Packing,
    length: int,
    cost: int,
    search: Search,
    watch: Watch,
) -> tuple[Packing | None, bool]:
    """Give a packing that costs no more and leaves ``length`` on one board, or None.

    Says too whether it is proved that there is none.
    """
    place = sum(weight > length for weight in load.weights)
    more = replace(
        load,
        weights=_insert(load.weights, place, length),
        demands=_insert(load.demands, place, 1),
    )
    cuts = [
        length_cut(more),
        *(
            Cut(_insert(cut.values, place, 0), cut.reach, cut.need)
            for cut in found.purchases.cuts[1:]
        ),
    ]
    mixture = Mixture(more, priced=False)
    for filled in (*found.mixture.fills, *packing):
        mixture.add(Filled(filled.board, _insert(filled.counts, place, 0)))
        room = more.rooms[filled.board] - sum(
            c * w for c, w in zip(filled.counts, load.weights, strict=True)
        )
        if room >= length:
            mixture.add(Filled(filled.board, _insert(filled.counts, place, 1)))
    outcome = cheapest_purchase(
        Purchases(more, cuts),
        mixture,
        None,
        cost,
        cost + 1,
        tuple(weight**1.02 for weight in more.weights),
        side_work(search),
        _GUESSES,
        search.seed,
        "",
        Quiet(watch),
    )
    if outcome.packing is None:
        return None, outcome.bound is None or outcome.bound > cost
    without = [
        Filled(filled.board, filled.counts[:place] + filled.counts[place + 1 :])
        for filled in outcome.packing
    ]
    return exactly(load, without), False


def _insert(values: tuple[int, ...], place: int, value: int) -> tuple[int, ...]:
    return (*values[:place], value, *values[place:])
