"""The cheapest boards beside those with bad spans, with proof; and the longest clear leftover.

Purchases are guessed by what is proved so far, and packed or ruled out, as in
``boards_purchase``; the fills are those of ``measured_fills``.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from random import Random

from cutopt.model.layout import Blank
from cutopt.solve.boards_choice import Doubt
from cutopt.solve.boards_load import Filled, Packing, cost_of, exactly, used
from cutopt.solve.boards_mixture import Cut, cheapest_mixture, length_cut
from cutopt.solve.boards_purchase import Guess, Purchases
from cutopt.solve.measured_fills import places
from cutopt.solve.measured_load import MeasuredLoad, measure_load, with_leftover
from cutopt.solve.measured_pack import MeasuredMixture, Work, pack_measured
from cutopt.solve.measured_runs import side_by_side
from cutopt.solve.params import Answer, Item, Pattern, Problem, Search, Watch
from cutopt.units import Ticks

_WORK = (
    Work(2, 30, 1, 1_000, 0.1, 1, 20),
    Work(4, 200, 6, 8_000, 0.5, 6, 100),
    Work(8, 1_000, 6, 20_000, 10.0, 8, 500),
    Work(12, 3_000, 20, 60_000, 100.0, 30, 2_000),
)
_TIDY_WORK = (
    Work(2, 30, 0, 500, 0.02, 1, 4),
    Work(2, 100, 1, 2_000, 0.05, 2, 6),
    Work(4, 300, 2, 8_000, 1.0, 3, 12),
    Work(8, 1_000, 6, 20_000, 10.0, 6, 30),
)
_TIDY_PARTS = (0, 120, 300, 1_000)


@dataclass(frozen=True, slots=True)
class Found:
    """What a search gives.

    Attributes:
        answer: the cheapest plan found that is cheaper than the one known, or None.
        bound: no plan costs less.
    """

    answer: Answer | None
    bound: int


def search_boards(
    problem: Problem,
    kerf: int,
    known: Answer | None,
    search: Search,
    watch: Watch,
) -> Found:
    """Give a plan cheaper than the one known, and what is proved about cost.

    Args:
        problem: one material; items as wide as the stock.
        kerf: between neighbours.
        known: the best plan known, if any.
        search: how hard to try.
        watch: may stop the search.
    """
    if all(item.knots_ok for item in problem.items):
        # Bad spans do not matter, and boards of one length are all the same.
        sound = tuple(replace(kind, bad=()) for kind in problem.stock)
        problem = replace(problem, stock=sound)
    measured = measure_load(problem, kerf)
    ceiling = None if known is None else known.cost
    priced = MeasuredMixture(measured, priced=True)
    work = _WORK[search.effort]
    cut = cheapest_mixture(priced, ceiling, work.pricing_rounds, watch)
    cuts = [length_cut(measured.load), *([] if cut is None else [cut])]
    bound = max(one.least_cost(measured.load) for one in cuts)
    packing, bound = _cheapest(
        measured, cuts, priced.fills, bound, ceiling, work, search.seed, watch
    )
    answer = None if packing is None else _answer(problem, measured, packing)
    return Found(answer, bound)


def _cheapest(
    measured: MeasuredLoad,
    cuts: list[Cut],
    fills: Sequence[Filled],
    floor: int,
    ceiling: int | None,
    work: Work,
    seed: int,
    watch: Watch,
) -> tuple[Packing | None, int]:
    """Give the cheapest packing below ``ceiling``, and a cost no packing undercuts."""
    load, random = measured.load, Random(seed)
    known = Purchases(load, cuts)
    mixture = MeasuredMixture(measured, priced=False)
    for filled in fills:
        mixture.add(filled)
    best: Packing | None = None
    bound = floor
    for _ in range(work.most_guesses):
        if ceiling is not None and bound >= ceiling:
            break
        if watch.stopped() or len(known.set_aside) >= work.most_open:
            break
        boards = known.guess(bound, ceiling)
        if boards is Guess.NONE_LEFT:
            if not known.set_aside and ceiling is not None:
                bound = ceiling
            break
        if isinstance(boards, Guess):
            break
        if not known.set_aside:
            bound = max(bound, load.cost(boards))
        answer = pack_measured(mixture, boards, cuts, work, random)
        if isinstance(answer, Cut):
            cuts.append(answer)
        elif answer is Doubt.NO_PACKING:
            known.ruled_out.append(boards)
        elif isinstance(answer, Doubt):
            known.set_aside.append(boards)
        else:
            best, ceiling = answer, cost_of(load, answer)
    return best, bound


def lengthen_clear(
    problem: Problem, known: Answer, longest: int, search: Search, watch: Watch
) -> Answer | None:
    """Give a plan that costs no more and leaves more than ``longest`` ticks clear in one piece.

    The plan is asked to make one clear part more, ever longer, from the boards owned that it
    uses and others at the same cost. None where the work allowed finds none.
    """
    if sum(item.qty for item in problem.items) > _TIDY_PARTS[search.effort]:
        return None
    times = [pattern.stock for pattern in known.patterns]
    own = replace(
        problem,
        stock=tuple(
            kind if kind.cost else replace(kind, available=times.count(index))
            for index, kind in enumerate(problem.stock)
        ),
    )
    measured = measure_load(own, problem.kerf)
    unit = measured.load.unit
    low = (longest + problem.kerf) // unit
    high = max(measured.load.rooms) + 1
    work = _TIDY_WORK[search.effort]
    best: Answer | None = None
    open_questions = work.most_open
    while high - low > 1 and open_questions and not watch.stopped():
        middle = (low + high) // 2
        more = with_leftover(measured, middle)
        packing, bound = _cheapest(
            more, [length_cut(more.load)], (), known.cost, known.cost + 1, work, search.seed, watch
        )
        if packing is None:
            high = middle
            open_questions -= bound <= known.cost
        else:
            best = _answer(own, more, packing)
            low = middle
    return best


def _answer(problem: Problem, measured: MeasuredLoad, packing: Packing) -> Answer:
    """Give a packing with the problem's own items and stock."""
    packing = exactly(measured.load, packing)
    waiting = [
        [item for index in kind for item in [problem.items[index]] * problem.items[index].qty]
        for kind in measured.parts
    ]
    taken = used(measured.load, packing)
    turns = [
        [index for index in kind for _ in range(_least(problem.stock[index].available, count))]
        for kind, count in zip(measured.boards, taken, strict=True)
    ]
    patterns = []
    for filled in packing:
        blanks = _blanks(measured, filled, waiting)
        if blanks:
            patterns.append(Pattern(turns[filled.board].pop(0), side_by_side(blanks)))
    cost = sum(problem.stock[pattern.stock].cost for pattern in patterns)
    return Answer(tuple(sorted(patterns, key=lambda pattern: pattern.stock)), cost, 0)


def _least(available: int | None, count: int) -> int:
    return count if available is None else min(available, count)


def _blanks(measured: MeasuredLoad, filled: Filled, waiting: Sequence[list[Item]]) -> list[Blank]:
    """Give the parts of a fill from left to right, each where it may begin at the earliest."""
    if not measured.runs[filled.board]:
        items = [
            waiting[kind].pop(0)
            for kind, count in enumerate(filled.counts)
            for _ in range(count)
            if measured.parts[kind]
        ]
        return [Blank(item.part, item.length, item.width) for item in items]
    blanks: list[Blank] = []
    free = 0
    for kind, at in places(measured, filled.board, filled.counts):
        if measured.parts[kind]:
            item = waiting[kind].pop(0)
            start = at * measured.load.unit if at > free else 0
            blanks.append(Blank(item.part, item.length, item.width, start=Ticks(start)))
            free = at + measured.load.weights[kind]
    return blanks
