"""Boards cut to length: stop-block groups, one tape for all, and marks from the left end."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from cutopt.draw import frame, marks
from cutopt.draw.flow import Flow
from cutopt.draw.lines import TIMES, line_of, set_lines, wrap_line
from cutopt.draw.scene import DARK, MIDDLE, WHITE, Align, Drawing, Hatch, Style, Words
from cutopt.draw.stop_groups import stop_groups
from cutopt.draw.typeset import (
    NARROWEST,
    SMALLEST,
    Length,
    Line,
    line_width,
    set_line,
    width_of,
)
from cutopt.model.plan import Plan
from cutopt.steps.boards import (
    BoardRow,
    BoardSection,
    Mark,
    Segment,
    board_sections,
)
from cutopt.steps.cautions import board_cautions
from cutopt.steps.materials import board_length
from cutopt.steps.phrase import counted
from cutopt.units import Ticks, Units

BAR_HEIGHT = 19.0
PITCH = 36.0
LEAST_PITCH = 29.0
MOST_ROWS = 20
BAR_X = 42.0
ID_PITCH = 13.0
ID_GAP = 8.0
MARK = 9.0
MARK_LINE = 9.5
MARKS_APART = 4.0
NOTE = 8.0
FOOT_HEIGHT = 46.0
HOOK = (
    "Hook the tape on the left end and read every mark from there. "
    "The blade goes to the right of a mark."
)
AT_START = "A mark with an arrow is where a part begins: the blade goes to its left."
AFTER_STORE = "A board cut at the store is two: hook the tape on the heavy bar of each."


@dataclass(frozen=True, slots=True)
class _PlacedMark:
    """A mark on paper: where its line is, where its figure stands, on which line."""

    mark: Mark
    words: Line
    x: float
    left: float
    level: int


@dataclass(frozen=True, slots=True)
class _Bar:
    """One row: the marks under it, or all of them in words where they crowd."""

    row: BoardRow
    placed: tuple[_PlacedMark, ...]
    listed: tuple[Line, ...]
    id_lines: tuple[tuple[str, ...], ...]

    @property
    def ids_height(self) -> float:
        """Height of the names over the bar, where several boards share it."""
        return ID_PITCH * len(self.id_lines) + 2 if self.id_lines else 0.0

    @property
    def below(self) -> float:
        """Height of what hangs under the bar."""
        if self.listed:
            return len(self.listed) * 10.0 + 3
        return 4.0 + MARK_LINE * (1 + max((mark.level for mark in self.placed), default=0))

    @property
    def height(self) -> float:
        return self.ids_height + BAR_HEIGHT + self.below


def section_pages(
    sections: Sequence[BoardSection], cautions: Sequence[str], look: frame.Look
) -> list[Drawing]:
    """Give the pages of the boards, a run of pages for each section; cautions on the last."""
    pages: list[Drawing] = []
    for number, section in enumerate(sections, start=1):
        last = number == len(sections)
        pages.extend(_section(section, look, f"boards-{number}", cautions if last else ()))
    return pages


def _section(
    section: BoardSection, look: frame.Look, name: str, cautions: Sequence[str]
) -> list[Drawing]:
    units = look.units

    def opening(drawing: Drawing, number: int) -> float:
        return _title(drawing, section, units, again=number > 1)

    flow = Flow(look, "boards", name, opening)
    stop_groups(flow, section.groups, units)
    scale = (flow.field.width - BAR_X - 5) / section.longest
    bars = [_bar(row, flow, scale, units) for row in section.rows]
    at = 0
    while at < len(bars):
        if flow.room < 30 + bars[at].height + FOOT_HEIGHT:
            flow.turn()
        at += _bars(flow, section, bars[at:], scale, units)
        _foot(flow, section)
        if at < len(bars):
            flow.turn()
    if cautions:
        flow.cautions(cautions)
    return flow.pages


def _title(drawing: Drawing, section: BoardSection, units: Units, *, again: bool) -> float:
    """Draw the title: how many boards and parts, of what lengths and section."""
    material = section.material
    name = material.section or material.name
    conditions: list[str | Length] = []
    if material.section and material.name != material.section:
        conditions.append(f"{material.name}   ")
    for number, (ticks, count) in enumerate(section.by_length):
        conditions.append(f"{', ' if number else ''}{count} at ")
        conditions += line_of(board_length(ticks, units), units)
    conditions += ["   ", Length(material.thickness, mark=True), " \N{MULTIPLICATION SIGN} "]
    conditions += [Length(section.width, mark=True), "   kerf "]
    for number, kerf in enumerate(section.kerfs):
        conditions += [", "] if number else []
        conditions.append(Length(kerf, mark=True))
    conditions.append(f"   all marks in {'mm' if units is Units.MM else 'inches'}")
    counts = f"{counted(section.count, 'board')}   {counted(section.parts, 'part')}"
    return frame.title(
        drawing,
        f"Boards {name.replace('x', TIMES.strip()) if material.section else name}"
        + (", continued" if again else ""),
        units,
        counts=f"{counts}   one set of marks from the left end",
        conditions=tuple(conditions),
    )


def _bar(row: BoardRow, flow: Flow, scale: float, units: Units) -> _Bar:
    """Place a row's marks; where three lines do not hold them, list them in words."""
    x0 = flow.field.left + BAR_X
    placed: list[_PlacedMark] = []
    ends: list[float] = []
    for mark, start in zip(row.marks, _tape_starts(row.marks), strict=True):
        x = x0 + mark.at * scale
        words: Line = "store cut" if mark.store else (Length(Ticks(mark.at - start)),)
        width = line_width(words, NOTE if mark.store else MARK, _face(mark), units)
        left = min(x - width / 2, flow.field.right - width)
        level = next((n for n, end in enumerate(ends) if left >= end + MARKS_APART), len(ends))
        ends[level : level + 1] = [left + width]
        placed.append(_PlacedMark(mark, words, x, left, level))
    id_lines = _id_lines(row.ids, flow.field.right - x0) if len(row.ids) > 1 else ()
    if len(ends) <= 3:
        return _Bar(row, tuple(placed), (), id_lines)
    pieces: list[str | Length] = ["marks  "]
    for number, one in enumerate(placed):
        pieces += ["  "] if number else []
        pieces += [one.words] if isinstance(one.words, str) else list(one.words)
    listed = wrap_line(tuple(pieces), NOTE, flow.field.right - x0, Style.BOLD, units)
    return _Bar(row, tuple(placed), listed, id_lines)


