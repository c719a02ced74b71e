"""Sheets cut alike: the same parts on two sheets get one layout, and a batch is planned as one.

Sheets cut alike are drawn once, share every setting of a saw and can be cut in a stack. Nothing
here costs more; what else comes first (the largest leftover) is never worse for it.
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Callable, Hashable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

from cutopt.errors import CannotPlanError
from cutopt.model.job import Favour, Grain
from cutopt.model.layout import Blank, Direction, Layout, Split, blanks_of, least_size
from cutopt.solve.params import Answer, Item, Pattern, Problem

Kind = tuple[int, int, bool]
"""A size of part: along the grain, across it, whether the grain binds it."""


LEAST_REPEATS = 2
"""Sheets alike that are worth planning the others again for."""
MOST_TRIED = 2
"""Sheets tried to be cut over and over."""


@dataclass(frozen=True, slots=True)
class Worth:
    """What a plan is worth: the less of each, the better.

    Attributes:
        cost: of its sheets.
        lost: area of the largest leftover, negative, square ticks.
        settings: distinct measures between cuts.
        cuts: all of them.
    """

    cost: int
    lost: int
    settings: int
    cuts: int

    def key(self, favour: Favour) -> tuple[int, ...]:
        """Give what two ways are compared by."""
        if favour is Favour.WORK:
            return self.cost, self.settings, self.cuts, self.lost
        return self.cost, self.lost, self.settings, self.cuts


def alike(
    problem: Problem,
    answer: Answer,
    plan_again: Callable[[Problem], Answer],
    groups: Mapping[str, str],
) -> Answer:
    """Give the answer with as many sheets cut alike as can be had without giving anything up.

    Args:
        problem: that was planned.
        answer: to it.
        plan_again: plans a smaller problem: one of several equal batches.
        groups: sub-assembly of each part, so that its parts stay on one sheet.
    """
    best = _with_one_layout(problem, answer.patterns)
    for found in (
        _batched(problem, answer, plan_again),
        *_repeated(problem, answer.patterns, plan_again),
    ):
        better = found and _with_one_layout(problem, found)
        if better and _key(problem, better) < _key(problem, best):
            best = better
    return replace(answer, patterns=_dealt(problem, best, groups), cost=_worth(problem, best).cost)


def _key(problem: Problem, patterns: Sequence[Pattern]) -> tuple[int, ...]:
    return _worth(problem, patterns).key(problem.favour)


def _kind_of(item: Item) -> tuple[Kind, bool]:
    """Give the size of an item, and whether its length lies across that size's first side."""
    bound = item.grain in (Grain.LENGTH, Grain.WIDTH)
    swapped = item.grain is Grain.WIDTH if bound else item.width > item.length
    sides = (item.width, item.length) if swapped else (item.length, item.width)
    return (*sides, bound), swapped


# One layout for equal sets of parts --------------------------------------------------------


def _with_one_layout(problem: Problem, patterns: Sequence[Pattern]) -> tuple[Pattern, ...]:
    """Give the patterns with the best layout of each set of parts in place of the others."""
    kinds = {item.part: _kind_of(item)[0] for item in problem.items}
    same: dict[Hashable, list[Pattern]] = {}
    for pattern in patterns:
        parts = Counter(kinds[blank.part] for blank in blanks_of(pattern.layout))
        same.setdefault((pattern.stock, frozenset(parts.items())), []).append(pattern)
    found: list[Pattern] = []
    for group in same.values():
        best = min(group, key=lambda one: _key(problem, [one]))
        found += [best] * len(group)
    return tuple(found)


# Batches -----------------------------------------------------------------------------------


