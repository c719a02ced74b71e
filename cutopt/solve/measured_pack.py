"""Whether given boards, some with bad spans, hold all parts: a packing, a cut, a proof, or neither.

As for boards without bad spans (``boards_pack``): filled one after the other; the relaxation (a
cut if even mixtures fall short); whole numbers of the fills known; dives; and at last every full
fill that the cuts leave open, which decides the question where the list is complete.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from random import Random

from cutopt.solve.boards_choice import Doubt, choose_fills
from cutopt.solve.boards_load import Filled, Packing, exactly
from cutopt.solve.boards_mixture import SCALE, Blend, Cut, Mixture, mixture_within
from cutopt.solve.knapsack import Need
from cutopt.solve.measured_fills import best_fill, list_board
from cutopt.solve.measured_load import MeasuredLoad

_QUICK_NODES = 300


@dataclass(frozen=True, slots=True)
class Work:
    """How much work one question may take; numbers of rounds, never a clock.

    ``most_open`` purchases are left undecided before the search for cheaper ones ends.
    """

    quick_rounds: int
    pricing_rounds: int
    dives: int
    most_listed: int
    choice_time: float
    most_open: int
    most_guesses: int


class MeasuredMixture(Mixture):
    """The relaxation, with fills of measured boards."""

    def __init__(self, measured: MeasuredLoad, *, priced: bool) -> None:
        """Set up with no fills."""
        super().__init__(measured.load, priced=priced)
        self.measured = measured

    def price(self, blend: Blend, demands: Sequence[int], boards: Sequence[int]) -> tuple[int, Cut]:
        """Add fills that improve on a blend; give how many, and the cut its worths prove."""
        values = [round(worth * SCALE) for worth in blend.worths]
        fills = [
            best_fill(self.measured, board, values, demands)
            for board in range(len(self.load.rooms))
        ]
        added = sum(
            self.add(Filled(board, fill.counts))
            for board, fill in enumerate(fills)
            if fill.counts is not None and self._improves(blend, board, fill, boards)
        )
        need = sum(v * d for v, d in zip(values, demands, strict=True))
        return added, Cut(tuple(values), tuple(fill.ceiling for fill in fills), need)


def pack_measured(
    mixture: MeasuredMixture,
    boards: Sequence[int],
    cuts: Sequence[Cut],
    work: Work,
    random: Random,
) -> Packing | Cut | Doubt:
    """Decide whether ``boards`` hold the whole load of an unpriced ``mixture``."""
    measured, load = mixture.measured, mixture.load
    packing = fill_measured(measured, load.demands, boards, work.quick_rounds, random)
    if packing is not None:
        return packing
    verdict = mixture_within(mixture, load.demands, boards, work.pricing_rounds)
    if isinstance(verdict, Cut):
        return verdict
    if verdict is not None:
        for _ in range(work.dives):
            packing = _dive(mixture, verdict, boards, work, random)
            if packing is not None:
                return packing
    listed = list_open(measured, boards, cuts, work.most_listed)
    fills = mixture.fills if listed is None else listed
    chosen = choose_fills(load, fills, load.demands, boards, work.choice_time)
    return Doubt.OPEN if listed is None and chosen is Doubt.NO_PACKING else chosen


def fill_measured(
    measured: MeasuredLoad,
    demands: Sequence[int],
    boards: Sequence[int],
    rounds: int,
    random: Random,
) -> Packing | None:
    """Give a packing of ``demands`` into ``boards``, filled one after the other, or None.

    What stays over in a round is worth more in the next.
    """
    load = measured.load
    worth = [weight**1.05 for weight in load.weights]
    order = [board for board, count in enumerate(boards) for _ in range(count)]
    for _ in range(rounds):
        missing = list(demands)
        done: list[Filled] = []
        for board in order:
            values = [
                round(w * SCALE / worth[0]) if m else 0 for w, m in zip(worth, missing, strict=True)
            ]
            counts = best_fill(measured, board, values, missing, _QUICK_NODES).counts
            if counts is None:
                continue
            done.append(Filled(board, counts))
            missing = [m - c for m, c in zip(missing, counts, strict=True)]
            if not any(missing):
                return tuple(done)
        worth = [
            w * (1 + (0.1 + 0.2 * random.random()) * min(m, 3))
            for w, m in zip(worth, missing, strict=True)
        ]
        random.shuffle(order)
    return None


def list_open(
    measured: MeasuredLoad, boards: Sequence[int], cuts: Sequence[Cut], most: int
) -> list[Filled] | None:
    """Give every full fill a packing into ``boards`` may use by the cuts, or None for too many.

    Each fill reaches no more than its board does by any cut, so none may lose more than all
    boards together can spare.
    """
    load = measured.load
    spare = sorted((cut.slack(boards) / max(1, cut.need), n) for n, cut in enumerate(cuts))
    listed: list[Filled] = []
    for board, count in enumerate(boards):
        if count == 0:
            continue
        needs = [
            Need(cuts[n].values, cuts[n].reach[board] - cuts[n].slack(boards)) for _, n in spare[:4]
        ]
        fills = list_board(measured, board, load.demands, needs, most)
        if fills is None or len(listed) + len(fills) > most:
            return None
        listed.extend(Filled(board, counts) for counts in fills if any(counts))
    return listed


def _dive(
    mixture: MeasuredMixture, blend: Blend, boards: Sequence[int], work: Work, random: Random
) -> Packing | None:
    """Fix the likeliest fills of a blend, solve for what is left, and so on down."""
    load = mixture.load
    fixed: list[Filled] = []
    missing, left = list(load.demands), list(boards)
    while any(missing):
        amounts = blend.amounts
        likely = sorted(
            (i for i, amount in enumerate(amounts) if amount > 1e-6),
            key=lambda i: -amounts[i] * random.uniform(0.8, 1.0),
        )
        for place, i in enumerate(likely):
            filled = mixture.fills[i]
            counts = tuple(map(min, filled.counts, missing))
            if left[filled.board] and any(counts) and (not place or amounts[i] > 0.9):
                fixed.append(Filled(filled.board, counts))
                left[filled.board] -= 1
                missing = [m - c for m, c in zip(missing, counts, strict=True)]
        rest = fill_measured(mixture.measured, missing, left, 1, random)
        if rest is not None:
            return exactly(load, (*fixed, *rest))
        verdict = mixture_within(mixture, missing, left, work.pricing_rounds)
        if not isinstance(verdict, Blend) or not any(a > 1e-6 for a in verdict.amounts):
            return None
        blend = verdict
    return exactly(load, fixed)