def _id_lines(ids: Sequence[str], room: float) -> tuple[tuple[str, ...], ...]:
    """Break names with a box each into lines."""
    lines: list[list[str]] = [[]]
    x = 0.0
    for name in ids:
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


def _bars(
    flow: Flow, section: BoardSection, bars: Sequence[_Bar], scale: float, units: Units
) -> int:
    """Draw the tape and as many bars as the page takes; give how many."""
    drawing, left = flow.drawing, flow.field.left
    x0 = left + BAR_X
    tape_y = flow.y - 19
    unit = "mm" if units is Units.MM else "in"
    drawing.add(Words(x0 - 8, tape_y + 3, unit, 6.5, grey=MIDDLE, align=Align.RIGHT))
    drawing.line(x0, tape_y, x0 + section.longest * scale, tape_y, 0.4)
    marks.tape(drawing, (x0, tape_y), section.longest * scale, section.longest, units, above=True)
    room = tape_y - 8 - flow.field.bottom - FOOT_HEIGHT
    count, used = 0, 0.0
    while count < len(bars) and count < MOST_ROWS:
        height = max(LEAST_PITCH, bars[count].height + 1)
        if count and used + height > room:
            break
        used += height
        count += 1
    spare = max(0.0, room - used) / count
    y = tape_y - 8
    for bar in bars[:count]:
        least = max(LEAST_PITCH, bar.height + 1)
        _draw_bar(drawing, bar, left, y, scale, units)
        y -= min(max(PITCH, least), least + spare)
    flow.y = y
    return count