def _batched(
    problem: Problem, answer: Answer, plan_again: Callable[[Problem], Answer]
) -> tuple[Pattern, ...]:
    """Give the patterns of one batch over and over, where that costs no more; else ()."""
    amounts = _amounts(problem)
    sheets = Counter(pattern.stock for pattern in answer.patterns)
    most = math.gcd(*amounts.values(), *sheets.values())
    for count in sorted((n for n in range(2, most + 1) if most % n == 0), reverse=True):
        part = _with_amounts(
            problem,
            {kind: amount // count for kind, amount in amounts.items()},
            [stock.available and stock.available // count for stock in problem.stock],
            answer.cost // count,
        )
        try:
            one = plan_again(part)
        except CannotPlanError:
            continue
        if one.cost * count <= answer.cost:
            return one.patterns * count
    return ()


def _amounts(problem: Problem) -> Counter[Kind]:
    """Give how many parts of each size a problem asks for."""
    amounts: Counter[Kind] = Counter()
    for item in problem.items:
        amounts[_kind_of(item)[0]] += item.qty
    return amounts


def _with_amounts(
    problem: Problem, amounts: Mapping[Kind, int], available: Sequence[int | None], enough: int
) -> Problem:
    """Give the problem for so many parts of each size, one part standing for all of its size.

    What costs no more than ``enough`` will do: all sheets together were searched for less.
    """
    example: dict[Kind, Item] = {}
    for item in problem.items:
        example.setdefault(_kind_of(item)[0], item)
    return replace(
        problem,
        items=tuple(
            replace(item, qty=amounts[kind]) for kind, item in example.items() if amounts[kind]
        ),
        stock=tuple(
            replace(stock, available=count)
            for stock, count in zip(problem.stock, available, strict=True)
        ),
        enough=enough,
    )


# One full sheet over and over --------------------------------------------------------------


def _repeated(
    problem: Problem, patterns: Sequence[Pattern], plan_again: Callable[[Problem], Answer]
) -> Iterator[tuple[Pattern, ...]]:
    """Yield plans on the same sheets, one of them over and over, the others planned again.

    The fullest sheets are tried: what they do not waste is left over on the others.
    """
    amounts = _amounts(problem)
    kinds = {item.part: _kind_of(item)[0] for item in problem.items}
    used = Counter(pattern.stock for pattern in patterns)
    tried = 0
    for pattern in sorted(dict.fromkeys(patterns), key=lambda one: _wasted(problem, one)):
        parts = Counter(kinds[blank.part] for blank in blanks_of(pattern.layout))
        most = min(used[pattern.stock], *(amounts[kind] // n for kind, n in parts.items()))
        if most < LEAST_REPEATS or len(patterns) <= most or tried == MOST_TRIED:
            continue
        tried += 1
        rest = {kind: amount - most * parts[kind] for kind, amount in amounts.items()}
        left = [used[s] - most * (s == pattern.stock) for s in range(len(problem.stock))]
        enough = sum(stock.cost * n for stock, n in zip(problem.stock, left, strict=True))
        try:
            others = plan_again(_with_amounts(problem, rest, left, enough))
        except CannotPlanError:
            continue
        yield (pattern,) * most + others.patterns


def _wasted(problem: Problem, pattern: Pattern) -> float:
    """Give the share of a sheet that its parts leave."""
    stock = problem.stock[pattern.stock]
    filled = sum(
        (blank.length + problem.kerf) * (blank.width + problem.kerf)
        for blank in blanks_of(pattern.layout)
    )
    return 1 - filled / ((stock.length + problem.kerf) * (stock.width + problem.kerf))


# What a plan is worth ----------------------------------------------------------------------


def _worth(problem: Problem, patterns: Sequence[Pattern]) -> Worth:
    settings: set[tuple[Direction, int]] = set()
    cuts = largest = 0
    for pattern in patterns:
        stock = problem.stock[pattern.stock]
        size = int(stock.length), int(stock.width)
        for area in _leftovers(pattern.layout, size, problem):
            largest = max(largest, area)
        for direction, measure in _cuts(pattern.layout, size, problem.kerf):
            settings.add((direction, measure))
            cuts += 1
    cost = sum(problem.stock[pattern.stock].cost for pattern in patterns)
    return Worth(cost, -largest, len(settings), cuts)


def _leftovers(layout: Layout, size: tuple[int, int], problem: Problem) -> Iterator[int]:
    """Yield the areas of what can be left over around and within a layout, in square ticks."""
    length, width = least_size(layout, problem.kerf)
    for along, across in (
        (size[0] - length - problem.kerf, size[1]),
        (size[0], size[1] - width - problem.kerf),
    ):
        if _counts(along, across, problem):
            yield along * across
    if isinstance(layout, Split):
        for child in layout.children:
            own = least_size(child, problem.kerf)
            inner = (own[0], width) if layout.direction is Direction.CROSSCUT else (length, own[1])
            yield from _leftovers(child, inner, problem)


def _counts(along: int, across: int, problem: Problem) -> bool:
    long, short = sorted(problem.smallest_offcut, reverse=True)
    return max(along, across) >= long and min(along, across) >= max(short, 1)


def _cuts(layout: Layout, size: tuple[int, int], kerf: int) -> Iterator[tuple[Direction, int]]:
    """Yield each cut of a layout on a piece: its direction and what it leaves to be kept."""
    length, width = least_size(layout, kerf)
    if length < size[0]:
        yield Direction.CROSSCUT, length
    if width < size[1]:
        yield Direction.RIP, width
    if isinstance(layout, Split):
        last = len(layout.children) - 1
        for place, child in enumerate(layout.children):
            own = least_size(child, kerf)
            crosscut = layout.direction is Direction.CROSSCUT
            if place < last:
                yield layout.direction, own[0] if crosscut else own[1]
            yield from _cuts(child, (own[0], width) if crosscut else (length, own[1]), kerf)


# Which part lies where ---------------------------------------------------------------------


def _dealt(
    problem: Problem, patterns: Sequence[Pattern], groups: Mapping[str, str]
) -> tuple[Pattern, ...]:
    """Give the patterns, sheets cut alike one after the other, with each part in its place.

    Parts of one size may change places. One part is put in the same place of all sheets cut
    alike where there are enough of it, and parts of one sub-assembly on one sheet.
    """
    kinds = {item.part: _kind_of(item) for item in problem.items}
    same: dict[Hashable, list[Pattern]] = {}
    for pattern in patterns:
        same.setdefault((pattern.stock, _shape(pattern.layout, kinds)), []).append(pattern)
    ordered = [pattern for group in same.values() for pattern in group]
    dealing = _Dealing(problem, kinds, groups, [Counter() for _ in ordered])
    first = 0
    places = []
    for group in same.values():
        sheets = range(first, first + len(group))
        first += len(group)
        places += [
            (sheets, slot, kinds[blank.part][0])
            for slot, blank in enumerate(blanks_of(group[0].layout))
        ]
    for sheets, slot, kind in sorted(places, key=lambda place: -len(place[0])):
        dealing.deal(sheets, slot, kind)
    return tuple(
        replace(pattern, layout=dealing.laid(pattern.layout, sheet))
        for sheet, pattern in enumerate(ordered)
    )


def _shape(layout: Layout, kinds: Mapping[str, tuple[Kind, bool]]) -> Hashable:
    """Give a key that is equal for layouts cut alike, whichever parts of a size they hold."""
    if isinstance(layout, Blank):
        return layout.length, layout.width, kinds[layout.part][0]
    return layout.direction, tuple(_shape(child, kinds) for child in layout.children)


class _Dealing:
    """Deals parts of equal size to their places."""

    def __init__(
        self,
        problem: Problem,
        kinds: Mapping[str, tuple[Kind, bool]],
        groups: Mapping[str, str],
        on_sheets: list[Counter[str]],
    ) -> None:
        """Take the parts; ``on_sheets`` counts those of each sub-assembly, sheet by sheet."""
        self._kinds = kinds
        self._groups = groups
        self._on_sheets = on_sheets
        self._left = {item.part: item.qty for item in problem.items}
        self._chosen: dict[tuple[int, int], str] = {}
        self._before = ""

    def deal(self, sheets: range, slot: int, kind: Kind) -> None:
        """Fill a place on sheets cut alike: with one part for all if there are enough of it."""
        enough = self._choice(kind, sheets[0], len(sheets))
        for sheet in sheets:
            part = enough or self._choice(kind, sheet, 1)
            self._chosen[sheet, slot] = self._before = part
            self._left[part] -= 1
            self._on_sheets[sheet][self._groups.get(part, "")] += 1

    def _choice(self, kind: Kind, sheet: int, count: int) -> str:
        """Give the part of a size that suits a sheet best and is there so often, or ""."""
        return min(
            (
                part
                for part, left in self._left.items()
                if left >= count and self._kinds[part][0] == kind
            ),
            key=lambda part: (
                -self._on_sheets[sheet][self._groups.get(part, "")],
                part != self._before,
            ),
            default="",
        )

    def laid(self, layout: Layout, sheet: int) -> Layout:
        """Give a layout with the parts chosen for its places."""
        slots = iter(range(len(blanks_of(layout))))

        def rebuilt(node: Layout) -> Layout:
            if isinstance(node, Split):
                return replace(node, children=tuple(map(rebuilt, node.children)))
            part = self._chosen[sheet, next(slots)]
            across = node.turned != self._kinds[node.part][1]
            return replace(node, part=part, turned=across != self._kinds[part][1])

        return rebuilt(layout)
