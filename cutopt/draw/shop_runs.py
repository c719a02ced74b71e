"""Runs on a shop sheet: a link over every joint the figure runs through, and the order in words."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

from cutopt.draw import frame
from cutopt.draw.lines import wrap_line
from cutopt.draw.regions import Region
from cutopt.draw.scene import BLACK, WHITE, Circle, Drawing
from cutopt.draw.sheet import PieceFrame
from cutopt.draw.space import Rect, meets_any
from cutopt.draw.typeset import set_line
from cutopt.model.job import Part
from cutopt.steps.runs import LaidRun
from cutopt.steps.shop import ShopSheet

REACH = 8.0
"""Points a link reaches into each part, past a band."""
MOST_REACH = 0.3
"""Share of a narrow part that a link may reach into."""
WEIGHT = 1.4
DOT = 1.8
PLACES = (0.22, 0.12, 0.35, 0.5)
"""Where along a joint a link may stand, from the end that bears no flags."""
NOTE = 9.5
NOTE_PITCH = 12.5
TRIANGLE = "Pencil a triangle across each run before it is parted."
"""Marks the order and the way up of all parts at once. Common practice, no published source."""


@dataclass(frozen=True, slots=True)
class Link:
    """A bar with a dot in each of two parts, over the cut between them."""

    x0: float
    y0: float
    x1: float
    y1: float

    @property
    def rect(self) -> Rect:
        """What it covers."""
        return Rect(self.x0, self.y0, self.x1, self.y1).grown(DOT)


def links_of(
    runs: Sequence[LaidRun], region: Region, paper: PieceFrame, flags: Sequence[Rect]
) -> tuple[Link, ...]:
    """Give the links on one region, clear of the flags within it where they can be."""
    inside = set(region.placed)
    found = []
    for run in runs:
        for one, other in run.joints:
            if one in inside and other in inside:
                first, second = (
                    paper.rect_of(placed.x, placed.y, placed.node.length, placed.node.width)
                    for placed in (one, other)
                )
                tries = list(_links(first, second, level=run.level))
                clear = (link for link in tries if not meets_any(link.rect, flags))
                found.append(next(clear, tries[0]))
    return tuple(found)


def _links(first: Rect, second: Rect, *, level: bool) -> Iterator[Link]:
    for share in PLACES:
        if level:
            reach = [min(REACH, MOST_REACH * rect.width) for rect in (first, second)]
            y = first.y0 + share * first.height
            yield Link(first.x1 - reach[0], y, second.x0 + reach[1], y)
        else:
            reach = [min(REACH, MOST_REACH * rect.height) for rect in (first, second)]
            x = first.x1 - share * first.width
            yield Link(x, first.y1 - reach[0], x, second.y0 + reach[1])


def draw_link(drawing: Drawing, link: Link) -> None:
    """Draw a link, set off in white from bands and outlines."""
    drawing.line(link.x0, link.y0, link.x1, link.y1, WEIGHT + 2.4, grey=WHITE)
    drawing.line(link.x0, link.y0, link.x1, link.y1, WEIGHT)
    for x, y in ((link.x0, link.y0), (link.x1, link.y1)):
        drawing.add(Circle(x, y, DOT, 0, BLACK))


def draw_run_notes(
    drawing: Drawing, sheet: ShopSheet, parts: Mapping[str, Part], y: float
) -> float:
    """Write how each run of a sheet lies, a sample link before it; give the y under them."""
    if not sheet.runs:
        return y
    field = frame.field_of(drawing)
    names = {part.id: part.name for part in parts.values()}
    left = field.left + 28
    words = [f"Run {run.word}, {run.way}: {run.listed(names)}." for run in sheet.runs]
    words[-1] += f" {TRIANGLE}"
    for note in words:
        y -= NOTE_PITCH
        draw_link(drawing, Link(field.left + 3, y + 3, field.left + 19, y + 3))
        lines = wrap_line(note, NOTE, field.right - left)
        for number, line in enumerate(lines):
            y -= NOTE_PITCH if number else 0
            set_line(drawing, left, y, line, NOTE)
    return y - 6
