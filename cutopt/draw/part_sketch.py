"""A small picture of a finished part: front edge down, bands, grain, cutouts.

True in its proportions unless that would make it too thin to show anything.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise

from cutopt.draw import marks
from cutopt.draw.scene import BLACK, LIGHT, WHITE, Align, Circle, Drawing, Outline, Style, Words
from cutopt.draw.scene import Point as PaperPoint
from cutopt.draw.typeset import plain_length, width_of
from cutopt.model.job import Cutout, CutoutKind, Edge, Grain, Part
from cutopt.units import Ticks, Units

CUTOUT_OUTLINE = 0.7
BAND_STRIPE = 2.2
BAND_INSET = 1.8
FIGURES = 7.5
THINNEST = 7.0
THINNEST_BANDED = 13.0
BELOW = 15.0
"""Height under the part for the measure from the left edge, points."""
BESIDE = 38.0
"""Width right of the part for the measure from the front edge, points."""
ABOVE = 10.0
"""Height over the part for the size of a cutout, points."""


_Box = tuple[float, float, float, float]
"""Left, low, right, high."""


@dataclass(frozen=True, slots=True)
class Frame:
    """A part on paper: its lower left corner, its size, and points a tick each way."""

    x: float
    y: float
    width: float
    height: float
    across: float
    up: float

    def box(self, cutout: Cutout) -> _Box:
        """Give left, low, right, high of a cutout in points."""
        left = self.x + cutout.from_left * self.across
        low = self.y + cutout.from_front * self.up
        return left, low, left + cutout.length * self.across, low + cutout.width * self.up


def picture_size(part: Part, room_width: float, room_height: float) -> tuple[float, float]:
    """Give the width and height in points of a part's picture in that room."""
    scale = min(room_width / part.length, room_height / part.width)
    thinnest = THINNEST_BANDED if part.band else THINNEST
    width, height = part.length * scale, part.width * scale
    return min(room_width, max(width, thinnest)), min(room_height, max(height, thinnest))


def draw_part(
    drawing: Drawing,
    part: Part,
    x: float,
    y: float,
    width: float,
    height: float,
) -> Frame:
    """Draw a part with its lower left corner at (x, y)."""
    frame = Frame(x, y, width, height, width / part.length, height / part.width)
    corners = _outline(part, frame)
    drawing.add(Outline(corners, marks.PART_OUTLINE, closed=True, fill=WHITE))
    for edge in part.band:
        _band(drawing, part, edge, frame)
    for cutout in part.cutouts:
        if not _in_outline(cutout, part):
            _cutout(drawing, cutout, frame)
    _grain(drawing, part, frame)
    return frame


def dimension_cutouts(drawing: Drawing, part: Part, frame: Frame, units: Units) -> None:
    """Write a single cutout's size and its place from left and front around the picture.

    Several cutouts get the letters of their lines of text instead; rounded corners get
    their radius.
    """
    boxes = [frame.box(c) for c in _placed_cutouts(part)]
    written: list[_Box] = []
    radii: set[int] = set()
    for cutout in part.cutouts:
        if cutout.kind is CutoutKind.ROUNDED_CORNER and cutout.length not in radii:
            radii.add(cutout.length)
            _near(drawing, f"R {plain_length(cutout.length, units)}", cutout, frame, boxes, written)
    single = single_cutout(part)
    if single is not None:
        _cutout_size(drawing, single, frame, units)
        _place(drawing, part, single, frame, units)
    for letter, cutout in zip(letters_of(part), _placed_cutouts(part), strict=False):
        _near(drawing, letter, cutout, frame, boxes, written)


def _placed_cutouts(part: Part) -> tuple[Cutout, ...]:
    """Give the cutouts whose place is measured: all but rounded corners."""
    return tuple(c for c in part.cutouts if c.kind is not CutoutKind.ROUNDED_CORNER)


def single_cutout(part: Part) -> Cutout | None:
    """Give the one cutout whose measures are drawn, or None where letters stand instead."""
    placed = _placed_cutouts(part)
    return placed[0] if len(placed) == 1 else None


