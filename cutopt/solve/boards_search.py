"""The cheapest packing of a load, with its proof: quick packing, relaxation, purchases."""

from __future__ import annotations

from dataclasses import dataclass
from random import Random

from cutopt.solve.boards_fill import fill_boards
from cutopt.solve.boards_load import Filled, Load, Packing, cost_of
from cutopt.solve.boards_mixture import SCALE, Mixture, cheapest_mixture, length_cut
from cutopt.solve.boards_pack import Work
from cutopt.solve.boards_purchase import Purchases, cheapest_purchase
from cutopt.solve.params import Search, Watch

_WORK = (
    Work(
        quick_rounds=2,
        pricing_rounds=60,
        dives=1,
        most_listed=1_000,
        choice_time=0.2,
        most_branches=0,
        most_open=2,
    ),
    Work(
        quick_rounds=4,
        pricing_rounds=400,
        dives=4,
        most_listed=6_000,
        choice_time=1.0,
        most_branches=800_000,
        most_open=8,
    ),
    Work(
        quick_rounds=12,
        pricing_rounds=2_000,
        dives=12,
        most_listed=20_000,
        choice_time=10.0,
        most_branches=3_000_000,
        most_open=30,
    ),
    Work(
        quick_rounds=30,
        pricing_rounds=5_000,
        dives=40,
        most_listed=60_000,
        choice_time=120.0,
        most_branches=50_000_000,
        most_open=100,
    ),
)
_GUESSES = (20, 200, 1_000, 5_000)


def side_work(search: Search) -> Work:
    """Give how much work an effort allows for one question beside the cost."""
    return _WORK[max(0, search.effort - 1)]


class Quiet:
    """A watch that passes on only the wish to stop, for questions beside the main one."""

    def __init__(self, watch: Watch) -> None:
        """Listen to ``watch``."""
        self._watch = watch

    def report(self, what: str, best: int | None, bound: int | None) -> None:
        """Ignore."""

    def stopped(self) -> bool:
        """Say what the watch says."""
        return self._watch.stopped()


@dataclass(frozen=True, slots=True)
class Found:
    """What a search leaves behind.

    Attributes:
        packing: the cheapest found; None where none was.
        cost: of it, or None.
        bound: no packing costs less; None where it is proved that there is none.
        purchases: cuts and purchases ruled out.
        mixture: unpriced, with the fills met.
        worth: of the parts, in the end.
    """

    load: Load
    packing: Packing | None
    cost: int | None
    bound: int | None
    purchases: Purchases
    mixture: Mixture
    worth: tuple[float, ...]
    stopped: bool = False


def find_cheapest(load: Load, search: Search, what: str, watch: Watch) -> Found:
    """Give the cheapest packing of a load and what is proved about it."""
    work = _WORK[search.effort]
    random = Random(search.seed)
    by_length = tuple(weight**1.02 for weight in load.weights)
    short = length_cut(load)
    floor = short.least_cost(load)
    best = fill_boards(
        load, load.demands, load.supplies, by_length, work.quick_rounds, random, enough=floor
    )
    cost = cost_of(load, best) if best is not None else None
    watch.report(what, cost, floor)

    cuts, worth, fills = [short], by_length, list(best or ())
    if cost is None or floor < cost:
        priced = Mixture(load, priced=True)
        for filled in (*_uniform(load), *fills):
            priced.add(filled)
        cut = cheapest_mixture(priced, cost, work.pricing_rounds, watch)
        fills = priced.fills
        if cut is not None:
            cuts.append(cut)
            floor = max(floor, cut.least_cost(load))
            worth = tuple(
                max(value / SCALE, 1e-4 * weight / load.weights[0])
                for value, weight in zip(cut.values, load.weights, strict=True)
            )
    mixture = Mixture(load, priced=False)
    for filled in fills:
        mixture.add(filled)
    purchases = Purchases(load, cuts)
    outcome = cheapest_purchase(
        purchases,
        mixture,
        best,
        floor,
        cost,
        worth,
        work,
        _GUESSES[search.effort],
        search.seed,
        what,
        watch,
    )
    packing = outcome.packing
    return Found(
        load,
        packing,
        cost_of(load, packing) if packing is not None else None,
        outcome.bound,
        purchases,
        mixture,
        worth,
        outcome.stopped,
    )


def prove_bound(load: Load, known_cost: int, search: Search, watch: Watch) -> int:
    """Give a cost that no packing of ``load`` undercuts, given one that costs ``known_cost``."""
    found = find_cheapest(load, search, "", Quiet(watch))
    return known_cost if found.bound is None else min(found.bound, known_cost)


def _uniform(load: Load) -> list[Filled]:
    """Give fills of one kind of part each, as many as fit."""
    fills = []
    for board, room in enumerate(load.rooms):
        for kind, weight in enumerate(load.weights):
            count = min(load.demands[kind], room // weight)
            if count:
                counts = tuple(count if k == kind else 0 for k in range(len(load.weights)))
                fills.append(Filled(board, counts))
    return fills
