"""The drawing on a store sheet: only the store's cuts, each measured from a heavy bar."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from cutopt.draw import marks
from cutopt.draw.flags import RimFlag, draw_rim_flag, flag_rect, rim_flags
from cutopt.draw.lines import TIMES, line_of
from cutopt.draw.marks import Dimension, Points
from cutopt.draw.scene import Align, Drawing, Hatch, Style
from cutopt.draw.sheet import PieceFrame
from cutopt.draw.space import Rect, free_rects, meets_any
from cutopt.draw.typeset import Length, Line, line_width, set_line, width_of
from cutopt.model.layout import Direction
from cutopt.steps.letters import FloorPiece
from cutopt.steps.store import StoreCut, StoreSheet
from cutopt.units import Units, rounded

FLAG = 15.0
INNER_FLAG = 13.0
LETTER = 40.0
LEAST = 11.0
"""Smallest type on a store sheet, tape figures and foot apart."""
SIZE = 11.5
OUTSIDE_FIGURES = 19.0
FIGURES = 14.0
BELOW = 34.0
"""Points from the lower edge to the dimension of the first crosscut."""
FROM_BAR = 42.0
"""Points from the bar to the dimension of a rip."""
ABOVE_DRAWING = 34.0
UNDER_DRAWING = 46.0
LEFT_OF_DRAWING = 30.0
RIGHT_OF_DRAWING = 44.0


@dataclass(frozen=True, slots=True)
class _Label:
    """A piece's letter and, where it fits, its size: what they cover and how they are set."""

    rect: Rect
    letter_size: float
    lines: tuple[Line, ...]


@dataclass(slots=True)
class _Taken:
    """What may not be written on: hard (flags, bars, figures) and lines of dimensions."""

    hard: list[Rect]
    lines: list[Rect]


def room_for_drawing(left: float, right: float, top: float) -> Rect:
    """Give the room of the outline in the full width under ``top``; its height is unlimited."""
    return Rect(left + LEFT_OF_DRAWING, 0.0, right - RIGHT_OF_DRAWING, top - ABOVE_DRAWING)


def frame_in(sheet: StoreSheet, room: Rect, height: float) -> PieceFrame:
    """Give the sheet on paper: as wide as the room, no higher than ``height`` points."""
    length, width = sheet.stock.length, sheet.stock.width
    scale = min(room.width / length, height / width)
    return PieceFrame(0, 0, length, width, room.x0, room.y1 - width * scale, scale)


def draw_store_cuts(drawing: Drawing, sheet: StoreSheet, frame: PieceFrame, units: Units) -> None:
    """Draw the sheet with its cuts, flags, bars, tapes, letters and dimensions."""
    rim, inner = _flags(sheet, frame)
    bars = _bars(sheet, frame)
    _waste(drawing, sheet, frame)
    outline = frame.rect
    drawing.rectangle(outline.x0, outline.y0, outline.width, outline.height, marks.STOCK_OUTLINE)
    cut_lines = [_cut_line(cut, frame) for cut in sheet.cuts]
    for line in cut_lines:
        drawing.line(*_ends(line), marks.STORE_CUT)
    for bar in bars:
        marks.heavy_bar(drawing, *bar)
    _tapes(drawing, sheet, frame, rim, units)

    flags = [*(one.rect for one in rim), *(flag.rect for flag in inner)]
    taken = _Taken(
        [
            *flags,
            *(_bar_rect(bar) for bar in bars),
            *(line.grown(1.5) for line in (*cut_lines, *_rim_lines(outline))),
        ],
        [],
    )
    inks = [*flags, *(_bar_rect(bar).grown(1) for bar in bars)]
    ideal = {piece.letter: _label(piece, frame, inks, units) for piece in sheet.pieces}
    dimensions = _dimensions(drawing, sheet, frame, ideal, taken, units)
    inks += [rect.grown(1.5) for one in dimensions for rect in (one.words, one.line)]
    inks += [line.grown(1.0) for line in cut_lines]
    thin = []
    set_labels = []
    for piece in sheet.pieces:
        label = _label(piece, frame, inks, units)
        if label is None:
            thin.append(piece)
        else:
            _set_label(drawing, piece, label, units)
            set_labels.append(label.rect)
    _name_beside(drawing, thin, frame, [*inks, *set_labels])
    for one in rim:
        draw_rim_flag(drawing, one)
    for flag in inner:
        marks.flag(drawing, flag.x, flag.y, flag.number, flag.points, INNER_FLAG)


def _ends(line: Rect) -> tuple[float, float, float, float]:
    """Give the two ends of a cut's line: its rectangle has no breadth one way."""
    return line.x0, line.y0, line.x1, line.y1


