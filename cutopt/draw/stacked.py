"""Low drawings one under the other on a page: each is drawn alone first, then moved up or down."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from cutopt.draw.scene import Circle, Drawing, Mark, Outline, Words

DESCENDER = 0.21
"""Of the size: what hangs below a baseline. Source: Helvetica's own metrics (0.207)."""


def lowest_ink(drawing: Drawing) -> float:
    """Give the y of the lowest ink of a drawing, points; its top where it is blank."""
    return min((_low(mark) for mark in drawing.marks), default=drawing.height)


def move_onto(page: Drawing, drawing: Drawing, up: float) -> None:
    """Put all marks of a drawing on a page, so many points further up."""
    page.add(*(_moved(mark, up) for mark in drawing.marks))


def fill(heights: Sequence[float], room: float, between: float) -> list[range]:
    """Give which of these heights share a page, in their order: as many as fit its room."""
    pages: list[range] = []
    start, used = 0, 0.0
    for number, height in enumerate(heights):
        more = height + (between if number > start else 0.0)
        if number > start and used + more > room:
            pages.append(range(start, number))
            start, used, more = number, 0.0, height
        used += more
    return [*pages, range(start, len(heights))] if heights else []


def _low(mark: Mark) -> float:
    if isinstance(mark, Outline):
        return min(y for _, y in mark.points)
    if isinstance(mark, Circle):
        return mark.y - mark.radius
    return mark.y - DESCENDER * mark.size if isinstance(mark, Words) else mark.y


def _moved(mark: Mark, up: float) -> Mark:
    if isinstance(mark, Outline):
        return replace(mark, points=tuple((x, y + up) for x, y in mark.points))
    return replace(mark, y=mark.y + up)
