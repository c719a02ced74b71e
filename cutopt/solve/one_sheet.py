"""The parts worth most that one sheet can give, each at most so many times.

A sheet is worth no more than it would be if there were any number of each part; where the
best of that needs no more parts than there are, it is the answer. Else all sets of parts one
sheet can give are listed, or, where those are too many, the search for patterns at given
prices is run again and again, always for more than the best so far.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

import numpy as np

from cutopt.solve.exact_pricing import UnlimitedFills
from cutopt.solve.params import Pattern, Problem, Search, Watch
from cutopt.solve.part_sets import PartSets, list_part_sets
from cutopt.solve.sheets_kernel import Kernel, Taste
from cutopt.solve.sheets_sizes import Sizes, patterns_of, sizes_of
from cutopt.solve.slicing import Block, parts_in


@dataclass(frozen=True, slots=True)
class _Work:
    """Work allowed: sizes to look at each way, sets and splits to list, looks of the search."""

    points: int
    sets: int
    splits: int
    looks: int


_EFFORTS = (
    _Work(200, 20_000, 400_000, 20_000_000),
    _Work(500, 300_000, 30_000_000, 1_000_000_000),
    _Work(1_000, 1_000_000, 200_000_000, 5_000_000_000),
    _Work(2_000, 2_000_000, 1_000_000_000, 50_000_000_000),
)
_TASTES = (Taste(), Taste(taken=8.0), Taste(noise=0.1, taken=6.0), Taste(noise=0.02, taken=3.0))
_FIRST_ROUNDS, _MOST_ROUNDS = 500, 64_000


@dataclass(frozen=True, slots=True)
class ValuableSheet:
    """What one sheet gives.

    Attributes:
        value: of all parts on it.
        bound: no sheet is worth more.
        pattern: how it is cut; None where nothing on it is worth anything.
    """

    value: int
    bound: int
    pattern: Pattern | None


def most_valuable_sheet(
    problem: Problem, values: Sequence[int], search: Search, watch: Watch
) -> ValuableSheet:
    """Give the most valuable way found to cut one sheet, and a bound on its value.

    Args:
        problem: one material with one type of stock; items are made at most ``qty`` times.
        values: of one part of each item, whole and not negative.
        search: how hard to try.
        watch: may stop the search.

    Raises:
        ValueError: there is not one type of stock, or not a value for each item.
    """
    if len(problem.stock) != 1 or len(values) != len(problem.items):
        raise ValueError("one type of stock and a value for each item are needed")
    # Of items of one size the most valuable are made first.
    order = sorted(range(len(values)), key=lambda n: -values[n])
    ranked = replace(problem, items=tuple(problem.items[n] for n in order))
    sizes = sizes_of(ranked, problem.kerf)
    if not any(sizes.lays[0]):
        return ValuableSheet(0, 0, None)
    looking = _Looking(sizes, [values[n] for n in order], _EFFORTS[search.effort], watch.stopped)
    looking.look(search.seed)
    if looking.best is None:
        return ValuableSheet(0, looking.bound, None)
    (pattern,) = patterns_of(ranked, sizes, [(0, looking.best)])
    return ValuableSheet(looking.value, looking.bound, pattern)


class _Looking:
    """One run: the most valuable block so far, and the least bound so far."""

    def __init__(
        self, sizes: Sizes, values: Sequence[int], work: _Work, stopped: Callable[[], bool]
    ) -> None:
        self.sizes = sizes
        self.work = work
        self.stopped = stopped
        self.best: Block | None = None
        self.value = 0
        # What the copies of each kind are worth, in the order they are made.
        self.copies = [
            [values[item] for item, qty, _ in kind.sources for _ in range(qty)]
            for kind in sizes.kinds
        ]
        self.bound = sum(
            sum(copies) for copies, lays in zip(self.copies, sizes.lays[0], strict=True) if lays
        )
        self.worths = np.array([copies[0] for copies in self.copies], np.int64)

    def look(self, seed: int) -> None:
        """Look until the best is proved or the work is done."""
        self._look_among_any_number()
        if self.value < self.bound and not self.stopped():
            self._search(seed, self.work.looks // 10)
        if self.value < self.bound and not self.stopped():
            self._list_sets()
        if self.value < self.bound and not self.stopped():
            self._search(seed + 1, self.work.looks)

    def _take(self, block: Block) -> None:
        made = [0] * len(self.copies)
        for part in parts_in(block):
            made[part.kind] += 1
        if any(many > len(copies) for many, copies in zip(made, self.copies, strict=True)):
            return
        value = sum(sum(copies[:many]) for many, copies in zip(made, self.copies, strict=True))
        if value > self.value:
            self.best, self.value = block, value

    def _look_among_any_number(self) -> None:
        """Bound the value by what any number of parts would give; take that if it can be made."""
        fills = UnlimitedFills(self.sizes, self.work.points)
        (most,) = fills.reach(self.worths)
        self.bound = min(self.bound, most)
        block = fills.lay(0)
        if block is not None:
            self._take(block)

    def _list_sets(self) -> None:
        """Take the most valuable of all sets, if they can be listed."""
        counts = tuple(
            len(copies) if copies[0] and lays else 0
            for copies, lays in zip(self.copies, self.sizes.lays[0], strict=True)
        )
        listed, _ = list_part_sets(
            self.sizes, (0,), counts, self.work.sets, self.work.splits, self.stopped
        )
        if listed is None:
            return
        one = self._most_valuable(listed)
        sheet = self.sizes.types[0]
        self._take(listed.lay(one, sheet.length, sheet.width, self.sizes))
        self.bound = self.value

    def _most_valuable(self, listed: PartSets) -> int:
        """Give the most valuable set of a list."""
        alike = all(copies[0] == copies[-1] for copies in self.copies)
        if alike:
            return int(listed.weights(self.worths).argmax())
        return max(
            range(1, len(listed)),
            key=lambda one: sum(
                sum(self.copies[kind][:many]) for kind, many in listed.counts_of(one).items()
            ),
        )

    def _search(self, seed: int, looks: int) -> None:
        """Search for more than the best so far, ever longer, from the start each time."""
        kernel = Kernel(self.sizes, seed, self.stopped)
        rounds, turn = _FIRST_ROUNDS, 0
        worths = self.worths.astype(np.float64)
        while self.value < self.bound and kernel.work < looks and not self.stopped():
            price = np.array([self.value], np.float64)
            taste = _TASTES[turn % len(_TASTES)]
            kernel.price_patterns(0, price, worths, rounds, taste)
            for number in range(int(kernel.pool.counts[0])):
                self._take(kernel.block(kernel.pattern(number), 0))
            kernel.keep_patterns(np.arange(0))
            turn += 1
            rounds = min(2 * rounds, _MOST_ROUNDS)
