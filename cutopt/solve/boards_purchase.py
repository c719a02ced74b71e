"""The cheapest boards to buy: guess by what is proved so far, try to pack, learn, guess again.

A small integer program over how many boards of each kind to buy, at least cost, subject to
the cuts known; its optimum is a lower bound. The boards it names are packed, or yield a new
cut, or are ruled out together with all that are no better.

Source: Hooker, J. N. and Ottosson, G., "Logic-based Benders decomposition", Mathematical
Programming 96 (2003), doi:10.1007/s10107-003-0375-9.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from enum import Enum
from random import Random

from ortools.sat.python import cp_model

from cutopt.solve.boards_choice import Doubt
from cutopt.solve.boards_load import Load, Packing, cost_of, used
from cutopt.solve.boards_mixture import Cut, Mixture
from cutopt.solve.boards_pack import Work, pack_into
from cutopt.solve.choosing import repeatable_solver
from cutopt.solve.params import Watch

_GUESS_TIME = 5.0
_LARGEST = 10**12


class Guess(Enum):
    """Why there is no guess."""

    NONE_LEFT = "no purchase meets all that is known"
    OPEN = "not decided within the work allowed"


@dataclass(slots=True)
class Purchases:
    """What is known about purchases: cuts, and boards that do not hold the parts.

    Attributes:
        ruled_out: boards of each kind that, like all no longer ones, hold not all parts.
        set_aside: the same, but only tried without success: nothing is proved by them.
        unlike: only purchases with fewer of some board than this are wanted; None: any.
    """

    load: Load
    cuts: list[Cut]
    ruled_out: list[tuple[int, ...]] = field(default_factory=list)
    set_aside: list[tuple[int, ...]] = field(default_factory=list)
    unlike: tuple[int, ...] | None = None

    def guess(self, floor: int, ceiling: int | None) -> tuple[int, ...] | Guess:
        """Give the cheapest purchase not ruled out, costing ``floor`` up to below ``ceiling``."""
        load = self.load
        model = cp_model.CpModel()
        boards = [
            model.new_int_var(0 if cost else supply, supply, "")
            for cost, supply in zip(load.costs, load.supplies, strict=True)
        ]
        cost = cp_model.LinearExpr.weighted_sum(boards, list(load.costs))
        model.add(cost >= floor)
        if ceiling is not None:
            model.add(cost <= ceiling - 1)
        for cut in self.cuts:
            # Rounding reach up and need down keeps the cut true and the sums small.
            scale = 1 + max(cut.need, *cut.reach) // _LARGEST
            reach = [-(-value // scale) for value in cut.reach]
            model.add(cp_model.LinearExpr.weighted_sum(boards, reach) >= cut.need // scale)
        for ruled in (*self.ruled_out, *self.set_aside):
            _not_within(model, boards, load, ruled)
        if self.unlike is not None:
            _fewer_of_some(model, boards, load, self.unlike)
        model.minimize(cost)
        solver = repeatable_solver(_GUESS_TIME)
        status = solver.solve(model)
        if status == cp_model.OPTIMAL:
            return tuple(solver.value(count) for count in boards)
        return Guess.NONE_LEFT if status == cp_model.INFEASIBLE else Guess.OPEN


def _not_within(
    model: cp_model.CpModel,
    boards: Sequence[cp_model.IntVar],
    load: Load,
    ruled: Sequence[int],
) -> None:
    """Ask for more boards than ``ruled`` among the k longest kinds, for some k."""
    ways = []
    have = 0
    for last, count in enumerate(ruled):
        have += count
        if load.costs[last] == 0:
            continue
        way = model.new_bool_var("")
        longest = cp_model.LinearExpr.sum(list(boards[: last + 1]))
        model.add(longest >= have + 1).only_enforce_if(way)
        ways.append(way)
    model.add_bool_or(ways)


def _fewer_of_some(
    model: cp_model.CpModel,
    boards: Sequence[cp_model.IntVar],
    load: Load,
    than: Sequence[int],
) -> None:
    """Ask for fewer boards than ``than`` of some kind that costs money."""
    ways = []
    for board, cost, count in zip(boards, load.costs, than, strict=True):
        if cost and count:
            way = model.new_bool_var("")
            model.add(board <= count - 1).only_enforce_if(way)
            ways.append(way)
    model.add_bool_or(ways)


@dataclass(frozen=True, slots=True)
class Outcome:
    """The best packing found, if any, and the cost nothing undercuts (None: nothing packs).

    Attributes:
        bound: proved lower bound of the cost; None where it is proved that no purchase does.
    """

    packing: Packing | None
    bound: int | None
    stopped: bool = False


def cheapest_purchase(
    known: Purchases,
    mixture: Mixture,
    start: Packing | None,
    floor: int,
    ceiling: int | None,
    worth: Sequence[float],
    work: Work,
    most_guesses: int,
    seed: int,
    what: str,
    watch: Watch,
) -> Outcome:
    """Give the cheapest packing below ``ceiling`` and what is proved about cost.

    Args:
        known: cuts and purchases ruled out so far; grows on the way.
        mixture: unpriced, of the same load; grows on the way.
        start: the best packing known, if any.
        floor: a cost proved not to be undercut.
        ceiling: only cheaper packings are looked for; None: any.
        worth: of the parts, for quick packing.
        work: for each question whether some boards hold the parts.
        most_guesses: purchases tried at most.
        seed: of the generator.
        what: whose progress is reported.
        watch: hears of progress.
    """
    load = known.load
    random = Random(seed)
    best, top, bound = start, ceiling, floor
    proving = True
    for _ in range(most_guesses):
        if (top is not None and bound >= top) or len(known.set_aside) >= work.most_open:
            break
        if watch.stopped():
            return Outcome(best, bound, stopped=True)
        boards = known.guess(bound, top)
        if boards is Guess.NONE_LEFT:
            if proving:
                return Outcome(best, top)
            break
        if isinstance(boards, Guess):
            break
        if proving:
            bound = max(bound, load.cost(boards))
        answer = pack_into(mixture, boards, known.cuts, worth, work, random, watch)
        if isinstance(answer, Cut):
            known.cuts.append(answer)
        elif answer is Doubt.NO_PACKING:
            known.ruled_out.append(boards)
        elif isinstance(answer, Doubt):
            known.set_aside.append(boards)
            proving = False
        else:
            best, top = answer, cost_of(load, answer)
            for filled in answer:
                mixture.add(filled)
        watch.report(what, top if best is not None else None, bound)
    return Outcome(best, bound)


def boards_of(load: Load, packing: Packing) -> tuple[int, ...]:
    """Give the purchase of a packing: boards bought, and all boards that cost nothing."""
    taken = used(load, packing)
    return tuple(
        supply if cost == 0 else count
        for count, cost, supply in zip(taken, load.costs, load.supplies, strict=True)
    )
