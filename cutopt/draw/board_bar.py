"""One board as a bar: its parts in their places, and its marks hanging below."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from cutopt.draw import marks
from cutopt.draw.board_words import (
    BAR_HEIGHT,
    NOTE,
    letter_over,
    letters_over,
    runs_of,
    write_run,
)
from cutopt.draw.lines import TIMES, set_lines, wrap_line
from cutopt.draw.scene import DARK, WHITE, Drawing, Hatch, Style, Words
from cutopt.draw.tally import box_every
from cutopt.draw.typeset import Length, Line, line_width, set_line, width_of
from cutopt.steps.boards import BoardRow, Mark, Segment
from cutopt.units import Ticks, Units

BAR_X = 42.0
"""From the margin to the left end of the boards."""
BAD = "bad"
SMALLEST_WORD = 6.5
ID_PITCH = 13.0
ID_GAP = 8.0
SLIVER_LETTERS = 9.0
START_ARROW = 6.0
"""Height over a bar of the arrow where a part begins, points."""
BAD_WORD = 7.5
"""Height over a bar of the words over bad spans, points."""
BAD_STRIP = 3.6
"""Height of the hatch where a part lies on a bad span: its words stay clear of it."""
MARK_ROOM = BAR_X - 6.0
WITH_CHANGE = 39.0
"""Height of a board's name, its mark and whether it changed, one under the other, points."""
MARK = 9.0
MARK_LINE = 9.5
MARKS_APART = 4.0
CLEAR_OF_LINE = 1.5
MOST_NAMES = 120
"""Boards of a bar that are named one by one."""
MOST_MARK_LINES = 3
"""Lines of figures under a bar; where marks want more they are listed in words."""


@dataclass(frozen=True, slots=True)
class PlacedMark:
    """A mark on paper: where its line is, where its figure stands, on which line."""

    mark: Mark
    words: Line
    x: float
    left: float
    level: int


@dataclass(frozen=True, slots=True)
class Bar:
    """One row: the marks under it, or all of them in words where they crowd."""

    row: BoardRow
    placed: tuple[PlacedMark, ...]
    listed: tuple[Line, ...]
    id_lines: tuple[tuple[str, ...], ...]
    slivers: bool

    @property
    def over(self) -> float:
        """Height over the bar: names where several boards share it, letters of slivers, arrows."""
        names = ID_PITCH * len(self.id_lines) + 2 if self.id_lines else 0.0
        return names + self.close_over + (BAD_WORD if self.row.stock.bad else 0.0)

    @property
    def close_over(self) -> float:
        """Height of what stands right on the bar: arrows, letters of slivers."""
        over_bar = START_ARROW if any(mark.start for mark in self.row.marks) else 0.0
        return max(over_bar, SLIVER_LETTERS if self.slivers else 0.0)

    @property
    def below(self) -> float:
        """Height of what hangs under the bar."""
        if self.listed:
            return len(self.listed) * 10.0 + 3
        return 4.0 + MARK_LINE * (1 + max((mark.level for mark in self.placed), default=0))

    @property
    def height(self) -> float:
        """Height with all that stands over it and hangs below, points."""
        beside = WITH_CHANGE if self.row.mark and self.row.change else 0.0
        return self.over + max(BAR_HEIGHT + self.below, beside)


def lay_bar(row: BoardRow, left: float, right: float, scale: float, units: Units) -> Bar:
    """Place a row's marks; where so many lines do not hold them, list them in words."""
    x0 = left + BAR_X
    placed = _place_marks(row.marks, x0, right, scale, units)
    id_lines = _id_lines(_names(row.ids), right - x0) if len(row.ids) > 1 else ()
    slivers = any(letter_over(run, scale) for run in runs_of(row.segments, scale))
    if all(mark.level < MOST_MARK_LINES for mark in placed):
        return Bar(row, placed, (), id_lines, slivers)
    pieces: list[str | Length] = ["marks  "]
    for number, one in enumerate(placed):
        pieces += ["  "] if number else []
        pieces += [one.words] if isinstance(one.words, str) else list(one.words)
    listed = wrap_line(tuple(pieces), NOTE, right - x0, Style.BOLD, units)
    return Bar(row, placed, listed, id_lines, slivers)