def _draw_bar(
    drawing: Drawing, bar: _Bar, left: float, top: float, scale: float, units: Units
) -> None:
    """Draw one board: ids and boxes, heavy bar, parts, what is left, marks under it."""
    x0, y = left + BAR_X, top - bar.ids_height - BAR_HEIGHT
    _ids(drawing, bar, left, top)
    length = bar.row.stock.length
    _hatched_kerf(drawing, bar.row, x0, y, scale)
    runs = _runs(bar.row.segments, scale)
    for segment in bar.row.segments:
        _segment(drawing, segment, x0, y, scale)
    for run in runs:
        _run_words(drawing, run, x0, y, scale, units)
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


def _start_arrow(drawing: Drawing, x: float, y: float) -> None:
    """Draw the small arrow of a mark where a part begins: it looks to the part."""
    drawing.line(x, y, x, y + 3, 0.7)
    drawing.line(x, y + 3, x + 7, y + 3, 0.7)
    drawing.line(x + 7, y + 3, x + 4.5, y + 4.4, 0.7)
    drawing.line(x + 7, y + 3, x + 4.5, y + 1.6, 0.7)


def _ids(drawing: Drawing, bar: _Bar, left: float, top: float) -> None:
    """Write the names of the boards of a row, a box each; those of many over the bar."""
    ids = bar.row.ids
    y = top - bar.ids_height
    if len(ids) == 1:
        set_line(drawing, left, y - 14, ids[0], 11.5, Style.BOLD, room=22)
        marks.box(drawing, left + 24, y - 14.5, 10, 0.9)
        return
    many = f"{len(ids)} {TIMES.strip()}"
    set_line(drawing, left, y - 14, many, 11.5, Style.BOLD, room=BAR_X - 8)
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


@dataclass(frozen=True, slots=True)
class _Run:
    """Segments that share one text: one alone, or equal ones too small for a text each."""

    segments: tuple[Segment, ...]

    @property
    def start(self) -> int:
        return self.segments[0].x

    @property
    def end(self) -> int:
        return self.segments[-1].x + self.segments[-1].length


def _runs(segments: Sequence[Segment], scale: float) -> list[_Run]:
    """Gather neighbouring equal parts that are too narrow for their own words."""
    runs: list[list[Segment]] = []
    for segment in segments:
        if segment.kind == "waste":
            continue
        small = segment.kind == "part" and segment.length * scale < 46
        last = runs[-1][-1] if runs else None
        if small and last is not None and last.kind == "part" and _same(last, segment):
            runs[-1].append(segment)
        else:
            runs.append([segment])
    return [_Run(tuple(run)) for run in runs]


def _same(one: Segment, other: Segment) -> bool:
    return (one.name, one.letter, one.length) == (other.name, other.letter, other.length)


def _run_words(
    drawing: Drawing, run: _Run, x0: float, y: float, scale: float, units: Units
) -> None:
    """Write ring, name and length into a segment or a run of equal ones, as far as they fit."""
    first = run.segments[0]
    left, right = x0 + run.start * scale, x0 + run.end * scale
    middle = y + BAR_HEIGHT / 2
    length = Length(first.length)
    if first.kind == "offcut":
        _fit_words(drawing, left + 5, right - 5, middle, (f"{first.name}  ", length), (), units)
        return
    many = len(run.segments)
    if many > 1 and first.length * scale >= 15:
        # Room for a ring in each: the ring says which it is, the table above the rest.
        for segment in run.segments:
            centre = x0 + (segment.x + segment.length / 2) * scale
            marks.ring(drawing, centre, middle, first.letter, 8.0)
        return
    if many > 1:
        count = f"{many} \N{MULTIPLICATION SIGN} {first.letter}"
        width = width_of(count, NOTE, Style.BOLD)
        if right - left > width + 6:
            centre = (left + right) / 2
            drawing.rectangle(centre - width / 2 - 2, middle - 5, width + 4, 10, 0, fill=WHITE)
            words = Words(centre, middle - NOTE * 0.36, count, NOTE, Style.BOLD, align=Align.MIDDLE)
            drawing.add(words)
        else:
            _single_letter(drawing, (left + right) / 2, right - left, y, first.letter)
        return
    if right - left < 15:
        _single_letter(drawing, (left + right) / 2, right - left, y, first.letter)
        return
    marks.ring(drawing, left + min(10.0, (right - left) / 2), middle, first.letter, 8.0)
    _fit_words(drawing, left + 19, right - 3, middle, (first.name,), (length,), units)