def letters_of(part: Part) -> tuple[str, ...]:
    """Give the letters that stand at a part's cutouts; none where there is one cutout."""
    count = len(_placed_cutouts(part))
    if count < 2:
        return ()
    return tuple(chr(ord("a") + n) if n < 26 else str(n + 1) for n in range(count))


def _touches(cutout: Cutout, part: Part) -> tuple[bool, bool, bool, bool]:
    """Say which edges a cutout reaches: front, back, left, right."""
    return (
        cutout.from_front <= 0,
        cutout.from_front + cutout.width >= part.width,
        cutout.from_left <= 0,
        cutout.from_left + cutout.length >= part.length,
    )


def _at_corner(cutout: Cutout, part: Part) -> bool:
    front, back, left, right = _touches(cutout, part)
    return (front != back) and (left != right)


def _in_outline(cutout: Cutout, part: Part) -> bool:
    """Say whether a cutout changes the part's outline at a corner."""
    return cutout.kind in (CutoutKind.NOTCH, CutoutKind.ROUNDED_CORNER) and _at_corner(cutout, part)


def _outline(part: Part, frame: Frame) -> tuple[PaperPoint, ...]:
    """Give the part's outline anticlockwise, corners notched or rounded where they are."""
    at: dict[tuple[bool, bool], Cutout] = {}
    for cutout in part.cutouts:
        if _in_outline(cutout, part):
            _, back, _, right = _touches(cutout, part)
            at[right, back] = cutout
    points: list[PaperPoint] = []
    for right, back in ((False, False), (True, False), (True, True), (False, True)):
        corner = (
            frame.x + (frame.width if right else 0.0),
            frame.y + (frame.height if back else 0.0),
        )
        found = at.get((right, back))
        points.extend(_corner(corner, right=right, back=back, cutout=found, frame=frame))
    return tuple(points)


def _corner(
    corner: PaperPoint, *, right: bool, back: bool, cutout: Cutout | None, frame: Frame
) -> list[PaperPoint]:
    """Give the points of one corner, in the anticlockwise order of the outline."""
    if cutout is None:
        return [corner]
    x, y = corner
    dx = (-1.0 if right else 1.0) * cutout.length * frame.across
    dy = (-1.0 if back else 1.0) * cutout.width * frame.up
    if cutout.kind is CutoutKind.NOTCH:
        points = [(x, y + dy), (x + dx, y + dy), (x + dx, y)]
    else:
        points = [
            (x + dx * (1 - math.cos(turn)), y + dy * (1 - math.sin(turn)))
            for turn in (math.pi / 2 * step / 8 for step in range(9))
        ]
    # Front left and back right are reached along the left and right edges, the other two
    # along front and back.
    return points if right == back else points[::-1]


def _band(drawing: Drawing, part: Part, edge: Edge, frame: Frame) -> None:
    """Draw the stripe of a banded edge inside it, broken where a cutout takes the edge."""
    level = edge in (Edge.FRONT, Edge.BACK)
    breadth = min(frame.height, frame.width)
    thick = min(BAND_STRIPE, breadth / 6)
    inset = min(BAND_INSET, breadth / 7)
    span = part.length if level else part.width
    gaps = sorted(
        (c.from_left, c.from_left + c.length) if level else (c.from_front, c.from_front + c.width)
        for c in part.cutouts
        if _touches(c, part)[list(Edge).index(edge)]
    )
    ends = [0, *(end for gap in gaps for end in gap), span]
    for start, end in list(pairwise(ends))[::2]:
        if end <= start:
            continue
        scale = frame.across if level else frame.up
        low, high = start * scale + inset, end * scale - inset
        if high <= low:
            continue
        if level:
            y = frame.y + inset if edge is Edge.FRONT else frame.y + frame.height - inset - thick
            drawing.rectangle(frame.x + low, y, high - low, thick, 0, fill=BLACK)
        else:
            x = frame.x + inset if edge is Edge.LEFT else frame.x + frame.width - inset - thick
            drawing.rectangle(x, frame.y + low, thick, high - low, 0, fill=BLACK)


