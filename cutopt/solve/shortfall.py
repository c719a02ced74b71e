"""What would do where the stock there is cannot give all parts, found by planning again.

Once with a saw that removes nothing, for what most often falls short: parts that fit the
stock on paper but not its saw cuts. Once with more stock than there is, for how much more
would do. What is called needed is proved; the rest is only what was found.
"""

from __future__ import annotations

from bisect import bisect_left
from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Protocol

from cutopt.errors import CannotPlanError, Fault
from cutopt.model.job import Kind
from cutopt.model.layout import Layout, blanks_of, least_size
from cutopt.solve.explain import fits, ways
from cutopt.solve.params import Answer, Item, Problem, StockType
from cutopt.units import SIXTY_FOURTH, TENTH, Ticks, Units, format_length

_MOST_TOLD = 3


class PlanAgain(Protocol):
    """Who plans a changed problem, with little effort."""

    def __call__(self, changed: Problem, origin: Sequence[int]) -> Answer:
        """Give an answer; ``origin`` tells which stock of the job each type stands for.

        Raises CannotPlanError where none is found.
        """


@dataclass(frozen=True, slots=True)
class _More:
    """A plan with more stock than there is.

    Attributes:
        counts: how many more of each stock type the plan takes.
        least: how many more pieces there must be at least, proved.
        left: copies of each part that come from what is not there.
    """

    counts: Mapping[int, int]
    least: int
    left: Mapping[str, int]


def explain_shortfall(
    problem: Problem,
    kind: Kind,
    known: Sequence[Fault],
    plan_again: PlanAgain,
    names: Mapping[str, str],
    units: Units,
) -> list[Fault]:
    """Give why a problem has no plan, with the parts it is about and what would do.

    Args:
        problem: one material, every part of which fits some stock alone.
        kind: of the material.
        known: what the engine said; it stands where nothing better is found.
        plan_again: plans what is asked for on the way.
        names: what to call each part; parts not in it go by their id.
        units: what lengths are printed in.
    """
    teller = _Teller(problem, kind, plan_again, names, units)
    more = teller.more(problem.items)
    return teller.short_by_the_kerf(more) or teller.stock_runs_out(more) or list(known)


