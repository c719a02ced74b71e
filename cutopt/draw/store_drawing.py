"""The drawing on a store sheet: only the store's cuts, each measured from a heavy bar."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from cutopt.draw import marks
from cutopt.draw.flags import RimFlag, draw_rim_flag, flag_rect, rim_flags
from cutopt.draw.marks import Points
from cutopt.draw.scene import Drawing, Hatch
from cutopt.draw.sheet import PieceFrame
from cutopt.draw.space import Rect, meets_any
from cutopt.draw.store_dimensions import (
    LEFT_OF_DRAWING,
    RIGHT_OF_DRAWING,
    Taken,
    draw_dimensions,
    keeps_off,
)
from cutopt.draw.store_letters import Label, lay_label, name_beside, set_label
from cutopt.model.layout import Direction
from cutopt.steps.store import StoreCut, StoreSheet
from cutopt.units import Units

FLAG = 15.0
INNER_FLAG = 13.0
ABOVE_DRAWING = 34.0


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
    taken = Taken(
        [
            *flags,
            *(_bar_rect(bar) for bar in bars),
            *(line.grown(1.5) for line in (*cut_lines, *_rim_lines(outline))),
        ],
        [],
    )
    inks = [*flags, *(_bar_rect(bar).grown(1) for bar in bars)]
    settings = sheet.settings
    ideal = {one.letter: lay_label(one, frame, inks, settings, units) for one in sheet.pieces}
    lines = [line.grown(1.0) for line in cut_lines]
    by_letter = {piece.letter: piece for piece in sheet.pieces}

    def relaid(letter: str, beside: Sequence[Rect]) -> Label | None:
        room = [*inks, *lines, *beside]
        return lay_label(by_letter[letter], frame, room, settings, units)

    dimensions = draw_dimensions(drawing, sheet, frame, ideal, relaid, taken, units)
    inks += [room for one in dimensions for room in keeps_off(one)]
    inks += lines
    thin = []
    set_labels = []
    for piece in sheet.pieces:
        label = lay_label(piece, frame, inks, settings, units)
        if label is None:
            thin.append(piece)
        else:
            set_label(drawing, piece, label, units)
            set_labels.append(label.rect)
    name_beside(drawing, thin, frame, [*inks, *set_labels])
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