def _cut_line(cut: StoreCut, frame: PieceFrame) -> Rect:
    """Give a cut's line, in the middle of what the blade takes, as a rectangle without breadth."""
    rect = frame.rect_of(cut.x, cut.y, cut.length, cut.width)
    middle = (cut.line + cut.kerf / 2) * frame.scale
    if cut.direction is Direction.CROSSCUT:
        return Rect(rect.x0 + middle, rect.y0, rect.x0 + middle, rect.y1)
    return Rect(rect.x0, rect.y0 + middle, rect.x1, rect.y0 + middle)


def _rim_lines(rim: Rect) -> tuple[Rect, ...]:
    """Give the four edges of the sheet as rectangles without breadth."""
    return (
        Rect(rim.x0, rim.y0, rim.x0, rim.y1),
        Rect(rim.x1, rim.y0, rim.x1, rim.y1),
        Rect(rim.x0, rim.y0, rim.x1, rim.y0),
        Rect(rim.x0, rim.y1, rim.x1, rim.y1),
    )


def _waste(drawing: Drawing, sheet: StoreSheet, frame: PieceFrame) -> None:
    """Hatch what the store throws away."""
    for cut in sheet.cuts:
        past = cut.line + cut.kerf
        crosscut = cut.direction is Direction.CROSSCUT
        sides = (
            (cut.first, cut.x, cut.y, cut.line),
            (
                cut.second,
                cut.x + (past if crosscut else 0),
                cut.y + (0 if crosscut else past),
                (cut.length if crosscut else cut.width) - past,
            ),
        )
        for side, x, y, measure in sides:
            if side is not None and side.waste:
                size = (measure, cut.width) if crosscut else (cut.length, measure)
                rect = frame.rect_of(x, y, *size)
                drawing.add(Hatch(rect.x0, rect.y0, rect.width, rect.height))


# Bars and tapes ---------------------------------------------------------------------------


def _bars(sheet: StoreSheet, frame: PieceFrame) -> list[tuple[float, float, float, float]]:
    """Give the reference edges as lines: outside the rim, or just inside an inner edge."""
    rim = frame.rect
    half = marks.BAR / 2
    found = []
    for cut in sheet.cuts:
        rect = frame.rect_of(cut.x, cut.y, cut.length, cut.width)
        if cut.edge == "left end":
            x = rim.x0 - half if cut.x == 0 else rect.x0 + half + 0.4
            found.append((x, rect.y0, x, rect.y1))
        elif cut.edge == "right end":
            at_rim = cut.x + cut.length == frame.length
            x = rim.x1 + half if at_rim else rect.x1 - half - 0.4
            found.append((x, rect.y0, x, rect.y1))
        elif cut.edge == "bottom edge":
            y = rim.y0 - half if cut.y == 0 else rect.y0 + half + 0.4
            found.append((rect.x0, y, rect.x1, y))
        else:
            at_rim = cut.y + cut.width == frame.width
            y = rim.y1 + half if at_rim else rect.y1 - half - 0.4
            found.append((rect.x0, y, rect.x1, y))
    return list(dict.fromkeys(found))


def _bar_rect(bar: tuple[float, float, float, float]) -> Rect:
    return Rect(*bar).grown(marks.BAR / 2)


def _tapes(
    drawing: Drawing,
    sheet: StoreSheet,
    frame: PieceFrame,
    flags: Sequence[RimFlag],
    units: Units,
) -> None:
    """Lay a tape along the left end and the bottom edge, where they are measured from."""
    rim = frame.rect
    if any(cut.edge == "left end" and cut.x == 0 for cut in sheet.cuts):
        marks.tape(drawing, (rim.x0, rim.y0 - marks.BAR - 2), rim.width, sheet.stock.length, units)
    if any(cut.edge == "bottom edge" and cut.y == 0 for cut in sheet.cuts):
        clear = [(f.rect.y0, f.rect.y1) for f in flags if f.points is Points.RIGHT]
        marks.tape(
            drawing, (rim.x0 - marks.BAR - 2, rim.y0), rim.height, sheet.stock.width, units,
            upright=True, keep_clear=clear,
        )  # fmt: skip


# Flags ------------------------------------------------------------------------------------


def _flags(
    sheet: StoreSheet, frame: PieceFrame
) -> tuple[tuple[RimFlag, ...], tuple[_InnerFlag, ...]]:
    """Give the flags at the rims and those within."""
    rim = frame.rect
    top: list[tuple[int, float]] = []
    left: list[tuple[int, float]] = []
    right: list[tuple[int, float]] = []
    within: list[StoreCut] = []
    for cut in sheet.cuts:
        line = _cut_line(cut, frame)
        if cut.direction is Direction.CROSSCUT:
            if cut.y + cut.width == frame.width:
                top.append((cut.step, line.x0))
                continue
        elif cut.x == 0:
            left.append((cut.step, line.y0))
            continue
        elif cut.x + cut.length == frame.length:
            right.append((cut.step, line.y0))
            continue
        within.append(cut)
    at_rims = (
        *rim_flags(top, rim.y1, Points.DOWN, FLAG, 0.8),
        *rim_flags(left, rim.x0, Points.RIGHT, FLAG, 0.8),
        *rim_flags(right, rim.x1, Points.LEFT, FLAG, 0.8),
    )
    inner: list[_InnerFlag] = []
    for cut in within:
        taken = [*(flag.rect for flag in at_rims), *(flag.rect for flag in inner)]
        inner.append(_inner_flag(cut, frame, taken))
    return at_rims, tuple(inner)


