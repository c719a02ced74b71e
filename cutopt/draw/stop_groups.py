"""Stop-block groups: parts cut to one length, set once, with a box for each piece."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from cutopt.draw import frame, marks
from cutopt.draw.flow import Flow
from cutopt.draw.lines import set_lines, wrap_line
from cutopt.draw.scene import MIDDLE, Drawing, Style
from cutopt.draw.tally import box_every, box_words
from cutopt.draw.typeset import Length, Line, line_width, set_line
from cutopt.steps.boards import StopGroup
from cutopt.units import Units

PITCH = 21.0
LINE = 11.0
BOX = 8.0
BOX_PITCH = BOX + 2.2
SETTING = 14.0
NAME = 9.0
RING_ROOM = 22.0
MOST_NAME_ROOM = 110.0
MOST_BOX_LINES = 4
"""Lines of boxes in a half column; groups with more take the whole width."""
MOST_BOXES = 200
GUTTER = 18.0
HEAD = 7.0
UNDER = 6.0


@dataclass(frozen=True, slots=True)
class _Column:
    """Widths within a column of groups: setting, name, and how many boxes fit a line."""

    width: float
    setting: float
    name: float

    @property
    def boxes_x(self) -> float:
        return RING_ROOM + self.setting + self.name

    @property
    def in_a_line(self) -> int:
        return max(1, int((self.width - self.boxes_x) // BOX_PITCH))

    def names(self, group: StopGroup) -> tuple[Line, ...]:
        return wrap_line(", ".join(group.names), NAME, self.name - 8)

    def box_lines(self, group: StopGroup) -> int:
        boxes = -(-group.count // box_every(group.count, MOST_BOXES))
        return -(-boxes // self.in_a_line)

    def height(self, group: StopGroup) -> float:
        said = box_every(group.count, MOST_BOXES) > 1
        lines = max(len(self.names(group)), self.box_lines(group) + said)
        return PITCH + (lines - 1) * LINE


def stop_groups(flow: Flow, groups: Sequence[StopGroup], units: Units) -> None:
    """Draw the groups in two columns, longest first, over as many pages as they need."""
    column = _column(flow, groups, units)
    heights = [column.height(group) for group in groups]
    at = 0
    while at < len(groups):
        _head(flow, again=at > 0)
        top = flow.y
        two = column.width < flow.field.width / 2
        (first, count), used = _that_fit(heights[at:], top - flow.field.bottom, two=two)
        y = top
        for number in range(count):
            if number == first:
                y = top
            x = flow.field.left + (0.0 if number < first else column.width + GUTTER)
            _group(flow.drawing, groups[at + number], x, y, column, units)
            y -= heights[at + number]
        at += count
        flow.y = top - used - UNDER
        frame.rule(flow.drawing, flow.y, 0.8)
        if at < len(groups):
            flow.turn()


def groups_height(flow: Flow, groups: Sequence[StopGroup], units: Units) -> float:
    """Give the height of all groups on one page, points."""
    column = _column(flow, groups, units)
    heights = [column.height(group) for group in groups]
    two = column.width < flow.field.width / 2
    return HEAD + _that_fit(heights, math.inf, two=two)[1] + UNDER


def _column(flow: Flow, groups: Sequence[StopGroup], units: Units) -> _Column:
    """Give columns as wide as the widest setting and name ask for."""
    settings = (
        line_width((Length(g.setting, mark=True),), SETTING, Style.BOLD, units) for g in groups
    )
    names = (line_width(", ".join(g.names), NAME) for g in groups)
    setting, name = max(settings) + 10, min(max(names), MOST_NAME_ROOM) + 9
    whole = _Column(flow.field.width, setting, name)
    half = _Column((whole.width - GUTTER) / 2, setting, name)
    crowded = any(half.box_lines(group) > MOST_BOX_LINES for group in groups)
    return whole if len(groups) == 1 or crowded else half


def _head(flow: Flow, *, again: bool) -> None:
    head = set_line(flow.drawing, flow.field.left, flow.y, "Stop-block groups", 9.5, Style.BOLD)
    words = "continued" if again else "set the stop once, cut the whole group"
    set_line(flow.drawing, flow.field.left + head + 6, flow.y, words, 8, grey=MIDDLE)
    flow.y -= HEAD
    frame.rule(flow.drawing, flow.y, 0.8)


def _that_fit(heights: Sequence[float], room: float, *, two: bool) -> tuple[tuple[int, int], float]:
    """Give how many groups stand in the first column and in both, and the height used."""
    count = len(heights)
    while True:
        splits = range(1 if two else count, count + 1)
        # The longest first: where two splits are as high, the left column takes more.
        used, first = min((max(sum(heights[:n]), sum(heights[n:count])), -n) for n in splits)
        if used <= room - 8 or count == 1:
            return (-first, count), used
        count -= 1


def _group(
    drawing: Drawing, group: StopGroup, x: float, top: float, column: _Column, units: Units
) -> None:
    """Draw a group: its letter in a ring, the setting, the parts, a box for each piece."""
    y = top - 16
    marks.ring(drawing, x + 9, y + 4.5, group.letter, 10.5 if len(group.letter) < 3 else 7.5)
    setting: Line = (Length(group.setting, mark=True),)
    set_line(drawing, x + RING_ROOM, y, setting, SETTING, Style.BOLD, units)
    names_x = x + RING_ROOM + column.setting
    set_lines(drawing, names_x, y, column.names(group), NAME, pitch=LINE)
    every = box_every(group.count, MOST_BOXES)
    words = box_words(every, group.count)
    if words:
        set_line(drawing, x + column.boxes_x, y, words, 8, grey=MIDDLE)
        y -= LINE
    for number in range(-(-group.count // every)):
        down, place = divmod(number, column.in_a_line)
        marks.box(drawing, x + column.boxes_x + place * BOX_PITCH, y - 1 - down * LINE, BOX, 0.8)