def _single_letter(drawing: Drawing, x: float, width: float, y: float, letter: str) -> None:
    """Write a letter without its ring; over the bar where the part is a sliver."""
    if width >= width_of(letter, SMALLEST + 0.5, Style.BOLD) + 1.5:
        words = Words(x, y + BAR_HEIGHT / 2 - 2.5, letter, SMALLEST + 0.5, Style.BOLD)
    else:
        words = Words(x, y + BAR_HEIGHT + 1.5, letter, SMALLEST, Style.BOLD)
    drawing.add(Words(words.x, words.y, letter, words.size, Style.BOLD, align=Align.MIDDLE))


def _fit_words(
    drawing: Drawing,
    left: float,
    right: float,
    middle: float,
    name: Line,
    length: Line,
    units: Units,
) -> None:
    """Set name and length in the middle of a room, condensed and smaller before left out."""
    room = right - left
    gap = 4.0
    style = Style.BOLD if length else Style.REGULAR
    for size in (9.5, 9.0, 8.5, 8.0, 7.5, 7.0, SMALLEST):
        first = line_width(name, size, style, units)
        second = line_width(length, size, units=units) + gap if length else 0.0
        stretch = min(1.0, (room - second) / first) if first else 1.0
        if stretch < NARROWEST:
            continue
        first *= stretch
        x = left + (room - first - second) / 2
        y = middle - size * 0.36
        set_line(drawing, x, y, name, size, style, units, room=first + 0.01)
        if length:
            set_line(drawing, x + first + gap, y, length, size, units=units)
        return
    if length and line_width(length, NOTE, units=units) <= room:
        set_line(
            drawing, (left + right) / 2, middle - NOTE * 0.36, length, NOTE,
            units=units, align=Align.MIDDLE,
        )  # fmt: skip


def _foot(flow: Flow, section: BoardSection) -> None:
    """Draw how to read the marks, and samples of the hatches."""
    drawing, field = flow.drawing, flow.field
    y = max(flow.y, field.bottom + FOOT_HEIGHT - 6)
    frame.rule(drawing, y, 0.8)
    all_marks = [mark for row in section.rows for mark in row.marks]
    lines = [HOOK]
    lines += [AT_START] if any(mark.start for mark in all_marks) else []
    lines += [AFTER_STORE] if any(mark.store for mark in all_marks) else []
    words = wrap_line("  ".join(lines), 9.5 if len(lines) == 1 else NOTE, field.width)
    size = 9.5 if len(lines) == 1 else NOTE
    y = set_lines(drawing, field.left, y - 13, words, size, room=field.width, pitch=size + 2)
    _legend(drawing, field.left, y - 2)
    flow.y = y - 8


def _legend(drawing: Drawing, x: float, y: float) -> None:
    """Draw samples with their words, left to right."""
    low = y - 2
    drawing.add(Hatch(x, low, 19, 9))
    drawing.rectangle(x, low, 19, 9, 0.7)
    x += 23 + set_line(drawing, x + 23, y, "waste", NOTE) + 16
    drawing.rectangle(x, low, 19, 9, 0.8, dash=(4.5, 2.2))
    x += 23 + set_line(drawing, x + 23, y, "offcut to keep", NOTE) + 16
    marks.ring(drawing, x + 7, y + 2.5, "e", 7.5)
    set_line(drawing, x + 17, y, "stop-block group", NOTE)


def board_pages(plan: Plan, look: frame.Look) -> list[Drawing]:
    """Give the pages of the boards that are cut to length only, upright."""
    return section_pages(board_sections(plan), board_cautions(), look)