@dataclass(frozen=True, slots=True)
class _InnerFlag:
    """A flag within the sheet: its point on the line, at its start or further along."""

    x: float
    y: float
    number: int
    points: Points

    @property
    def rect(self) -> Rect:
        """What it covers."""
        return flag_rect(self.x, self.y, self.number, INNER_FLAG, self.points)


def _inner_flag(cut: StoreCut, frame: PieceFrame, taken: Sequence[Rect]) -> _InnerFlag:
    """Place an inner flag at the start of its line, clear of those that stand already."""
    line = _cut_line(cut, frame)
    crosscut = cut.direction is Direction.CROSSCUT
    along = line.height if crosscut else line.width
    rim = frame.rect
    slide = 1.2
    while slide <= max(along - INNER_FLAG, 1.2):
        flag = (
            _InnerFlag(line.x0, line.y1 - slide, cut.step, Points.UP)
            if crosscut
            else _InnerFlag(line.x0 + slide, line.y0, cut.step, Points.LEFT)
        )
        if rim.holds(flag.rect) and not meets_any(flag.rect, taken):
            return flag
        slide += 3.0
    # Too short a line, or others stand on it: before its start, pointing at it.
    if crosscut:
        return _InnerFlag(line.x0, line.y1 + 1.2, cut.step, Points.DOWN)
    return _InnerFlag(line.x0 - 1.2, line.y0, cut.step, Points.RIGHT)


# Letters ----------------------------------------------------------------------------------


def _label(
    piece: FloorPiece, frame: PieceFrame, inks: Sequence[Rect], units: Units
) -> _Label | None:
    """Give the largest letter, with its size under it if there is room, in the middle if free."""
    rect = frame.rect_of(piece.x, piece.y, piece.node.length, piece.node.width)
    inside = rect.grown(-2.5)
    middle = rect.middle
    rooms = free_rects(inside, inks) if inside.width > 0 and inside.height > 0 else ()
    most = max(LEAST, min(LETTER, 0.42 * rect.height))
    for lines, least in ((sized, 18.0) for sized in _sizes(piece, units)):
        for size in _downwards(most, min(least, most)):
            found = _place(piece.letter, size, lines, rooms, middle, inks, units)
            if found is not None:
                return found
    for size in _downwards(max(most, min(LETTER, rect.height)), LEAST):
        found = _place(piece.letter, size, (), rooms, middle, inks, units)
        if found is not None:
            return found
    return None


def _sizes(piece: FloorPiece, units: Units) -> tuple[tuple[Line, ...], ...]:
    length = Length(rounded(piece.node.length, units))
    width = Length(rounded(piece.node.width, units))
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
) -> _Label | None:
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
    return None if meets_any(box, inks) else _Label(box, size, lines)


