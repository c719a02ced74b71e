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
from enum import Enum
from random import Random

from ortools.sat.python import cp_model

from cutopt.solve.boards_fill import fill_boards
from cutopt.solve.boards_load import Filled, Load, Packing, exactly
from cutopt.solve.boards_mixture import Blend, Cut, Mixture, mixture_within
from cutopt.solve.choosing import repeatable_solver
from cutopt.solve.knapsack import Need, list_fills
from cutopt.solve.params import Watch


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


class Doubt(Enum):
    """What is left where there is neither a packing nor a cut."""

    NO_PACKING = "these boards do not hold the parts"
    OPEN = "not decided within the work allowed"


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
    if packing is not None:
        return packing
    verdict = mixture_within(mixture, load.demands, boards, work.pricing_rounds)
    if isinstance(verdict, Cut):
        return verdict
    if verdict is not None:
        for _ in range(work.dives):
            if watch.stopped():
                return Doubt.OPEN
            packing = _dive(mixture, verdict, boards, work, random)
            if packing is not None:
                return packing
    listed = _list_open(load, boards, cuts, work.most_listed)
    if listed is None:
        chosen = _choose(load, mixture.fills, boards, work.choice_time)
        return chosen if isinstance(chosen, tuple) else Doubt.OPEN
    return _choose(load, listed, boards, work.choice_time)


def _dive(
    mixture: Mixture, blend: Blend, boards: Sequence[int], work: Work, random: Random
) -> Packing | None:
    """Fix fills of a blend, solve for what is left, and so on down; None where it gets stuck."""
    load = mixture.load
    missing, left = list(load.demands), list(boards)
    fixed: list[Filled] = []
    while True:
        for filled, times in _to_fix(mixture, blend, random):
            for _ in range(times):
                counts = tuple(min(c, m) for c, m in zip(filled.counts, missing, strict=True))
                if left[filled.board] == 0 or not any(counts):
                    break
                fixed.append(Filled(filled.board, counts))
                left[filled.board] -= 1
                missing = [m - c for m, c in zip(missing, counts, strict=True)]
        if not any(missing):
            return exactly(load, fixed)
        worth = [max(w, 1e-3 * load.weights[k]) for k, w in enumerate(load.weights)]
        rest = fill_boards(load, missing, left, worth, 2, random)
        if rest is not None:
            return exactly(load, (*fixed, *rest))
        verdict = mixture_within(mixture, missing, left, work.pricing_rounds)
        if not isinstance(verdict, Blend):
            return None
        blend = verdict


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
    load: Load, boards: Sequence[int], cuts: Sequence[Cut], most: int
) -> list[Filled] | None:
    """Give every full fill a packing into ``boards`` may use by the tightest cuts, or None."""
    tight = sorted(
        (cut for cut in cuts if cut.need > 0),
        key=lambda cut: cut.slack(boards) / (cut.slack(boards) + cut.need),
    )[:4]
    listed: list[Filled] = []
    for board, count in enumerate(boards):
        if count == 0:
            continue
        needs = [Need(cut.values, cut.reach[board] - cut.slack(boards)) for cut in tight]
        fills = list_fills(load.rooms[board], load.weights, load.demands, needs, most)
        if fills is None or len(listed) + len(fills) > most:
            return None
        listed.extend(Filled(board, counts) for counts in fills if any(counts))
    return listed


def _choose(
    load: Load, fills: Sequence[Filled], boards: Sequence[int], choice_time: float
) -> Packing | Doubt:
    """Choose whole numbers of fills that make every part; NO_PACKING is proved for these fills."""
    model = cp_model.CpModel()
    makes: list[list[cp_model.LinearExpr]] = [[] for _ in load.demands]
    takes: list[list[cp_model.IntVar]] = [[] for _ in boards]
    times = []
    for filled in fills:
        most = min(
            boards[filled.board],
            max(-(-load.demands[k] // c) for k, c in enumerate(filled.counts) if c),
        )
        amount = model.new_int_var(0, most, "")
        times.append(amount)
        takes[filled.board].append(amount)
        for kind, count in enumerate(filled.counts):
            if count:
                makes[kind].append(count * amount)
    for terms, demand in zip(makes, load.demands, strict=True):
        if not terms:
            return Doubt.NO_PACKING
        model.add(cp_model.LinearExpr.sum(terms) >= demand)
    for amounts, count in zip(takes, boards, strict=True):
        if amounts:
            model.add(cp_model.LinearExpr.sum(amounts) <= count)
    solver = repeatable_solver(choice_time, linearization=2)
    status = solver.solve(model)
    if status in (cp_model.OPTIMAL, cp_model.FEASIBLE):
        chosen = [
            filled
            for filled, amount in zip(fills, times, strict=True)
            for _ in range(solver.value(amount))
        ]
        return exactly(load, chosen)
    return Doubt.NO_PACKING if status == cp_model.INFEASIBLE else Doubt.OPEN
