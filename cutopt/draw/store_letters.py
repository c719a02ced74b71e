"""Letters of pieces on a store sheet: as large as there is room, clear of all other ink."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Sequence
from dataclasses import dataclass

from cutopt.draw import marks
from cutopt.draw.lines import TIMES
from cutopt.draw.scene import Align, Drawing, Style
from cutopt.draw.sheet import PieceFrame
from cutopt.draw.space import Rect, free_rects, meets_any, steps
from cutopt.draw.typeset import Length, Line, line_width, set_line, width_of
from cutopt.steps.letters import FloorPiece
from cutopt.steps.store import said_size
from cutopt.units import Units

LETTER = 40.0
LEAST = 11.0
"""Smallest type on a store sheet, tape figures and foot apart."""
SIZE = 11.5


@dataclass(frozen=True, slots=True)
class Label:
    """A piece's letter and, where it fits, its size: what they cover and how they are set."""

    rect: Rect
    letter_size: float
    lines: tuple[Line, ...]


def lay_label(
    piece: FloorPiece,
    frame: PieceFrame,
    inks: Sequence[Rect],
    settings: Collection[int],
    units: Units,
) -> Label | None:
    """Give the largest letter, with its size under it if there is room, in the middle if free."""
    rect = frame.rect_of(piece.x, piece.y, piece.node.length, piece.node.width)
    inside = rect.grown(-2.5)
    middle = rect.middle
    rooms = free_rects(inside, inks) if inside.width > 0 and inside.height > 0 else ()
    most = max(LEAST, min(LETTER, 0.42 * rect.height))
    for lines, least in ((sized, 18.0) for sized in _sizes(piece, settings, units)):
        for size in _downwards(most, min(least, most)):
            found = _place(piece.letter, size, lines, rooms, middle, inks, units)
            if found is not None:
                return found
    for size in _downwards(max(most, min(LETTER, rect.height)), LEAST):
        found = _place(piece.letter, size, (), rooms, middle, inks, units)
        if found is not None:
            return found
    return None


def _sizes(
    piece: FloorPiece, settings: Collection[int], units: Units
) -> tuple[tuple[Line, ...], ...]:
    length = Length(said_size(piece.node.length, settings, units))
    width = Length(said_size(piece.node.width, settings, units))
    return ((length, TIMES, width),), ((length, TIMES.rstrip()), (width,))


def _downwards(most: float, least: float) -> Iterator[float]:
    size = most
    while size > least:
        yield size
        size -= 2.0
    yield least


def _place(
    letter: str,
    size: float,
    lines: tuple[Line, ...],
    rooms: Sequence[Rect],
    middle: tuple[float, float],
    inks: Sequence[Rect],
    units: Units,
) -> Label | None:
    """Give the label around the piece's middle, else in the nearest room that takes it."""
    width = max(
        [
            width_of(letter, size, Style.BOLD),
            *(line_width(line, SIZE, units=units) for line in lines),
        ]
    )
    height = size * 0.72 + SIZE * 1.15 * max(0, len(lines) - 1)
    if lines:
        height += 4.0 + SIZE + _tail(letter, size)
    fitting = [room for room in rooms if room.width >= width and room.height >= height]
    if not fitting:
        return None

    def centre(room: Rect) -> tuple[float, float]:
        x = min(max(middle[0], room.x0 + width / 2), room.x1 - width / 2)
        y = min(max(middle[1], room.y0 + height / 2), room.y1 - height / 2)
        return x, y

    def off(room: Rect) -> float:
        x, y = centre(room)
        return abs(x - middle[0]) + abs(y - middle[1])

    x, y = centre(min(fitting, key=off))
    box = Rect(x - width / 2, y - height / 2, x + width / 2, y + height / 2)
    return None if meets_any(box, inks) else Label(box, size, lines)


def name_beside(
    drawing: Drawing, thin: Sequence[FloorPiece], frame: PieceFrame, inks: list[Rect]
) -> None:
    """Write the letters of strips too thin for them next to them, with a line to each."""
    rim = frame.rect
    field = Rect(rim.x0, rim.y0, drawing.width - 20.0, rim.y1)
    for piece in thin:
        strip = frame.rect_of(piece.x, piece.y, piece.node.length, piece.node.width)
        width = width_of(piece.letter, LEAST, Style.BOLD)
        for x, y in _around(strip, width):
            box = Rect(x - width / 2 - 2, y - 5.5, x + width / 2 + 2, y + 5.5)
            if field.holds(box) and not meets_any(box, inks):
                end = min(max(x, strip.x0 + 1), strip.x1 - 1), min(max(y, strip.y0), strip.y1)
                start = (x, y + (5 if end[1] > y else -5)) if end[0] == x else (x - width, y)
                drawing.line(*start, end[0], strip.middle[1], marks.DIMENSION)
                set_line(
                    drawing, x, y - LEAST * 0.36, piece.letter, LEAST, Style.BOLD,
                    align=Align.MIDDLE,
                )  # fmt: skip
                inks.append(box)
                break


def _around(strip: Rect, width: float) -> Iterator[tuple[float, float]]:
    """Yield places around a strip, near ones first."""
    mx, my = strip.middle
    for off in (11.0, 15.0, 20.0, 26.0, 34.0):
        if strip.width >= strip.height:
            for x in sorted(steps(strip.x0 + width, strip.x1 - width), key=lambda x: abs(x - mx)):
                yield x, strip.y1 + off
                yield x, strip.y0 - off
        else:
            for y in sorted(steps(strip.y0 + 6, strip.y1 - 6), key=lambda y: abs(y - my)):
                yield strip.x1 + off + width / 2, y
                yield strip.x0 - off - width / 2, y
    yield mx, my


def _tail(letter: str, size: float) -> float:
    """Give how far a letter hangs below its line: of the capitals only Q does."""
    return size * 0.12 if "Q" in letter else 0.0


def set_label(drawing: Drawing, piece: FloorPiece, label: Label, units: Units) -> None:
    """Write a label."""
    x, _ = label.rect.middle
    baseline = label.rect.y1 - label.letter_size * 0.72
    set_line(drawing, x, baseline, piece.letter, label.letter_size, Style.BOLD, align=Align.MIDDLE)
    baseline -= 3.0 + SIZE + _tail(piece.letter, label.letter_size)
    for line in label.lines:
        set_line(drawing, x, baseline, line, SIZE, units=units, align=Align.MIDDLE)
        baseline -= SIZE * 1.15
