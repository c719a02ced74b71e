"""The signs every page is made of: heavy bar, flag, tape, dimension, boxes, capsules.

All measures are points on paper.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum

from cutopt.draw.scene import (
    BLACK,
    MIDDLE,
    WHITE,
    Align,
    Circle,
    Drawing,
    Outline,
    Point,
    Rounded,
    Style,
    Words,
)
from cutopt.draw.space import Rect
from cutopt.draw.typeset import Line, line_width, set_line, width_of
from cutopt.units import TICKS_PER_INCH, TICKS_PER_MM, Units

BAR = 3.2
STOCK_OUTLINE = 1.6
STORE_CUT = 2.0
PART_OUTLINE = 1.1
RULE = 1.2
THIN_RULE = 0.4
DIMENSION = 0.4
ARROW = 6.0


class Points(StrEnum):
    """Where the point of a flag looks."""

    DOWN = "down"
    UP = "up"
    LEFT = "left"
    RIGHT = "right"


_TURN = {Points.DOWN: 0, Points.LEFT: 270, Points.UP: 180, Points.RIGHT: 90}


def heavy_bar(drawing: Drawing, x0: float, y0: float, x1: float, y1: float) -> None:
    """Draw the bar along an edge that is measured from, centred on the line given."""
    half = BAR / 2
    if y0 == y1:
        drawing.rectangle(min(x0, x1), y0 - half, abs(x1 - x0), BAR, 0, fill=BLACK)
    else:
        drawing.rectangle(x0 - half, min(y0, y1), BAR, abs(y1 - y0), 0, fill=BLACK)


def flag(
    drawing: Drawing,
    x: float,
    y: float,
    number: int | str,
    points: Points,
    size: float = 8.0,
    *,
    inner: bool = False,
) -> None:
    """Draw a flag whose point stands at (x, y); ``inner`` is white with a black outline."""
    text = str(number)
    wide = max(size * 1.42, width_of(text, size, Style.BOLD) + size * 0.55)
    if points in (Points.DOWN, Points.UP):
        body, point, breadth = size * 1.28, size * 0.55, wide
    else:
        body, point, breadth = wide, size * 0.55, size * 1.42
    # Pointing down: the point is at the origin, the body above it.
    shape = (
        (0.0, 0.0),
        (breadth / 2, point),
        (breadth / 2, point + body),
        (-breadth / 2, point + body),
        (-breadth / 2, point),
    )
    angle = math.radians(_TURN[points])
    cos, sin = round(math.cos(angle)), round(math.sin(angle))
    corners: tuple[Point, ...] = tuple(
        (x + px * cos - py * sin, y + px * sin + py * cos) for px, py in shape
    )
    fill = WHITE if inner else BLACK
    drawing.add(Outline(corners, 0.7 if inner else 0.0, BLACK, closed=True, fill=fill))
    middle = point + body / 2
    mx, my = x - middle * sin, y + middle * cos
    drawing.add(
        Words(
            mx,
            my - size * 0.36,
            text,
            size,
            Style.BOLD,
            BLACK if inner else WHITE,
            Align.MIDDLE,
        )
    )


def tag(drawing: Drawing, x: float, y: float, text: str, size: float = 25.0) -> float:
    """Draw a white-on-black name of a piece of stock; give its width. ``y`` is the baseline."""
    width = width_of(text, size, Style.BOLD) + size * 0.6
    drawing.add(Rounded(x, y - size * 0.3, width, size * 1.3, 3, 0, fill=BLACK))
    drawing.add(Words(x + size * 0.3, y, text, size, Style.BOLD, WHITE))
    return width


def box(drawing: Drawing, x: float, y: float, side: float = 12.5, weight: float = 1.1) -> None:
    """Draw a box to tick, from its lower left corner."""
    drawing.rectangle(x, y, side, side, weight, fill=WHITE)


def boxes(
    drawing: Drawing, right: float, y: float, count: int, side: float = 12.5, a_line: int = 5
) -> int:
    """Draw boxes right-aligned, ``a_line`` to a line, downwards; give the number of lines."""
    pitch = side + 4.5
    lines = max(1, math.ceil(count / a_line))
    for number in range(count):
        line, place = divmod(number, a_line)
        in_line = min(a_line, count - line * a_line)
        box(drawing, right - (in_line - place) * pitch + 4.5, y - line * pitch, side)
    return lines


def capsule(drawing: Drawing, x: float, y: float, text: str, size: float = 8.0) -> float:
    """Draw words in a capsule; ``y`` is the baseline. Gives its width."""
    width = width_of(text, size, Style.BOLD) + size
    height = size * 1.55
    drawing.add(
        Rounded(x, y - size * 0.45, width, height, height / 2, 0.8, fill=WHITE),
        Words(x + size / 2, y, text, size, Style.BOLD),
    )
    return width


def ring(drawing: Drawing, x: float, y: float, letter: str, size: float = 9.5) -> None:
    """Draw a letter in a ring around (x, y)."""
    radius = max(size * 0.68, width_of(letter, size, Style.BOLD) / 2 + 2)
    drawing.add(
        Circle(x, y, radius, 0.9, fill=WHITE),
        Words(x, y - size * 0.35, letter, size, Style.BOLD, align=Align.MIDDLE),
    )


def caution(
    drawing: Drawing,
    x: float,
    top: float,
    lines: Sequence[Line],
    size: float,
    units: Units = Units.INCH,
) -> float:
    """Draw a paragraph with a 4 pt bar at its left; give the height it took."""
    pitch = size * 1.32
    height = pitch * len(lines) + size * 0.5
    drawing.rectangle(x, top - height, 4, height, 0, fill=BLACK)
    for number, text in enumerate(lines):
        set_line(drawing, x + 13, top - size * 1.05 - number * pitch, text, size, units=units)
    return height


def _slim_head(drawing: Drawing, x: float, y: float, dx: float, dy: float) -> None:
    """Draw a 3:1 arrow head whose tip is at (x, y), pointing along the unit vector given."""
    bx, by = x - dx * ARROW, y - dy * ARROW
    half = ARROW / 6
    corners = ((x, y), (bx - dy * half, by + dx * half), (bx + dy * half, by - dx * half))
    drawing.add(Outline(corners, 0, BLACK, closed=True, fill=BLACK))


@dataclass(frozen=True, slots=True)
class Dimension:
    """A level or upright dimension and where its figures stand.

    Attributes:
        share: where along the line the middle of the figures lies, 0 to 1.
        figures: middle of the figures; past the end where the span is too short for them.
        inside: heads stand between the ends; else outside, pointing in.
    """

    start: Point
    end: Point
    share: float
    width: float
    size: float
    figures: Point
    inside: bool

    @property
    def level(self) -> bool:
        """Level, not upright."""
        return self.start[1] == self.end[1]

    @property
    def words(self) -> Rect:
        """What the figures cover."""
        x, y = self.figures
        return Rect(
            x - self.width / 2, y - self.size * 0.42, x + self.width / 2, y + self.size * 0.5
        )

    @property
    def line(self) -> Rect:
        """What the line and its heads cover."""
        (x0, y0), (x1, y1) = self.start, self.end
        out = 0.0 if self.inside else 2 * ARROW
        if self.level:
            return Rect(min(x0, x1) - out, y0 - 2, max(x0, x1) + out, y0 + 2)
        return Rect(x0 - 2, min(y0, y1) - out, x0 + 2, max(y0, y1) + out)


def lay_dimension(
    start: Point,
    end: Point,
    line: Line,
    size: float,
    units: Units,
    style: Style = Style.BOLD,
    share: float = 0.5,
) -> Dimension:
    """Give how a dimension will stand, without drawing it; ``start`` is left or low."""
    (x0, y0), (x1, y1) = start, end
    level = y0 == y1
    span = abs(x1 - x0) if level else abs(y1 - y0)
    width = line_width(line, size, style, units)
    gap = width + 6 if level else size * 1.25
    inside = span >= gap + 2 * ARROW + 4
    if not inside:
        share = 0.5
    half = (gap / 2 + ARROW + 2) / span if inside else 0.0
    share = min(max(share, half), 1 - half)
    figures = (x0 + (x1 - x0) * share, y0 + (y1 - y0) * share)
    if not inside and span < gap:
        past = 2 * ARROW + 2 + gap / 2
        figures = (max(x0, x1) + past, y0) if level else (x0, max(y0, y1) + past)
    return Dimension(start, end, share, width, size, figures, inside)


def dimension(
    drawing: Drawing,
    start: Point,
    end: Point,
    line: Line,
    size: float,
    units: Units,
    style: Style = Style.BOLD,
    *,
    share: float = 0.5,
) -> None:
    """Draw a dimension with slim heads, its figures in a gap; level or upright.

    Where the figures leave no room for heads inside, the heads stand outside pointing in;
    figures longer than the span stand past its end.
    """
    laid = lay_dimension(start, end, line, size, units, style, share)
    (x0, y0), (x1, y1) = start, end
    ux, uy = (1.0, 0.0) if laid.level else (0.0, 1.0)
    if laid.inside:
        words = laid.words
        low, high = (words.x0 - 3, words.x1 + 3) if laid.level else (words.y0 - 2, words.y1 + 2)
        if laid.level:
            drawing.line(x0, y0, low, y0, DIMENSION)
            drawing.line(x1, y1, high, y1, DIMENSION)
        else:
            drawing.line(x0, y0, x0, low, DIMENSION)
            drawing.line(x1, y1, x1, high, DIMENSION)
        _slim_head(drawing, x0, y0, -ux, -uy)
        _slim_head(drawing, x1, y1, ux, uy)
    else:
        for x, y, sign in ((x0, y0, -1.0), (x1, y1, 1.0)):
            drawing.line(x, y, x + sign * ux * 2 * ARROW, y + sign * uy * 2 * ARROW, DIMENSION)
            _slim_head(drawing, x, y, -sign * ux, -sign * uy)
    fx, fy = laid.figures
    set_line(drawing, fx, fy - size * 0.36, line, size, style, units, align=Align.MIDDLE)


def grain_arrow(drawing: Drawing, x: float, y: float, length: float, *, upright: bool) -> None:
    """Draw a grain arrow around (x, y): a thin line with one barb at each end."""
    half, barb = length / 2, min(6.0, length / 5)
    if upright:
        drawing.line(x, y - half, x, y + half, 0.55)
        drawing.line(x, y + half, x + barb * 0.4, y + half - barb, 0.55)
        drawing.line(x, y - half, x - barb * 0.4, y - half + barb, 0.55)
    else:
        drawing.line(x - half, y, x + half, y, 0.55)
        drawing.line(x + half, y, x + half - barb, y + barb * 0.4, 0.55)
        drawing.line(x - half, y, x - half + barb, y - barb * 0.4, 0.55)


def saw_tooth(drawing: Drawing, x0: float, y0: float, x1: float, y1: float, out: Point) -> None:
    """Draw a rough edge: 2 pt teeth along a line, on the side the unit vector ``out`` shows."""
    span = math.hypot(x1 - x0, y1 - y0)
    teeth = max(2, round(span / 4))
    points: list[Point] = []
    for number in range(2 * teeth + 1):
        share = number / (2 * teeth)
        lift = 2.0 if number % 2 else 0.0
        points.append(
            (x0 + (x1 - x0) * share + out[0] * lift, y0 + (y1 - y0) * share + out[1] * lift)
        )
    drawing.add(Outline(tuple(points), 0.6))


def tape_steps(units: Units) -> tuple[int, int, int]:
    """Give the tape's small, middle and large tick distances in ticks."""
    if units is Units.MM:
        return 10 * TICKS_PER_MM, 50 * TICKS_PER_MM, 100 * TICKS_PER_MM
    return TICKS_PER_INCH, 6 * TICKS_PER_INCH, 12 * TICKS_PER_INCH