def _cutout(drawing: Drawing, cutout: Cutout, frame: Frame) -> None:
    """Draw a cutout inside the outline."""
    left, low, right, high = frame.box(cutout)
    if cutout.kind in (CutoutKind.HOLE, CutoutKind.DISC):
        radius = max(min(right - left, high - low) / 2, 0.8)
        fill = LIGHT if cutout.kind is CutoutKind.HOLE else None
        drawing.add(Circle((left + right) / 2, (low + high) / 2, radius, CUTOUT_OUTLINE, fill))
        return
    drawing.rectangle(left, low, right - left, high - low, CUTOUT_OUTLINE, fill=LIGHT)


def _grain(drawing: Drawing, part: Part, frame: Frame) -> None:
    """Draw the grain arrow where no cutout is; leave it out where there is no place."""
    if part.grain not in (Grain.LENGTH, Grain.WIDTH):
        return
    upright = part.grain is Grain.WIDTH
    along = frame.height if upright else frame.width
    beside = frame.width if upright else frame.height
    length = min(34.0, along * 0.5)
    if length < 8 or beside < 8:
        return
    half_x, half_y = (3.0, length / 2 + 1) if upright else (length / 2 + 1, 3.0)
    for share in (0.5, 0.75, 0.25, 0.85, 0.15):
        for other in (0.55, 0.75, 0.3):
            x = frame.x + frame.width * (other if upright else share)
            y = frame.y + frame.height * (share if upright else other)
            inside = (
                x - half_x > frame.x + 3
                and x + half_x < frame.x + frame.width - 3
                and y - half_y > frame.y + 1
                and y + half_y < frame.y + frame.height - 1
            )
            if inside and not any(
                left < x + half_x and right > x - half_x and low < y + half_y and high > y - half_y
                for left, low, right, high in map(frame.box, part.cutouts)
            ):
                marks.grain_arrow(drawing, x, y, length, upright=upright)
                return


def _size_words(cutout: Cutout, units: Units) -> str:
    length = plain_length(cutout.length, units)
    if cutout.kind in (CutoutKind.HOLE, CutoutKind.DISC):
        return f"dia {length}"
    return f"{length} \N{MULTIPLICATION SIGN} {plain_length(cutout.width, units)}"


def _cutout_size(drawing: Drawing, cutout: Cutout, frame: Frame, units: Units) -> None:
    """Write a cutout's size inside it, or over the part with a leader to it."""
    left, low, right, high = frame.box(cutout)
    text = _size_words(cutout, units)
    width = width_of(text, FIGURES, Style.BOLD)
    mx, my = (left + right) / 2, (low + high) / 2
    if cutout.kind in (CutoutKind.HOLE, CutoutKind.DISC):
        # Over the middle, from which its place is measured.
        if right - left > width + 14 and high - low > FIGURES * 3:
            drawing.add(Words(mx, my + 2.5, text, FIGURES, Style.BOLD, align=Align.MIDDLE))
            return
    elif right - left > width + 6 and high - low > FIGURES * 1.2:
        drawing.add(Words(mx, my - FIGURES * 0.36, text, FIGURES, Style.BOLD, align=Align.MIDDLE))
        return
    foot = frame.y + frame.height + 3
    x = min(max(mx + 5, frame.x), frame.x + max(frame.width, width) - width)
    drawing.add(Words(x, foot, text, FIGURES, Style.BOLD))
    start = x - 2 if x > mx else min(max(mx, x), x + width)
    drawing.line(start, foot + (2 if x > mx else -1), mx, min(my, high), marks.DIMENSION)