@dataclass(frozen=True, slots=True)
class _Teller:
    """Tells of one problem."""

    problem: Problem
    kind: Kind
    plan_again: PlanAgain
    names: Mapping[str, str]
    units: Units

    # --- planning again ---

    def more(self, items: Sequence[Item]) -> _More | None:
        """Give a plan of some items on all there is and as little more as is found."""
        stock = self.problem.stock
        limited = [n for n, kind in enumerate(stock) if kind.available is not None]
        # More of what is bought can be had; only where nothing is, more of what is owned.
        wanted = [n for n in limited if stock[n].cost] or limited
        there = tuple(replace(kind, cost=0) for kind in stock)
        added = tuple(replace(stock[n], cost=1, available=None) for n in wanted)
        lifted = replace(self.problem, items=tuple(items), stock=there + added)
        lifted = replace(lifted, kerf_bound=lifted.kerf)
        try:
            answer = self.plan_again(lifted, (*range(len(stock)), *wanted))
        except CannotPlanError:
            return None
        beyond = [pattern for pattern in answer.patterns if pattern.stock >= len(stock)]
        left = Counter(blank.part for pattern in beyond for blank in blanks_of(pattern.layout))
        counts = Counter(wanted[pattern.stock - len(stock)] for pattern in beyond)
        return _More(dict(sorted(counts.items())), answer.lower_bound, left)

    # --- reasons ---

    def short_by_the_kerf(self, more: _More | None) -> list[Fault]:
        """Give a fault for each piece of stock that would do if the saw removed nothing."""
        problem = self.problem
        exact = replace(problem, kerf=Ticks(0), kerf_bound=Ticks(0))
        try:
            answer = self.plan_again(exact, range(len(problem.stock)))
        except CannotPlanError:
            return []
        short = [
            pattern
            for pattern in dict.fromkeys(answer.patterns)
            if not _holds(problem.stock[pattern.stock], pattern.layout, problem.kerf)
        ]
        faults = [
            self._short_of(problem.stock[pattern.stock], pattern.layout, more)
            for pattern in short[:_MOST_TOLD]
        ]
        if len(short) > _MOST_TOLD:
            others = f"{len(short) - _MOST_TOLD} more {self.kind}s are short the same way"
            faults.append(Fault(f"{problem.what}: {others}"))
        return faults

    def _short_of(self, stock: StockType, layout: Layout, more: _More | None) -> Fault:
        """Say how far a layout that fits without saw cuts is from fitting with them."""
        kerf = self.problem.kerf
        length, width = least_size(layout, kerf)
        side = " in length" if self.kind is Kind.SHEET else ""
        short = [
            f"{self._length(over)} short{where}"
            for over, where in ((length - stock.length, side), (width - stock.width, " in width"))
            if over > 0
        ]
        too_much = bisect_left(
            range(kerf), x=True, key=lambda removed: not _holds(stock, layout, removed)
        )
        copies = Counter(blank.part for blank in blanks_of(layout))
        smaller = self._equal_size(stock, layout)
        if not smaller:
            smaller = "make a part smaller by that much"
        else:
            smaller = f"{copies.total()} of {smaller} fit"
        return Fault(
            f"{self._listed(copies)} from {stock.name}: {' and '.join(short)};"
            f" {_only_if(too_much - 1, self.units)}",
            help=f"{smaller}, or {self._would_do(more) or 'add stock'}",
        )

    def _equal_size(self, stock: StockType, layout: Layout) -> str:
        """Give the size that as many equal parts may have, or "" where they are not equal."""
        blanks = blanks_of(layout)
        if len({(blank.length, blank.width) for blank in blanks}) > 1:
            return ""
        length, width = least_size(layout, 0)
        along, across = length // blanks[0].length, width // blanks[0].width
        if along * across != len(blanks):
            return ""
        kerf = self.problem.kerf
        longest = nearest_equal_length(stock.length, along, kerf, self.units)
        longest = min(blanks[0].length, longest)
        if across == 1 and self.kind is Kind.BOARD:
            return self._length(longest)
        widest = nearest_equal_length(stock.width, across, kerf, self.units)
        widest = min(blanks[0].width, widest)
        return f"{format_length(longest, self.units)} x {self._length(widest)}"

    def stock_runs_out(self, more: _More | None) -> list[Fault]:
        """Give the fault of stock that is too little, with the parts that show it."""
        if more is None or not more.counts:
            return []
        would_do = self._would_do(more)
        alone = self._one_from_each()
        if alone:
            return [Fault(f"{alone}", help=would_do)]
        if more.least:
            parts, least = self._fewest_short(more.least)
            return [Fault(f"{parts}: {self._needed(least, more)}", help=would_do)]
        left = self._listed(more.left)
        return [
            Fault(
                f"{self.problem.what}: no way was found to cut all parts from the stock available;"
                f" {left} {'is' if sum(more.left.values()) == 1 else 'are'} left over; that is no"
                " proof that there is none",
                help=f"{would_do}, or try harder with --effort",
            )
        ]

    def _one_from_each(self) -> str:
        """Say so where more parts than there are pieces of stock never share one, else ""."""
        large: list[Item] = []
        for item in sorted(self.problem.items, key=lambda item: -item.length * item.width):
            others = [*large, item] if item.qty > 1 else large
            if not any(self._share_a_piece(item, other) for other in others):
                large.append(item)
        holders = [
            kind
            for kind in self.problem.stock
            if any(fits(way, kind) for item in large for way in ways(item, kind))
        ]
        needed = sum(item.qty for item in large)
        there = sum(needed if kind.available is None else kind.available for kind in holders)
        if needed <= there:
            return ""
        parts = self._listed({item.part: item.qty for item in large})
        return (
            f"{parts} from {self.problem.what}: each {self.kind} holds one of these:"
            f" {_counted(needed, self.kind)} are needed, {_are(there)} there"
        )

    def _share_a_piece(self, one: Item, other: Item) -> bool:
        """Say whether two parts come from one piece of stock side by side."""
        kerf = self.problem.kerf
        return any(
            (
                first.length + kerf + second.length <= kind.length
                and max(first.width, second.width) <= kind.width
            )
            or (
                first.width + kerf + second.width <= kind.width
                and max(first.length, second.length) <= kind.length
            )
            for kind in self.problem.stock
            if kind.available != 0
            for first in ways(one, kind)
            for second in ways(other, kind)
        )

    def _fewest_short(self, least: int) -> tuple[str, int]:
        """Give the fewest of the largest parts that alone prove the stock too little.

        Named, with how many more pieces they need at least.
        """
        items = sorted(self.problem.items, key=lambda item: -item.length * item.width)
        proved = {len(items): least}
        low, high = 1, len(items)
        while low < high:
            middle = (low + high) // 2
            more = self.more(items[:middle])
            if more is not None and more.least:
                high = middle
                proved[middle] = more.least
            else:
                low = middle + 1
        parts = {item.part: item.qty for item in items[:high]}
        return f"{self._listed(parts)} from {self.problem.what}", proved[high]

    # --- words ---

    def _needed(self, least: int, more: _More) -> str:
        """Say how many pieces are proved to be needed, and how many there are."""
        stock = self.problem.stock
        if len(stock) == 1:
            there = stock[0].available or 0
            total = there + least
            return f"{_counted(total, self.kind)} {_be(total)} needed, {_are(there)} there"
        of = f" of {stock[next(iter(more.counts))].name}" if len(more.counts) == 1 else ""
        return f"the stock runs out: {_counted(least, f'more {self.kind}')}{of} {_be(least)} needed"

    def _would_do(self, more: _More | None) -> str:
        """Say how much more stock would do, or "" where that is not known."""
        if more is None or not more.counts:
            return ""
        words = [
            f"{count} more {self.problem.stock[number].name}"
            for number, count in more.counts.items()
        ]
        return f"{' and '.join(words)} would do"

    def _listed(self, counts: Mapping[str, int]) -> str:
        """Give counts and names of parts, largest parts first; past a few they are counted."""
        size = {item.part: item.length * item.width for item in self.problem.items}
        parts = sorted(counts, key=lambda part: -size[part])
        words = [f"{counts[part]} {self.names.get(part, part)}" for part in parts]
        most = _MOST_TOLD + 1
        if len(words) > most:
            others = sum(counts[part] for part in parts[_MOST_TOLD:])
            words[_MOST_TOLD:] = [f"{others} smaller ones"]
        return " + ".join(words)

    def _length(self, ticks: int) -> str:
        return format_length(ticks, self.units, unit_mark=True)


def _holds(stock: StockType, layout: Layout, kerf: int) -> bool:
    length, width = least_size(layout, kerf)
    return length <= stock.length and width <= stock.width


def _only_if(removed: int, units: Units) -> str:
    """Say how little a saw must remove per cut for all to fit."""
    step = SIXTY_FOURTH if units is Units.INCH else TENTH
    if removed < step:
        return "fits only if the saw removes nothing"
    least = format_length(removed // step * step, units, unit_mark=True)
    return f"fits only if the saw removes no more than {least} a cut"


def nearest_equal_length(length: int, pieces: int, kerf: int, units: Units) -> int:
    """Give the longest length (ticks, whole 1/64 in or 0.1 mm) that a board yields so often."""
    step = SIXTY_FOURTH if units is Units.INCH else TENTH
    return (length - (pieces - 1) * kerf) // pieces // step * step


def _be(count: int) -> str:
    return "is" if count == 1 else "are"


def _are(count: int) -> str:
    return f"{count} {_be(count)}"


def _counted(count: int, thing: str) -> str:
    return f"{count} {thing}" if count == 1 else f"{count} {thing}s"