def tape(
    drawing: Drawing,
    start: Point,
    span: float,
    ticks: int,
    units: Units,
    *,
    upright: bool = False,
    above: bool = False,
    keep_clear: Sequence[tuple[float, float]] = (),
) -> None:
    """Draw a tape rule of ``span`` points for ``ticks`` of length.

    Level: ticks hang below the line through ``start`` (or stand above it); upright: they
    stand to its left. Figures in 6.5 pt at the large ticks, thinned where they would touch;
    none stands within ``keep_clear`` (stretches of the page, where flags stand).
    """
    x, y = start
    small, middle, large = tape_steps(units)
    scale = span / ticks
    while small * scale < 2.4:
        small, middle, large = middle, large, large * 2
    figure_step = large
    while figure_step * scale < (16 if upright else 22):
        figure_step += large
    for at in range(0, ticks + 1, small):
        reach = 7.0 if at % large == 0 else 4.5 if at % middle == 0 else 2.5
        place = at * scale
        if upright:
            drawing.line(x - reach, y + place, x, y + place, 0.4)
        else:
            drawing.line(x + place, y, x + place, y + (reach if above else -reach), 0.4)
        if at and at % figure_step == 0:
            unit = TICKS_PER_MM if units is Units.MM else TICKS_PER_INCH
            figure = str(at // unit)
            here = (y if upright else x) + place
            half = 3.4 if upright else width_of(figure, 6.5) / 2 + 1
            if any(low < here + half and here - half < high for low, high in keep_clear):
                continue
            if upright:
                drawing.add(
                    Words(x - 9, y + place - 2.3, figure, 6.5, grey=MIDDLE, align=Align.RIGHT)
                )
            else:
                drop = 9.0 if above else -13.5
                drawing.add(
                    Words(x + place, y + drop, figure, 6.5, grey=MIDDLE, align=Align.MIDDLE)
                )