def _place_marks(
    all_marks: Sequence[Mark], x0: float, right: float, scale: float, units: Units
) -> tuple[PlacedMark, ...]:
    """Stand each figure under its mark, on the first line where it is clear of the others.

    No line from a mark to its figure runs through another figure.
    """
    placed: list[PlacedMark] = []
    ends: list[float] = []
    starts = _tape_starts(all_marks)
    for number, mark in enumerate(all_marks):
        x = x0 + mark.at * scale
        words: Line = "store cut" if mark.store else (Length(Ticks(mark.at - starts[number])),)
        width = line_width(words, NOTE if mark.store else MARK, _face(mark), units)
        limit = right
        if number + 1 < len(all_marks):
            limit = x0 + all_marks[number + 1].at * scale - CLEAR_OF_LINE
        # Slanted words lean towards the line of the mark that begins right after the cut.
        latest = limit - CLEAR_OF_LINE if mark.store else max(limit, x)
        left = min(x - width / 2, latest - width)
        level = 0
        while (level < len(ends) and left < ends[level] + MARKS_APART) or any(
            one.level > level and one.x + CLEAR_OF_LINE > left for one in placed
        ):
            level += 1
        ends[level : level + 1] = [left + width]
        placed.append(PlacedMark(mark, words, x, left, level))
    return tuple(placed)


def _names(ids: Sequence[str]) -> tuple[str, ...]:
    """Give the names that get a box: each board, or so many at once where there are many."""
    every = box_every(len(ids), MOST_NAMES)
    chunks = [ids[at : at + every] for at in range(0, len(ids), every)]
    return tuple(
        chunk[0] if len(chunk) == 1 else f"{chunk[0]} to {chunk[-1]} ({len(chunk)})"
        for chunk in chunks
    )


def _id_lines(names: Sequence[str], room: float) -> tuple[tuple[str, ...], ...]:
    """Break names with a box each into lines."""
    lines: list[list[str]] = [[]]
    x = 0.0
    for name in names:
        width = width_of(name, 9.0, Style.BOLD) + 11 + ID_GAP
        if lines[-1] and x + width > room:
            lines.append([])
            x = 0.0
        lines[-1].append(name)
        x += width
    return tuple(map(tuple, lines))


def _face(mark: Mark) -> Style:
    return Style.ITALIC if mark.store else Style.BOLD


def _tape_starts(all_marks: Sequence[Mark]) -> list[int]:
    """Give where the tape is hooked for each mark: the left end, or the last store cut."""
    starts: list[int] = []
    start = 0
    for mark in all_marks:
        starts.append(start)
        if mark.store:
            start = mark.at
    return starts


def draw_bar(
    drawing: Drawing,
    bar: Bar,
    left: float,
    right: float,
    top: float,
    scale: float,
    units: Units,
) -> None:
    """Draw one board: ids and boxes, heavy bar, parts, what is left, marks under it."""
    x0, y = left + BAR_X, top - bar.over - BAR_HEIGHT
    _ids(drawing, bar, left, top)
    length = bar.row.stock.length
    _hatched_kerf(drawing, bar.row, x0, y, scale)
    runs = runs_of(bar.row.segments, scale)
    for segment in bar.row.segments:
        _segment(drawing, segment, x0, y, scale)
    _bad_spans(drawing, bar, x0, y, scale)
    for run in runs:
        write_run(drawing, run, x0, y, scale, units, bar.row.stock.bad)
    letters_over(drawing, runs, x0, y, scale, right)
    drawing.rectangle(x0, y, length * scale, BAR_HEIGHT, marks.STOCK_OUTLINE * 0.7)
    marks.heavy_bar(drawing, x0 - 1.6, y - 1, x0 - 1.6, y + BAR_HEIGHT + 1)
    for placed in bar.placed:
        if placed.mark.store:
            x = placed.x
            drawing.line(x, y - 3, x, y + BAR_HEIGHT + 3, marks.STORE_CUT)
            marks.heavy_bar(drawing, x + 2.4, y, x + 2.4, y + BAR_HEIGHT)
        if placed.mark.start:
            _start_arrow(drawing, placed.x, y + BAR_HEIGHT)
    if bar.listed:
        set_lines(drawing, x0, y - 10, bar.listed, NOTE, Style.BOLD, units, pitch=10.0)
        return
    for placed in bar.placed:
        foot = y - 4 - placed.level * MARK_LINE
        drawing.line(placed.x, y, placed.x, foot, 0.7)
        baseline = y - 4 - MARK * 0.75 - placed.level * MARK_LINE
        size = NOTE if placed.mark.store else MARK
        set_line(drawing, placed.left, baseline, placed.words, size, _face(placed.mark), units)


