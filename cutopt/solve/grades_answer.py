"""The answer to a question of grades: what to buy for each chance, and what trips back cost."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from cutopt.errors import CannotPlanError
from cutopt.model.plan import Measure
from cutopt.solve.boards import plan_boards
from cutopt.solve.grades import MOST_BOARDS, SCENARIOS, Alone, Chances, Mix
from cutopt.solve.grades_question import Question
from cutopt.solve.params import Item, Problem, Search, StockType, Unwatched
from cutopt.units import Ticks

LEVELS = (0.90, 0.95, 0.99)
USUAL = 0.95
MOST_A_TRIP = 4
"""Boards bought at most on each further trip."""


@dataclass(frozen=True, slots=True)
class Returning:
    """Buying few boards at first, and going back for more where they do not do.

    Attributes:
        counts: boards of each offer bought at first.
        more: the offer that is bought on further trips, ``each_trip`` boards every time.
        cost: of all together on average, trips included, cents.
        trips: further trips on average.
        again: chance of going back at all.
    """

    counts: tuple[int, ...]
    more: int
    each_trip: int
    cost: float
    trips: float
    again: float


@dataclass(frozen=True, slots=True)
class GradeAnswer:
    """What is known of a question of grades.

    Attributes:
        chances: asked for, rising; ``usual`` is the one that all else is said for.
        alone: of each grade the row of boards that alone costs least.
        mixes: cheapest purchase found for each chance; None where none does.
        floors: for each chance a cost under which no purchase gives it, with 95 % confidence
            within the model; that of the purchase found where none cheaper does.
        clean: cheapest purchase of boards with nothing wrong, its counts and cost; None where
            such boards are not on offer or do not suffice.
        unspared: cheapest purchase if every board were clear: what a plan without spares buys.
        twice: cheapest purchase found for the usual chance if boards were twice as bad.
        twice_out: scenarios in which the usual purchase does if boards are twice as bad.
        returning: the first purchase that costs least on average with trips back; None where
            the price of a trip or of boards is not known, or nothing is uncertain.
    """

    question: Question
    chances: tuple[float, ...]
    usual: float
    alone: tuple[Alone, ...]
    mixes: tuple[Mix | None, ...]
    floors: tuple[int | None, ...]
    clean: tuple[tuple[int, ...], int] | None
    unspared: tuple[tuple[int, ...], int] | None
    twice: Mix | None
    twice_out: int
    returning: Returning | None

    @property
    def usual_mix(self) -> Mix | None:
        """The cheapest purchase found for the usual chance."""
        return self.mixes[self.chances.index(self.usual)]


def answer(question: Question, usual: float = USUAL, trip_cents: int | None = None) -> GradeAnswer:
    """Give the answer to a question of grades.

    Args:
        question: one material.
        usual: the chance all else is said for.
        trip_cents: what going back to the store costs; None where nobody knows.
    """
    chances = tuple(sorted({*LEVELS, usual}))
    weigher = Chances(question)
    alone = _alone(weigher, usual)
    unspared, clean = _as_if_clear(question), _as_if_clear(question, only_clean=True)
    mixes = _mixes(weigher, alone, chances, (unspared, clean))
    floors = tuple(weigher.floors(chances, mixes))
    mix = mixes[chances.index(usual)]
    twice, twice_out = mix, 0 if mix is None else mix.out
    if question.uncertain and mix is not None:
        worse = Chances(question.twice_as_bad())
        twice_out = worse.weigh(mix.counts).out
        twice = _mixes(worse, _alone(worse, usual), (usual,), (clean,))[0]
    returning = None
    if trip_cents is not None and question.measure is Measure.PRICE and mix is not None:
        returning = _returning(weigher, mix, alone, trip_cents)
    return GradeAnswer(
        question, chances, usual, alone, mixes, floors, clean, unspared, twice, twice_out, returning
    )


def _alone(weigher: Chances, usual: float) -> tuple[Alone, ...]:
    """Give of each grade the offer that alone costs least."""
    offers = weigher.question.offers
    found = []
    for grade in weigher.question.grades:
        among = [index for index, offer in enumerate(offers) if offer.stock.grade == grade]
        best = weigher.likely_best(among, usual)
        alone = None if best is None else weigher.alone(best)
        if alone is not None:
            found.append(alone)
    return tuple(found)


def _mixes(
    weigher: Chances,
    alone: Sequence[Alone],
    chances: Sequence[float],
    others: Sequence[tuple[tuple[int, ...], int] | None],
) -> tuple[Mix | None, ...]:
    """Give the cheapest purchase found for each chance; a surer one is a start for the others."""
    size = len(weigher.question.offers)
    known = [weigher.weigh(found[0]) for found in others if found is not None]
    mixes: list[Mix | None] = []
    for share in sorted(chances, reverse=True):
        starts = list(known)
        for one in alone:
            count = one.boards(share)
            if count is not None:
                counts = tuple(count if index == one.offer else 0 for index in range(size))
                starts.append(Mix(counts, count * one.cost_each, one.out[count], 0))
        found = weigher.cheapest(share, range(size), starts)
        mixes.append(found)
        if found is not None:
            known.append(found)
    return tuple(reversed(mixes))


def _as_if_clear(
    question: Question, *, only_clean: bool = False
) -> tuple[tuple[int, ...], int] | None:
    """Give the cheapest purchase that does if no board had anything wrong, and its cost."""
    offers = [
        index for index, offer in enumerate(question.offers) if offer.grade.clean or not only_clean
    ]
    if not offers:
        return None
    stock = [
        StockType(
            question.offers[index].stock.name,
            Ticks(question.offers[index].stock.length - 2 * question.offers[index].stock.trim),
            Ticks(1),
            question.offers[index].cost,
            question.offers[index].stock.available,
        )
        for index in offers
    ]
    stock += [
        StockType(f"own {number}", Ticks(stop - start), Ticks(1), 0, 1)
        for number, (start, stop, _) in enumerate(question.owned)
    ]
    lengths = (*question.clear, *question.loose)
    items = tuple(
        Item(str(length), Ticks(length), Ticks(1), lengths.count(length))
        for length in dict.fromkeys(lengths)
    )
    problem = Problem("boards", items, tuple(stock), Ticks(question.kerf), Ticks(question.kerf))
    try:
        plan = plan_boards(problem, Search(effort=1, second_goals=False), Unwatched())
    except CannotPlanError:
        return None
    counts = [0] * len(question.offers)
    for pattern in plan.patterns:
        if pattern.stock < len(offers):
            counts[offers[pattern.stock]] += 1
    return tuple(counts), plan.cost


def _returning(
    weigher: Chances, mix: Mix, alone: Sequence[Alone], trip_cents: int
) -> Returning | None:
    """Give the first purchase that costs least on average, boards of one row bought later."""
    offers = weigher.question.offers
    counted = {
        (one.offer, (0,) * len(offers)): one.needed()
        for one in alone
        if not offers[one.offer].grade.clean
    }
    for more, count in enumerate(mix.counts):
        beside = tuple(0 if index == more else n for index, n in enumerate(mix.counts))
        if count and not offers[more].grade.clean and (more, beside) not in counted:
            counted[more, beside] = weigher.needed(beside, more)
    found = [
        _along(weigher.question, beside, more, needed, trip_cents)
        for (more, beside), needed in counted.items()
    ]
    return min((back for back in found if back is not None), key=lambda b: b.cost, default=None)


def _along(
    question: Question, beside: Sequence[int], more: int, needed: Sequence[int], trip_cents: int
) -> Returning | None:
    """Give the best first purchase of one row beside other boards, and what to add on a trip."""
    fewest, most = min(needed), max(needed)
    if most > MOST_BOARDS:
        return None
    each = question.offers[more].cost
    base = question.cost(beside)
    best: Returning | None = None
    for first in range(fewest, most + 1):
        for each_trip in range(1, MOST_A_TRIP + 1):
            trips = sum(-(-max(0, count - first) // each_trip) for count in needed) / SCENARIOS
            cost = base + first * each + trips * (trip_cents + each_trip * each)
            if best is None or cost < best.cost:
                bought = tuple(
                    first if index == more else count for index, count in enumerate(beside)
                )
                again = sum(count > first for count in needed) / SCENARIOS
                best = Returning(bought, more, each_trip, cost, trips, again)
    return best
