"""Other ways to lay a few blanks on one piece of stock, where the way they lie matters.

The cheapest layout of a sheet is one of many. Where it leaves a piece the car does not take,
or a cut that no saw makes, or asks a fee, and the sheet holds few parts, others are looked at
as well: all of two or three parts, the first of more.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from itertools import combinations, islice

from cutopt.model.job import Grain, Job, Kind
from cutopt.model.layout import Blank, Direction, LaidPiece, Layout, Split, blanks_of, least_size

MOST_PARTS = 5
"""Blanks on one piece of stock, for all ways to be looked at."""
MOST_LAYOUTS = 80
"""Layouts of one piece of stock that are sawn: milliseconds each, tenths of a second at worst."""


def other_layouts(job: Job, laid: LaidPiece, kerf: int) -> Iterator[LaidPiece]:
    """Yield the same stock with its blanks laid otherwise, each way that fits it once.

    None of a board, or where it holds more than ``MOST_PARTS`` or some that stay side by side,
    or where the levels of cuts are limited; at most ``MOST_LAYOUTS``.
    """
    if laid.stock.kind is Kind.BOARD or job.shop.stages is not None:
        return
    blanks = blanks_of(laid.layout)
    if len(blanks) > MOST_PARTS or _has_run(laid.layout):
        return
    trim = 2 * laid.stock.trim
    room = laid.stock.length - trim, laid.stock.width - trim
    turn = {
        part.id: laid.stock.grain is not Grain.LENGTH or part.grain is Grain.ANY
        for part in job.parts
    }
    ways = [[blank, *([blank.lying_across()] if turn[blank.part] else [])] for blank in blanks]
    layouts = (
        layout
        for lying in _each_way(ways)
        for layout in _layouts(lying, None)
        if all(size <= most for size, most in zip(least_size(layout, kerf), room, strict=True))
    )
    for layout in islice(_each_once(layouts), MOST_LAYOUTS):
        yield LaidPiece(laid.stock, layout)


def _each_once(layouts: Iterable[Layout]) -> Iterator[Layout]:
    seen: set[Layout] = set()
    for layout in layouts:
        if layout not in seen:
            seen.add(layout)
            yield layout


def _has_run(layout: Layout) -> bool:
    """Say whether some blanks must stay side by side."""
    return isinstance(layout, Split) and (
        layout.ordered or any(_has_run(child) for child in layout.children)
    )


def _each_way(ways: Sequence[Sequence[Blank]]) -> Iterator[tuple[Blank, ...]]:
    """Yield the blanks lying every way; a square lies one way."""
    if not ways:
        yield ()
        return
    for rest in _each_way(ways[1:]):
        for blank in ways[0]:
            if blank is ways[0][0] or blank.length != blank.width:
                yield (blank, *rest)


def _layouts(blanks: tuple[Blank, ...], above: Direction | None) -> Iterator[Layout]:
    """Yield every layout of blanks; not split the way of the split above it."""
    if len(blanks) == 1:
        yield blanks[0]
        return
    for direction in Direction:
        if direction is not above:
            for children in _children(blanks, direction, 2):
                yield Split(direction, children)


def _children(
    blanks: tuple[Blank, ...], direction: Direction, least: int
) -> Iterator[tuple[Layout, ...]]:
    """Yield the blanks shared out among at least so many children of a split, in any order."""
    if least <= 1:
        for layout in _layouts(blanks, direction):
            yield (layout,)
    for count in range(len(blanks) - 1):
        for chosen in combinations(range(1, len(blanks)), count):
            first = (blanks[0], *(blanks[i] for i in chosen))
            rest = tuple(blanks[i] for i in range(1, len(blanks)) if i not in chosen)
            for child in _layouts(first, direction):
                for others in _children(rest, direction, least - 1):
                    yield (child, *others)