def _name_beside(
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
            for x in sorted(_steps(strip.x0 + width, strip.x1 - width), key=lambda x: abs(x - mx)):
                yield x, strip.y1 + off
                yield x, strip.y0 - off
        else:
            for y in sorted(_steps(strip.y0 + 6, strip.y1 - 6), key=lambda y: abs(y - my)):
                yield strip.x1 + off + width / 2, y
                yield strip.x0 - off - width / 2, y
    yield mx, my


def _tail(letter: str, size: float) -> float:
    """Give how far a letter hangs below its line: of the capitals only Q does."""
    return size * 0.12 if "Q" in letter else 0.0


def _set_label(drawing: Drawing, piece: FloorPiece, label: _Label, units: Units) -> None:
    """Write a label."""
    x, _ = label.rect.middle
    baseline = label.rect.y1 - label.letter_size * 0.72
    set_line(drawing, x, baseline, piece.letter, label.letter_size, Style.BOLD, align=Align.MIDDLE)
    baseline -= 3.0 + SIZE + _tail(piece.letter, label.letter_size)
    for line in label.lines:
        set_line(drawing, x, baseline, line, SIZE, units=units, align=Align.MIDDLE)
        baseline -= SIZE * 1.15


# Dimensions -------------------------------------------------------------------------------


def _dimensions(
    drawing: Drawing,
    sheet: StoreSheet,
    frame: PieceFrame,
    letters: dict[str, _Label | None],
    taken: _Taken,
    units: Units,
) -> list[Dimension]:
    """Draw every cut's setting where it crosses the least, and give what was drawn."""
    soft = [label.rect.grown(3) for label in letters.values() if label is not None]
    drawn: list[Dimension] = []
    first_crosscut = True
    rim = frame.rect
    field = Rect(20.0, rim.y0 - UNDER_DRAWING, drawing.width - 20.0, rim.y1 + FLAG)
    figures = [
        Rect(rim.x0 - LEFT_OF_DRAWING, rim.y0 - 22, rim.x1 + 12, rim.y0),
        Rect(rim.x0 - LEFT_OF_DRAWING, rim.y0 - 22, rim.x0, rim.y1),
    ]
    taken.hard.extend(figures)
    for cut in sheet.cuts:
        crosscut = cut.direction is Direction.CROSSCUT
        line: Line = line_of((cut.setting,), units)
        best: tuple[float, Dimension] | None = None
        for order, laid in enumerate(
            _candidates(cut, frame, line, units, below=crosscut and first_crosscut)
        ):
            cost = order * 0.01 + _cost(laid, field, taken, soft)
            if best is None or cost < best[0]:
                best = (cost, laid)
        if crosscut:
            first_crosscut = False
        if best is None or best[0] >= 1000:
            continue
        laid = best[1]
        marks.dimension(drawing, laid.start, laid.end, line, laid.size, units, share=laid.share)
        _extend(drawing, laid, frame)
        taken.hard.append(laid.words.grown(2))
        taken.lines.append(laid.line)
        drawn.append(laid)
    return drawn


def _candidates(
    cut: StoreCut, frame: PieceFrame, line: Line, units: Units, *, below: bool
) -> Iterator[Dimension]:
    """Yield the places for a dimension, the best first."""
    rect = frame.rect_of(cut.x, cut.y, cut.length, cut.width)
    rim = frame.rect
    crosscut = cut.direction is Direction.CROSSCUT
    setting = cut.setting * frame.scale
    if crosscut:
        start = rect.x0 if cut.edge == "left end" else rect.x1 - setting
        end = start + setting
        if below and cut.y == 0:
            y = rim.y0 - BELOW
            yield marks.lay_dimension((start, y), (end, y), line, OUTSIDE_FIGURES, units)
        for y in _steps(rect.y0 + 24, rect.y1 - 10):
            for share in (0.5, 0.7, 0.3):
                yield marks.lay_dimension((start, y), (end, y), line, FIGURES, units, share=share)
        return
    start = rect.y0 if cut.edge == "bottom edge" else rect.y1 - setting
    end = start + setting
    if cut.x > 0 and cut.x + cut.length == frame.length:
        x = rim.x1 + RIGHT_OF_DRAWING / 2
        for share in (0.5, 0.7, 0.3):
            yield marks.lay_dimension((x, start), (x, end), line, FIGURES, units, share=share)
    for x in _steps(rect.x0 + FROM_BAR, rect.x1 - 8):
        for share in (0.5, 0.72, 0.28):
            yield marks.lay_dimension((x, start), (x, end), line, FIGURES, units, share=share)
    for x in _steps(rect.x0 + 12, rect.x0 + FROM_BAR):
        yield marks.lay_dimension((x, start), (x, end), line, FIGURES, units)


def _steps(low: float, high: float) -> Iterator[float]:
    place = low
    while place <= high:
        yield place
        place += 6.0


def _cost(laid: Dimension, field: Rect, taken: _Taken, soft: Sequence[Rect]) -> float:
    """Weigh what a dimension would cross: nothing legible may be, letters may move aside."""
    words = laid.words.grown(1.5)
    cost = 0.0 if field.holds(words) else 1000.0
    cost += 1000.0 * meets_any(words, taken.hard)
    cost += 200.0 * sum(words.meets(line) for line in taken.lines)
    # The figures of another dimension are among what is taken; its line may be crossed.
    cost += 40.0 * sum(laid.line.meets(rect) for rect in taken.hard if rect.height > 6 < rect.width)
    cost += 100.0 * sum(words.meets(rect) or laid.line.meets(rect) for rect in soft)
    return cost


def _extend(drawing: Drawing, laid: Dimension, frame: PieceFrame) -> None:
    """Draw the short end lines of a dimension that stands outside the sheet."""
    rim = frame.rect
    (x0, y0), (x1, y1) = laid.start, laid.end
    if laid.level and y0 < rim.y0:
        for x in (x0, x1):
            drawing.line(x, y0 - 4, x, y0 + 6, marks.DIMENSION)
    elif not laid.level and x0 > rim.x1:
        for y in (y0, y1):
            drawing.line(rim.x1 + 2, y, x0 + 4, y, marks.DIMENSION)
