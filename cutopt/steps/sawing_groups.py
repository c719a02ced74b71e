"""Children of a layout taken together, in another order or parted the other way round.

A layout says which blanks lie side by side; straight cuts leave its meaning when children
change places, when some of them are taken together as one piece, or when a cut goes through
all of them: a sheet of rips whose strips all have a gap at the middle is halved by one crosscut.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from itertools import product
from typing import NamedTuple

from cutopt.model.layout import Blank, Direction, Layout, Split
from cutopt.steps.sawing_pieces import Size

MOST_PARTED = 8
"""Children of which every choice is tried as one side of a cut; of more, only the first ones."""

MOST_THROUGH = 16
"""Cuts through all children tried on one layout."""


class Groups:
    """Layouts made of the children of others, the same object every time.

    What is known of a layout (what its cuts remove, how it is sawn) is kept by identity.
    """

    def __init__(self) -> None:
        self._known: dict[tuple[int, tuple[int, ...]], Split] = {}
        self._joined: dict[tuple[Direction, tuple[int, ...]], Split] = {}
        self._sided: dict[tuple[int, Direction], list[_Sides]] = {}

    def measure_again(self) -> None:
        """Forget measures: kerfs have changed."""
        self._sided.clear()

    def of(self, layout: Split, chosen: Sequence[int]) -> Layout:
        """Give the chosen children of a layout, by number, as one layout."""
        if len(chosen) == len(layout.children):
            return layout
        if len(chosen) == 1:
            return layout.children[chosen[0]]
        key = (id(layout), tuple(chosen))
        if key not in self._known:
            children = tuple(layout.children[i] for i in chosen)
            self._known[key] = Split(layout.direction, children)
        return self._known[key]

    def through(self, layout: Split, least: Callable[[Layout], Size], room: int) -> list[Split]:
        """Give the ways to part a layout by one cut through all its children.

        Args:
            layout: not an ordered one.
            least: gives the least size of a layout.
            room: for both sides together, ticks.

        Returns:
            Splits into two; their children hold what lies on each side.
        """
        across = layout.direction.other
        options = [self._sides_of(child, across, least) for child in layout.children]
        marks = sorted({side.first for sides in options for side in sides if side.first})
        found: dict[int, Split] = {}
        for mark in marks:
            sides = [
                min((side for side in sides if side.first <= mark), key=lambda side: side.second)
                for sides in options
            ]
            if max(side.first for side in sides) + max(side.second for side in sides) > room:
                continue
            first, second = (
                self._join(layout.direction, [part for part in parts if part is not None])
                for parts in zip(*(side.parts for side in sides), strict=True)
            )
            if first is not None and second is not None:
                split = self._join(across, [first, second])
                if isinstance(split, Split):
                    found[id(split)] = split
        return list(found.values())[:MOST_THROUGH]

    def _sides_of(
        self, child: Layout, across: Direction, least: Callable[[Layout], Size]
    ) -> list[_Sides]:
        key = (id(child), across)
        if key not in self._sided:
            self._sided[key] = list(self._sides(child, across, least))
        return self._sided[key]

    def _sides(
        self, child: Layout, across: Direction, least: Callable[[Layout], Size]
    ) -> Iterator[_Sides]:
        """Yield the ways in which a child may lie to both sides of a cut."""
        whole = least(child).across(across)
        yield _Sides(0, whole, (None, child))
        if isinstance(child, Split) and child.direction is across and not child.ordered:
            for chosen in _choices(len(child.children)):
                rest = [i for i in range(len(child.children)) if i not in chosen]
                first, second = self.of(child, chosen), self.of(child, rest)
                yield _Sides(
                    least(first).across(across), least(second).across(across), (first, second)
                )
        yield _Sides(whole, 0, (child, None))

    def _join(self, direction: Direction, parts: Sequence[Layout]) -> Layout | None:
        if len(parts) < 2:
            return parts[0] if parts else None
        key = (direction, tuple(map(id, parts)))
        if key not in self._joined:
            self._joined[key] = Split(direction, tuple(parts))
        return self._joined[key]


class _Sides(NamedTuple):
    """Measures of what lies to both sides of a cut, ticks, and what that is."""

    first: int
    second: int
    parts: tuple[Layout | None, Layout | None]


def _choices(count: int) -> Iterator[list[int]]:
    """Yield some of the children to choose, by number, neither none nor all."""
    if count > MOST_PARTED:
        yield from (list(range(past)) for past in range(1, count))
        return
    for chosen in range(1, 2**count - 1):
        yield [i for i in range(count) if chosen >> i & 1]


def kinds(children: Sequence[Layout]) -> list[int]:
    """Give a number for each child, the same for children of the same shape."""
    known: dict[object, int] = {}
    return [known.setdefault(_shape(child), len(known)) for child in children]


def _shape(layout: Layout) -> object:
    if isinstance(layout, Blank):
        return layout.length, layout.width
    return layout.direction, layout.ordered, tuple(map(_shape, layout.children))


def ways_to_take(kinds_of: Sequence[int], left: Sequence[int]) -> Iterator[list[int]]:
    """Yield the ways to take some of the children that are left, by number.

    Of children of one shape the first ones are taken.
    """
    of_kind: dict[int, list[int]] = {}
    for i in left:
        of_kind.setdefault(kinds_of[i], []).append(i)
    for counts in product(*(range(len(same) + 1) for same in of_kind.values())):
        if any(counts):
            yield sorted(
                i
                for same, count in zip(of_kind.values(), counts, strict=True)
                for i in same[:count]
            )


def count_ways(kinds_of: Sequence[int]) -> int:
    """Give the number of ways to take some of the children, from whatever others leave."""
    total = 1
    for kind in set(kinds_of):
        count = kinds_of.count(kind)
        total *= (count + 1) * (count + 2) // 2
    return total
