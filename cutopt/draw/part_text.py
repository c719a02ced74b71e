"""What stands in a part on a shop sheet: as much as its free room takes, never less than legible.

A ladder: three lines level, on end, two lines, one line; what takes none of them gets a key.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from cutopt.draw import marks
from cutopt.draw.lines import GAP, wrap_line
from cutopt.draw.scene import Align, Drawing, Style
from cutopt.draw.space import Rect
from cutopt.draw.typeset import NARROWEST, Line, as_text, line_width, set_line
from cutopt.units import Units

SIZES = (12.0, 11.0, 10.0, 9.0, 8.0, 7.0)
ONE_LINE_SIZES = (9.0, 8.0, 7.5, 7.0, 6.5)
COUNT = 8.0
ON_END = 1.8
"""Height over width from which words may stand on end."""
SIDE = 3.0
"""Points left free beside words, at either end."""
OVER = 2.0
"""Points left free over and under words."""
ARROW_ROOM = 11.0
MOST_ARROW = 52.0
PITCH = 1.22
CAPITALS = 0.75
"""Of the size: height of capitals and figures. Helvetica's own metrics say 0.718."""
OVER_ONE_LINE = 0.6


@dataclass(frozen=True, slots=True)
class PartText:
    """What may be said of a part: its name, its cut size, which copy it is.

    Attributes:
        placed: which copy is said wherever there is room: its place in a run hangs on it.
    """

    name: Line
    size: Line
    copy: str = ""
    placed: bool = False


@dataclass(frozen=True, slots=True)
class TextLine:
    """One line of a block."""

    line: Line
    size: float
    style: Style


@dataclass(frozen=True, slots=True)
class TextBlock:
    """Lines around a middle, level or on end; ``along`` and ``across`` are their extent."""

    lines: tuple[TextLine, ...]
    x: float
    y: float
    along: float
    across: float
    upright: bool
    room: Rect

    @property
    def rect(self) -> Rect:
        """What the words cover."""
        width, height = self.across, self.along
        if not self.upright:
            width, height = height, width
        return Rect(
            self.x - width / 2, self.y - height / 2, self.x + width / 2, self.y + height / 2
        )


def lay_text(
    text: PartText,
    part: Rect,
    rooms: Sequence[Rect],
    units: Units,
    *,
    arrow: bool = False,
    short: str = "",
) -> TextBlock | None:
    """Give the first rung of the ladder that fits one of the rooms, None where none does.

    Args:
        text: what may be said.
        part: the part on the page; words stand as near its middle as a room allows.
        rooms: rectangles of the part that are free.
        units: for lengths.
        arrow: leave room for a grain arrow under three lines where possible.
        short: what may stand alone where one line does not fit, or "".
    """
    tall = part.height > ON_END * part.width
    for lines, upright, extra in _rungs(text, rooms, units, short=short, tall=tall, arrow=arrow):
        along, across = _extent(lines, units)
        over = OVER if len(lines) > 1 else OVER_ONE_LINE
        found = _fit(part, rooms, along, across + extra, over, upright=upright)
        if found is not None:
            x, y, room = found
            shift = extra / 2
            return TextBlock(lines, x, y if upright else y + shift, along, across, upright, room)
    return None


def _rungs(
    text: PartText,
    rooms: Sequence[Rect],
    units: Units,
    *,
    short: str,
    tall: bool,
    arrow: bool,
) -> Iterator[tuple[tuple[TextLine, ...], bool, float]]:
    """Yield blocks of lines, whether on end, and room for an arrow, the best first."""
    copy = (TextLine(text.copy, COUNT, Style.REGULAR),) if text.copy else ()
    widest = max((room.width for room in rooms), default=0.0) - 2 * SIDE
    highest = max((room.height for room in rooms), default=0.0) - 2 * SIDE

    def full(size: float, along: float) -> Iterator[tuple[TextLine, ...]]:
        measure = TextLine(text.size, max(7.0, size * 10 / 12), Style.REGULAR)
        yield (TextLine(text.name, size, Style.BOLD), measure, *copy)
        if along > 0:
            names = wrap_line(text.name, size, along, Style.BOLD, units)
            if 1 < len(names) <= 3 and not _broken(names, text.name, units):
                yield (*(TextLine(name, size, Style.BOLD) for name in names), measure, *copy)

    orders = [(size, False) for size in SIZES]
    if tall:
        orders = [(size, end) for end in (False, True) for size in SIZES[:3]] + [
            (size, end) for end in (True, False) for size in SIZES[3:]
        ]
    for wanted in (ARROW_ROOM, 0.0) if arrow else (0.0,):
        for size, end in orders:
            for lines in full(size, highest if end else widest):
                yield lines, end, 0.0 if end else wanted
    measures: tuple[Line, ...] = (text.size,)
    if text.placed:
        measures = ((*_pieces(text.size), GAP, text.copy), text.size)
    for measure in measures:
        for end in (False, True) if tall else (False,):
            for size in SIZES[2:]:
                yield (
                    (
                        TextLine(text.name, size, Style.BOLD),
                        TextLine(measure, max(7.0, size - 1), Style.REGULAR),
                    ),
                    end,
                    0.0,
                )
    ones: list[Line] = [(*_pieces(text.name), " ", *_pieces(measure)) for measure in measures]
    for line in (*ones, short) if short else ones:
        for end in (False, True):
            for size in ONE_LINE_SIZES:
                yield (TextLine(line, size, Style.BOLD),), end, 0.0


