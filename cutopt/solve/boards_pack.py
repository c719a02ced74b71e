"""Whether given boards hold all parts: a packing, a cut, a proof that they do not, or neither.

Tried in turn: quick packing; the relaxation (a cut if even mixtures fall short); dives that
fix one fill after the other; whole numbers of the fills known; and at last every full fill
that the cuts leave open, which decides the question where the list is complete.

Source: Belov, G. and Scheithauer, G., "A branch-and-cut-and-price algorithm for
one-dimensional stock cutting and two-dimensional two-stage cutting", European Journal of
Operational Research 171 (2006), doi:10.1016/j.ejor.2004.08.036 (rounding and residual
problems); reduced-cost listing as in Nemhauser, G. and Wolsey, L., "Integer and
Combinatorial Optimization" (1988), section II.1.6.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from random import Random

from cutopt.solve.boards_choice import Doubt, choose_fills, search_fills
from cutopt.solve.boards_fill import fill_boards, fill_tightly
from cutopt.solve.boards_load import Filled, Load, Packing, exactly
from cutopt.solve.boards_mixture import Blend, Cut, Mixture, mixture_within
from cutopt.solve.knapsack import Need, list_fills
from cutopt.solve.params import Watch

_FEW = (12, 20, 40, 60, 90)


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
    most_branches: int
    most_open: int


def pack_into(
    mixture: Mixture,
    boards: Sequence[int],
    cuts: Sequence[Cut],
    worth: Sequence[float],
    work: Work,
    random: Random,
    watch: Watch,
) -> Packing | Cut | Doubt:
    """Decide whether ``boards`` hold the whole load of an unpriced ``mixture``."""
    load = mixture.load
    packing = fill_boards(load, load.demands, boards, worth, work.quick_rounds, random)
    if packing is None:
        packing = fill_tightly(load, load.demands, boards, 10 * work.quick_rounds, random)
    if packing is not None:
        return packing
    verdict = mixture_within(mixture, load.demands, boards, work.pricing_rounds)
    if isinstance(verdict, Cut):
        return verdict
    if verdict is not None:
        for _ in range(work.dives):
            if watch.stopped():
                return Doubt.OPEN
            packing = _dive(mixture, verdict, boards, cuts, work, random)
            if packing is not None:
                return packing
    listed = _list_open(load, load.demands, boards, cuts, work.most_listed)
    fills = mixture.fills if listed is None else listed
    chosen = choose_fills(load, fills, load.demands, boards, work.choice_time)
    if chosen is Doubt.NO_PACKING:
        return Doubt.OPEN if listed is None else chosen
    if chosen is Doubt.OPEN and work.most_branches and not watch.stopped():
        chosen = search_fills(load, fills, boards, work.most_branches) or Doubt.OPEN
    return chosen


@dataclass(slots=True)
class _Rest:
    """What a dive has fixed, and what is left to make from which boards."""

    fixed: list[Filled]
    missing: list[int]
    left: list[int]

    def fix(self, filled: Filled, times: int) -> None:
        """Take a board so many times, less what is missing no more."""
        for _ in range(times):
            counts = tuple(min(c, m) for c, m in zip(filled.counts, self.missing, strict=True))
            if self.left[filled.board] == 0 or not any(counts):
                break
            self.fixed.append(Filled(filled.board, counts))
            self.left[filled.board] -= 1
            self.missing = [m - c for m, c in zip(self.missing, counts, strict=True)]

    def free_last(self) -> None:
        """Take back the board fixed last."""
        filled = self.fixed.pop()
        self.left[filled.board] += 1
        self.missing = [m + c for m, c in zip(self.missing, filled.counts, strict=True)]


def _dive(
    mixture: Mixture,
    blend: Blend,
    boards: Sequence[int],
    cuts: Sequence[Cut],
    work: Work,
    random: Random,
) -> Packing | None:
    """Fix fills of a blend, solve for what is left, and so on down; None where it gets stuck.

    The last few parts are packed exactly; where they cannot be, more and more of the boards
    fixed before are taken back, for as long as all fills of what is missing can be listed.
    """
    load = mixture.load
    rest = _Rest([], list(load.demands), list(boards))
    while sum(rest.missing) > _FEW[0]:
        for filled, times in _to_fix(mixture, blend, random):
            rest.fix(filled, times)
        if not any(rest.missing):
            break
        worth = [max(w, 1e-3 * load.weights[k]) for k, w in enumerate(load.weights)]
        packing = fill_boards(load, rest.missing, rest.left, worth, 2, random)
        if packing is not None:
            return exactly(load, (*rest.fixed, *packing))
        verdict = mixture_within(mixture, rest.missing, rest.left, work.pricing_rounds)
        if not isinstance(verdict, Blend):
            break
        blend = verdict
    for few in _FEW:
        while rest.fixed and sum(rest.missing) < few:
            rest.free_last()
        listed = _list_open(load, rest.missing, rest.left, cuts, work.most_listed)
        if listed is None:
            return None
        chosen = choose_fills(load, listed, rest.missing, rest.left, work.choice_time / 4)
        if isinstance(chosen, tuple):
            return exactly(load, (*rest.fixed, *chosen))
        if chosen is Doubt.OPEN:
            return None
    return None


def _to_fix(mixture: Mixture, blend: Blend, random: Random) -> list[tuple[Filled, int]]:
    """Give the whole amounts of a blend, or where there is none its most likely fill."""
    whole = [
        (mixture.fills[i], int(amount + 1e-6))
        for i, amount in enumerate(blend.amounts)
        if amount >= 1 - 1e-6
    ]
    if whole:
        return whole
    likely = [
        (amount * random.uniform(0.7, 1.0), -i)
        for i, amount in enumerate(blend.amounts)
        if amount > 1e-6
    ]
    return [(mixture.fills[-max(likely)[1]], 1)]


def _list_open(
    load: Load, demands: Sequence[int], boards: Sequence[int], cuts: Sequence[Cut], most: int
) -> list[Filled] | None:
    """Give every full fill a packing of ``demands`` into ``boards`` may use by the cuts, or None.

    Each fill reaches no more than its board does by any cut, so none may lose more than all
    boards together can spare.
    """
    spare = []
    for cut in cuts:
        need = sum(v * d for v, d in zip(cut.values, demands, strict=True))
        reach = sum(v * n for v, n in zip(cut.reach, boards, strict=True))
        if need > 0:
            spare.append(((reach - need) / max(1, reach), reach - need, cut))
    spare.sort(key=lambda one: one[0])
    if any(one[1] < 0 for one in spare):
        return []
    listed: list[Filled] = []
    for board, count in enumerate(boards):
        if count == 0:
            continue
        needs = [Need(cut.values, cut.reach[board] - slack) for _, slack, cut in spare[:4]]
        fills = list_fills(load.rooms[board], load.weights, demands, needs, most)
        if fills is None or len(listed) + len(fills) > most:
            return None
        listed.extend(Filled(board, counts) for counts in fills if any(counts))
    return listed
