"""How many boards of which grade give all parts with a wanted chance, at least cost.

Boards are drawn at random by the model of their grade: the same boards for every purchase that
is weighed (common random numbers), so one more board never hurts. A few hundred scenarios sort
out purchases that cannot do, two thousand fresh ones decide, by the lower confidence limit of
their share. Where the work allowed does not show that the parts come out of a scenario's boards,
they count as not coming out: what is promised is on the safe side of the model.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from cutopt.solve.chances import hopeless_misses, most_misses, too_many_misses
from cutopt.solve.grades_bound import Floor, Worths
from cutopt.solve.grades_question import Boards, Question
from cutopt.solve.kernel.clear_runs import clear_lengths
from cutopt.solve.kernel.rough_boards import boards_needed, count_out

SCENARIOS = 2000
COARSE = 200
MOST_BOARDS = 200
"""Of one row; a purchase of more is not looked for."""
_FILLS, _NODES = 6, 200
_MOST_STARTS = 2000
_MOST_DESCENTS = 3
_MOST_WORK = 4_000_000
"""For one chance, parts times boards of each scenario tried: some tenths of a second."""
_LOOK_WORK = 2000
"""What a look at the worth of boards comes to beside the tries."""
_BOUND_WORK = 2_500_000
"""For one bound, as ``_MOST_WORK``."""
_COARSE_SEED, _FRESH_SEED = 11, 12


@dataclass(frozen=True, slots=True)
class Mix:
    """A purchase and how sure it is.

    Attributes:
        counts: boards of each offer.
        cost: in the measure's unit.
        out: scenarios of ``SCENARIOS`` in which all parts come out.
        doubtful: of the others, those in which that is not known.
    """

    counts: tuple[int, ...]
    cost: int
    out: int
    doubtful: int

    @property
    def chance(self) -> float:
        """Share of the scenarios in which all parts come out."""
        return self.out / SCENARIOS

    @property
    def boards(self) -> int:
        """How many boards it is."""
        return sum(self.counts)


@dataclass(frozen=True, slots=True)
class Alone:
    """Boards of one offer and no others.

    Attributes:
        out: for 0, 1, 2 ... boards: scenarios of ``SCENARIOS`` in which all parts come out.
    """

    offer: int
    cost_each: int
    out: tuple[int, ...]

    def needed(self) -> list[int]:
        """Give how many boards it takes in each scenario, the fewest first."""
        counts: list[int] = []
        for count, out in enumerate(self.out):
            counts += [count] * (out - len(counts))
        return counts + [MOST_BOARDS + 1] * (SCENARIOS - len(counts))

    def boards(self, share: float) -> int | None:
        """Give how few boards give all parts with a chance, by the lower limit."""
        wanted = SCENARIOS - most_misses(share, SCENARIOS)
        return next((count for count, out in enumerate(self.out) if out >= wanted), None)


class Chances:
    """Weighs purchases of one question; the same question gives the same answers anywhere."""

    def __init__(self, question: Question, seed: int = 0) -> None:
        """Take the question; another seed draws other boards."""
        self.question = question
        self.seed = 1000 * seed
        self.boards = Boards(question)
        self._work = 0
        self._fresh: dict[tuple[int, ...], Mix] = {}
        self._worths: Worths | None = None
        self._shorts: dict[tuple[int, ...], int] = {}
        lightest = min((*question.clear, *question.loose), default=0) + question.kerf
        self._need = int(self.boards.weights.sum())
        self._lengths = [
            float(clear_lengths(
                self.seed + _COARSE_SEED, COARSE, self.boards.rows, self.boards.odds,
                row, 1, lightest, question.kerf,
            )[:, 1].mean())
            for row in range(len(question.offers))
        ]  # fmt: skip
        self._owned = sum(stop - start + question.kerf for start, stop, _ in question.owned)

    def weigh(self, counts: Sequence[int]) -> Mix:
        """Give a purchase with its chance over all fresh scenarios."""
        key = tuple(counts)
        if key not in self._fresh:
            out, doubtful = self._count(key, _FRESH_SEED, SCENARIOS, SCENARIOS)
            self._fresh[key] = Mix(key, self.question.cost(key), out, doubtful)
        return self._fresh[key]

    def passes(self, counts: Sequence[int], share: float) -> bool:
        """Say whether a purchase gives all parts with that chance, by the lower limit."""
        key = tuple(counts)
        misses = most_misses(share, SCENARIOS)
        if key in self._fresh:
            return SCENARIOS - self._fresh[key].out <= misses
        if self._worths is not None:
            self._work -= _LOOK_WORK
            if self._worths.misses(key) > misses:
                return False
        allowed = hopeless_misses(share, COARSE)
        out, _ = self._count(key, _COARSE_SEED, COARSE, allowed)
        if out < COARSE - allowed:
            return False
        out, doubtful = self._count(key, _FRESH_SEED, SCENARIOS, misses)
        if out < SCENARIOS - misses:
            return False
        self._fresh[key] = Mix(key, self.question.cost(key), out, doubtful)
        return True

    def _count(self, counts: tuple[int, ...], seed: int, of: int, misses: int) -> tuple[int, int]:
        """Give how often all parts come out and how often that is not known."""
        out, doubtful, tried = self._scenarios(counts, seed, of, misses)
        self._work -= tried * self.question.parts * (1 + sum(counts))
        return out, doubtful

    def _scenarios(
        self, counts: tuple[int, ...], seed: int, of: int, most_short: int
    ) -> tuple[int, int, int]:
        """Give in how many scenarios all come out, in how many that is open, and of how many."""
        b = self.boards
        out, doubtful, tried = count_out(
            self.seed + seed, of, most_short, b.rows, b.odds, np.array(counts, np.int64), b.first,
            b.weights, b.rest, b.kerf, _FILLS, _NODES,
        )  # fmt: skip
        return int(out), int(doubtful), int(tried)

    def needed(self, counts: Sequence[int], more: int, of: int = SCENARIOS) -> list[int]:
        """Give for each scenario how many boards of one offer it takes beside the others.

        ``MOST_BOARDS + 1`` where that many do not do, or all there are.

        Args:
            counts: boards bought of each offer.
            more: the offer asked for.
            of: how many scenarios, fresh ones where they are ``SCENARIOS``.
        """
        b = self.boards
        seed = _FRESH_SEED if of == SCENARIOS else _COARSE_SEED
        available = self.question.offers[more].stock.available
        most = MOST_BOARDS if available is None else min(available, MOST_BOARDS)
        bought = np.array(counts, np.int64)
        mean = self._lengths[more]
        bought[more] = min(most, int((self._need - self._owned) / mean)) if mean else 0
        found = boards_needed(
            self.seed + seed, of, b.rows, b.odds, bought, more, most, b.first,
            b.weights, b.rest, b.kerf, _FILLS, _NODES,
        )  # fmt: skip
        return [MOST_BOARDS + 1 if count > most else int(count) for count in found]

    def alone(self, offer: int) -> Alone | None:
        """Give how sure all parts come out of any number of boards of one offer and no others.

        None where even the most there may be are never enough.
        """
        counts = (0,) * len(self.question.offers)
        certain = self.question.offers[offer].grade.clean
        needed = self.needed(counts, offer, of=1 if certain else SCENARIOS)
        if certain:
            needed *= SCENARIOS
        out = [0] * (MOST_BOARDS + 1)
        for count in needed:
            if count <= MOST_BOARDS:
                out[count] += 1
        for count in range(1, MOST_BOARDS + 1):
            out[count] += out[count - 1]
        return Alone(offer, self.question.offers[offer].cost, tuple(out)) if out[-1] else None

    def likely_best(self, among: Sequence[int], share: float) -> int | None:
        """Give the offer of which boards alone cost least for a chance, judged coarsely."""
        best: tuple[int, int] | None = None
        for offer in among:
            if not self._lengths[offer]:
                continue
            needed = sorted(self.needed((0,) * len(self.question.offers), offer, of=COARSE))
            count = needed[min(COARSE - 1, int(share * COARSE))]
            cost = count * self.question.offers[offer].cost
            if count <= MOST_BOARDS and (best is None or cost < best[0]):
                best = cost, offer
        return None if best is None else best[1]

    def cheapest(self, share: float, among: Sequence[int], known: Sequence[Mix]) -> Mix | None:
        """Give the cheapest purchase found that gives all parts with a chance.

        Args:
            share: the chance.
            among: offers that may be bought.
            known: purchases to start from.
        """
        in_turn = sorted({(mix.cost, mix.counts) for mix in known})
        starts = [counts for _, counts in in_turn if self.passes(counts, share)][:_MOST_DESCENTS]
        if not starts:
            return None
        if self._worths is None:
            limit = min(map(self._cost, starts))
            seed = self.seed + _FRESH_SEED
            self._worths = Worths(self.question, self.boards, seed, SCENARIOS, limit)
        found = []
        for counts in starts:
            self._work = _MOST_WORK // 2
            found.append(self._descend(counts, share, among))
        best = min(found, key=lambda counts: (self._cost(counts), counts))
        self._work = _MOST_WORK // 2
        return self.weigh(self._below(best, share, among))

    def floors(self, shares: Sequence[float], mixes: Sequence[Mix | None]) -> list[int | None]:
        """Give for each chance a cost under which no purchase gives it, with 95 % confidence.

        Args:
            shares: the chances, rising.
            mixes: the cheapest purchases found for them; None has no bound.
        """
        found = [mix for mix in mixes if mix is not None]
        if not found or self._worths is None:
            return [None] * len(shares)
        probes = [_one_fewer(mix.counts, row) for mix in found for row in range(len(mix.counts))]
        floor = Floor(self._worths, [probe for probe in probes if min(probe) >= 0])
        floors: list[int | None] = []
        least = 0
        for share, mix in zip(shares, mixes, strict=True):
            self._work = _BOUND_WORK
            if mix is not None:  # what gives a greater chance gives a smaller one too
                least = max(least, floor.least(share, mix.cost, self._short))
            floors.append(None if mix is None else least)
        return floors

    def _short(self, counts: tuple[int, ...], share: float) -> bool:
        """Say whether a purchase does not give a chance, with 95 % confidence."""
        if counts not in self._shorts:
            if self._work <= 0:
                return False
            out, doubtful, tried = self._scenarios(counts, _FRESH_SEED, SCENARIOS, SCENARIOS)
            # What is not known has taken all tries allowed, what is known a few.
            scenarios = SCENARIOS // 8 + doubtful
            self._work -= scenarios * self.question.parts * (1 + sum(counts))
            self._shorts[counts] = tried - out - doubtful
        return self._shorts[counts] >= too_many_misses(share, SCENARIOS)

    def _cost(self, counts: Sequence[int]) -> int:
        return self.question.cost(counts)

    def _descend(
        self, best: tuple[int, ...], share: float, among: Sequence[int]
    ) -> tuple[int, ...]:
        """Swap boards for cheaper ones until no swap of a few helps."""
        while True:
            cost, better = self._cost(best), None
            trials = sorted(
                {
                    trial: self._cost(trial)
                    for trial in _swaps(best, among)
                    if self._cost(trial) < cost and self._enough(trial) and self._is_there(trial)
                }.items(),
                key=lambda found: (found[1], found[0]),
            )
            for trial, _ in trials:
                if self._work <= 0:
                    return best
                if self.passes(trial, share):
                    better = trial
                    break
            if better is None:
                return best
            best = better

    def _is_there(self, counts: Sequence[int]) -> bool:
        offers = self.question.offers
        return all(
            offer.stock.available is None or count <= offer.stock.available
            for count, offer in zip(counts, offers, strict=True)
        )

    def _enough(self, counts: Sequence[int]) -> bool:
        """Say whether boards are clear over enough length, on average."""
        length = sum(count * mean for count, mean in zip(counts, self._lengths, strict=True))
        return self._owned + length >= self._need

    def _below(self, best: tuple[int, ...], share: float, among: Sequence[int]) -> tuple[int, ...]:
        """Try purchases that cost less than the best, as far as the work allowed goes."""
        offers = self.question.offers
        order = sorted(
            (index for index in among if self._lengths[index] > 0),
            key=lambda index: (-offers[index].cost / self._lengths[index], index),
        )
        if len(order) < 2:
            return best
        last = order[-1]
        starts = _MOST_STARTS
        waiting: list[tuple[tuple[int, ...], int]] = [((0,) * len(offers), 0)]
        while waiting and starts and self._work > 0:
            counts, place = waiting.pop()
            cost, limit = self._cost(counts), self._cost(best) - 1
            if cost > limit:
                continue
            if place + 1 < len(order):
                offer = offers[order[place]]
                most = (limit - cost) // offer.cost
                if offer.stock.available is not None:
                    most = min(most, offer.stock.available)
                for count in range(int(most), -1, -1):
                    trial = list(counts)
                    trial[order[place]] = count
                    waiting.append((tuple(trial), place + 1))
                continue
            starts -= 1
            most = (limit - cost) // offers[last].cost
            available = offers[last].stock.available
            count = int(most if available is None else min(most, available))
            while count >= 0:
                trial = list(counts)
                trial[last] = count
                if not self._enough(trial):
                    break
                if self._work <= 0 or not self.passes(trial, share):
                    break
                best = tuple(trial)
                count -= 1
        return best


def _swaps(counts: tuple[int, ...], among: Sequence[int]) -> list[tuple[int, ...]]:
    """Give purchases with one or two boards of one offer fewer and up to three others instead."""
    found = []
    for gone in among:
        for fewer in range(1, min(3, counts[gone]) + 1):
            base = list(counts)
            base[gone] -= fewer
            found.append(tuple(base))
            for come in among:
                for more in range(1, 4):
                    if come != gone:
                        trial = list(base)
                        trial[come] += more
                        found.append(tuple(trial))
    return found


def _one_fewer(counts: tuple[int, ...], row: int) -> tuple[int, ...]:
    return (*counts[:row], counts[row] - 1, *counts[row + 1 :])