def _pieces(line: Line) -> Line:
    return (line,) if isinstance(line, str) else line


def _broken(lines: Sequence[Line], name: Line, units: Units) -> bool:
    """Say whether wrapping had to break a word."""
    words = as_text(name, units).split()
    return [word for line in lines for word in as_text(line, units).split()] != words


def _extent(lines: Sequence[TextLine], units: Units) -> tuple[float, float]:
    """Give the least extent of a block along and across its lines, points."""
    along = max(line_width(one.line, one.size, one.style, units) * NARROWEST for one in lines)
    if len(lines) == 1:
        return along, lines[0].size * CAPITALS
    across = sum(one.size * PITCH for one in lines) - lines[-1].size * (PITCH - 0.93)
    return along, across


def _fit(
    part: Rect,
    rooms: Sequence[Rect],
    along: float,
    across: float,
    over: float,
    *,
    upright: bool,
) -> tuple[float, float, Rect] | None:
    """Give the place nearest the part's middle where a block fits, and its room."""
    width, height = (across, along) if upright else (along, across)
    side, over = (over, SIDE) if upright else (SIDE, over)
    mx, my = part.middle
    best: tuple[float, float, float, Rect] | None = None
    for room in rooms:
        inside = Rect(room.x0 + side, room.y0 + over, room.x1 - side, room.y1 - over)
        if inside.width < width or inside.height < height:
            continue
        x = min(max(mx, inside.x0 + width / 2), inside.x1 - width / 2)
        y = min(max(my, inside.y0 + height / 2), inside.y1 - height / 2)
        off = abs(x - mx) + abs(y - my)
        if best is None or off < best[0]:
            best = (off, x, y, inside)
    return best[1:] if best is not None else None


def set_block(drawing: Drawing, block: TextBlock, units: Units) -> None:
    """Write a block, its lines condensed where they need it."""
    room = block.room.height if block.upright else block.room.width
    # Half the room on the narrower side of the block's middle, so that it stays centred.
    if block.upright:
        room = min(room, 2 * min(block.y - block.room.y0, block.room.y1 - block.y))
    else:
        room = min(room, 2 * min(block.x - block.room.x0, block.room.x1 - block.x))
    room = max(room, block.along) + 0.01
    place = block.across / 2
    for one in block.lines:
        place -= one.size * CAPITALS
        x, y = (block.x - place, block.y) if block.upright else (block.x, block.y + place)
        set_line(
            drawing, x, y, one.line, one.size, one.style, units,
            align=Align.MIDDLE, room=room, upright=block.upright,
        )  # fmt: skip
        place -= one.size * (PITCH - CAPITALS)


def set_arrow(drawing: Drawing, block: TextBlock | None, rooms: Sequence[Rect]) -> None:
    """Draw a grain arrow along the stock under a block, or where the part has room for one."""
    words = block.rect.grown(1.0) if block is not None else None
    if block is not None and not block.upright:
        below = block.y - block.across / 2 - 7
        half = min(MOST_ARROW / 2, block.room.width / 2 - 2, block.x - block.room.x0,
                   block.room.x1 - block.x)  # fmt: skip
        if below - 3 > block.room.y0 - 1 and half > 8:
            marks.grain_arrow(drawing, block.x, below, 2 * half, upright=False)
            return
    for room in rooms:
        length = min(MOST_ARROW, room.width - 6)
        if length < 12:
            continue
        x, _ = room.middle
        for y in (room.y0 + 5, room.y1 - 5):
            place = Rect(x - length / 2, y - 3, x + length / 2, y + 3)
            if room.holds(place) and (words is None or not place.meets(words)):
                marks.grain_arrow(drawing, x, y, length, upright=False)
                return