def _place(drawing: Drawing, part: Part, cutout: Cutout, frame: Frame, units: Units) -> None:
    """Draw the measures from the left and from the front edge outside the part."""
    if cutout.kind is CutoutKind.NOTCH and _at_corner(cutout, part):
        return
    left, low, right, high = frame.box(cutout)
    from_left, from_front = cutout.from_left, cutout.from_front
    if cutout.kind in (CutoutKind.HOLE, CutoutKind.DISC):
        # Round things are marked out by their middle.
        left, low, right = (left + right) / 2, (low + high) / 2, (left + right) / 2
        from_left = Ticks(from_left + cutout.length // 2)
        from_front = Ticks(from_front + cutout.width // 2)
    if from_left > 0:
        y = frame.y - 6
        drawing.line(frame.x, frame.y - 2, frame.x, y - 3, marks.DIMENSION)
        drawing.line(left, low, left, y - 3, marks.DIMENSION, dash=(1.2, 1.2))
        _measure(drawing, (frame.x, y), (left, y), plain_length(from_left, units))
    if from_front > 0:
        x = frame.x + frame.width + 6
        drawing.line(frame.x + frame.width + 2, frame.y, x + 3, frame.y, marks.DIMENSION)
        drawing.line(right, low, x + 3, low, marks.DIMENSION, dash=(1.2, 1.2))
        _measure(drawing, (x, frame.y), (x, low), plain_length(from_front, units))


def _measure(drawing: Drawing, start: PaperPoint, end: PaperPoint, text: str) -> None:
    """Draw a small dimension: figures in its gap, or beside its end where they do not fit."""
    (x0, y0), (x1, y1) = start, end
    width = width_of(text, FIGURES)
    level = y0 == y1
    drawing.line(x0, y0, x1, y1, marks.DIMENSION)
    for x, y in (start, end):
        drawing.line(x - 1.4, y - 1.4, x + 1.4, y + 1.4, CUTOUT_OUTLINE)
    if level and x1 - x0 > width + 12:
        mx = (x0 + x1) / 2
        drawing.rectangle(mx - width / 2 - 2, y0 - 2, width + 4, 4, 0, fill=WHITE)
        drawing.add(Words(mx, y0 - FIGURES * 0.36, text, FIGURES, align=Align.MIDDLE))
    elif level:
        drawing.add(Words(x1 + 4, y0 - FIGURES * 0.36 - 1, text, FIGURES))
    else:
        drawing.add(Words(x0 + 5, (y0 + y1) / 2 - FIGURES * 0.36, text, FIGURES))


def _near(
    drawing: Drawing,
    text: str,
    cutout: Cutout,
    frame: Frame,
    cutouts: Sequence[_Box],
    written: list[_Box],
) -> None:
    """Write a few letters in or beside a cutout, clear of other letters and other cutouts.

    Where there is no such place they may stand in another cutout, but never on letters.
    """
    width, height = width_of(text, FIGURES, Style.BOLD), FIGURES * 0.75
    own = frame.box(cutout)
    others = [box for box in cutouts if box != own]
    for taken, strict in (([*written, *others], True), (written, True), (written, False)):
        for near_x, near_y in _places_for(own, width, height):
            # They keep inside the part, clear of its outline and bands.
            x = min(max(near_x, frame.x + 5), frame.x + frame.width - 5 - width)
            y = min(max(near_y, frame.y + 5), frame.y + frame.height - 5 - height)
            here = (x, y, x + width, y + height)
            clear = not strict or _inside(here, own) or not _meet(here, own, 0.5)
            if clear and not any(_meet(here, box, 1.5) for box in taken):
                drawing.add(Words(x, y, text, FIGURES, Style.BOLD))
                written.append(here)
                return


def _meet(a: _Box, b: _Box, gap: float) -> bool:
    """Say whether two boxes come nearer than a gap."""
    return a[0] < b[2] + gap and a[2] > b[0] - gap and a[1] < b[3] + gap and a[3] > b[1] - gap


def _inside(a: _Box, b: _Box) -> bool:
    """Say whether a box lies in another."""
    return a[0] >= b[0] and a[2] <= b[2] and a[1] >= b[1] and a[3] <= b[3]


def _places_for(box: _Box, width: float, height: float) -> Iterator[PaperPoint]:
    """Yield places for the lower left corner of letters: in a cutout, then around it."""
    left, low, right, high = box
    mx, my = (left + right - width) / 2, (low + high - height) / 2
    if right - left > width + 2 and high - low > height + 2:
        yield mx, my
    yield right + 2, my
    yield left - width - 2, my
    yield mx, high + 2
    yield mx, low - height - 2
