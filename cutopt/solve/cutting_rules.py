"""Whether a layout keeps the rules of cutting: one exact check for whatever made it."""

from __future__ import annotations

from collections.abc import Iterator

from cutopt.model.layout import Blank, Direction, Layout
from cutopt.solve.params import CuttingRules


def stages_of(layout: Layout) -> int:
    """Give how many levels of parallel cuts part a layout; none for a blank alone.

    What is kept together in order counts as one part.
    """
    if isinstance(layout, Blank) or layout.ordered:
        return 0
    return 1 + max(stages_of(child) for child in strips_of(layout, layout.direction))


def strips_of(layout: Layout, direction: Direction) -> Iterator[Layout]:
    """Yield what one level of cuts in a direction leaves of a layout."""
    if isinstance(layout, Blank) or layout.ordered or layout.direction is not direction:
        yield layout
    else:
        for child in layout.children:
            yield from strips_of(child, direction)


def needed_size(layout: Layout, rules: CuttingRules, kerf: int) -> tuple[int, int]:
    """Give the least (length, width) in ticks that holds a layout with what its cuts take.

    Args:
        layout: not too deep for the rules.
        rules: with what cuts of the first levels take beyond the kerf.
        kerf: between neighbours, ticks.
    """
    return _size(layout, rules, kerf, first_depth(layout, rules))


def first_depth(layout: Layout, rules: CuttingRules) -> int:
    """Give how many levels of cuts come before a layout's own first: 1 where they start late."""
    return int(
        rules.first is not None
        and not isinstance(layout, Blank)
        and layout.direction is not rules.first
    )


def _size(layout: Layout, rules: CuttingRules, kerf: int, depth: int) -> tuple[int, int]:
    if isinstance(layout, Blank):
        return layout.length, layout.width
    strips = layout.children if layout.ordered else strips_of(layout, layout.direction)
    sizes = [_size(strip, rules, kerf, depth + 1) for strip in strips]
    gaps = (len(sizes) - 1) * (kerf + (0 if layout.ordered else rules.edge_at(depth)))
    if layout.direction is Direction.CROSSCUT:
        return sum(size[0] for size in sizes) + gaps, max(size[1] for size in sizes)
    return max(size[0] for size in sizes), sum(size[1] for size in sizes) + gaps


def keeps_rules(layout: Layout, rules: CuttingRules, kerf: int, length: int, width: int) -> bool:
    """Say whether a layout keeps the rules on a sheet of this clean size (ticks)."""
    depth = first_depth(layout, rules)
    if rules.stages is not None and depth + stages_of(layout) > rules.stages:
        return False
    needed = needed_size(layout, rules, kerf)
    if needed[0] > length or needed[1] > width:
        return False
    if rules.first is None or rules.widest is None:
        return True
    across = int(rules.first is Direction.RIP)
    return all(
        _size(strip, rules, kerf, 1)[across] <= rules.widest
        for strip in strips_of(layout, rules.first)
    )