def _bad_spans(drawing: Drawing, bar: Bar, x0: float, y: float, scale: float) -> None:
    """Hatch the bad spans closely; over each its word, where that is clear of the one before."""
    taken = x0 - 20
    width = width_of(BAD, SMALLEST_WORD, Style.ITALIC)
    for start, end in bar.row.stock.bad:
        for segment in bar.row.segments:
            first, last = max(start, segment.x), min(end, segment.x + segment.length)
            if first >= last:
                continue
            high = BAD_STRIP if segment.kind == "part" else BAR_HEIGHT
            x, wide = x0 + first * scale, (last - first) * scale
            drawing.rectangle(x, y + BAR_HEIGHT - high, wide, high, 0, fill=WHITE)
            drawing.add(bad_hatch(x, y + BAR_HEIGHT - high, wide, high))
            drawing.rectangle(x, y + BAR_HEIGHT - high, wide, high, 0.3)
        left = x0 + (start + end) / 2 * scale - width / 2
        if left > taken + 2:
            baseline = y + BAR_HEIGHT + bar.close_over + 1.5
            drawing.add(Words(left, baseline, BAD, SMALLEST_WORD, Style.ITALIC))
            taken = left + width


def bad_hatch(x: float, y: float, width: float, height: float) -> Hatch:
    """Give the close hatch of a bad span."""
    return Hatch(x, y, width, height, 2.4, 0.5)


def _start_arrow(drawing: Drawing, x: float, y: float) -> None:
    """Draw the small arrow of a mark where a part begins: it looks to the part."""
    drawing.line(x, y, x, y + 3, 0.7)
    drawing.line(x, y + 3, x + 7, y + 3, 0.7)
    drawing.line(x + 7, y + 3, x + 4.5, y + 4.4, 0.7)
    drawing.line(x + 7, y + 3, x + 4.5, y + 1.6, 0.7)


def _ids(drawing: Drawing, bar: Bar, left: float, top: float) -> None:
    """Write the names of the boards of a row, a box each; those of many over the bar."""
    ids = bar.row.ids
    y = top - bar.over
    if len(ids) == 1:
        set_line(drawing, left, y - 14, ids[0], 11.5, Style.BOLD, room=22)
        marks.box(drawing, left + 24, y - 14.5, 10, 0.9)
    else:
        many = f"{len(ids)} {TIMES.strip()}"
        set_line(drawing, left, y - 14, many, 11.5, Style.BOLD, room=BAR_X - 8)
    if bar.row.mark:
        set_line(drawing, left, y - 25, bar.row.mark, NOTE, Style.BOLD, room=MARK_ROOM)
    if bar.row.change:
        below = y - 25 - (10 if bar.row.mark else 0)
        set_line(drawing, left, below, bar.row.change, NOTE, Style.ITALIC, room=MARK_ROOM)
    for line, names in enumerate(bar.id_lines):
        x = left + BAR_X
        for name in names:
            at = top - 9 - line * ID_PITCH
            x += set_line(drawing, x, at, name, 9.0, Style.BOLD) + 3
            marks.box(drawing, x, at - 1, 8, 0.8)
            x += 8 + ID_GAP


def _hatched_kerf(drawing: Drawing, row: BoardRow, x0: float, y: float, scale: float) -> None:
    """Fill the bar grey first: what no segment covers is sawdust, and shows as a cut."""
    drawing.rectangle(x0, y, row.stock.length * scale, BAR_HEIGHT, 0, fill=DARK)


def _segment(drawing: Drawing, segment: Segment, x0: float, y: float, scale: float) -> None:
    x, width = x0 + segment.x * scale, segment.length * scale
    drawing.rectangle(x, y, width, BAR_HEIGHT, 0, fill=WHITE)
    if segment.kind == "waste":
        drawing.add(Hatch(x, y, width, BAR_HEIGHT))
    elif segment.kind == "offcut" and width > 8:
        drawing.rectangle(x + 3, y + 3, width - 6, BAR_HEIGHT - 6, 0.8, dash=(4.5, 2.2))
    weight = min(marks.PART_OUTLINE, max(width / 9, 0.4))
    drawing.rectangle(x, y, width, BAR_HEIGHT, weight)
