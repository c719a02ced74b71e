"""Boards cut to length: stop-block groups, one tape for all, and marks from the left end."""

from __future__ import annotations

import re
from collections.abc import Sequence

from cutopt.draw import frame, marks
from cutopt.draw.board_bar import BAR_X, Bar, bad_hatch, draw_bar, lay_bar
from cutopt.draw.board_words import NOTE
from cutopt.draw.flow import Flow
from cutopt.draw.lines import TIMES, line_of, set_lines, wrap_line
from cutopt.draw.scene import MIDDLE, Align, Drawing, Hatch, Style, Words
from cutopt.draw.stop_groups import groups_height, stop_groups
from cutopt.draw.typeset import Length, Line, set_line
from cutopt.model.plan import Plan
from cutopt.steps.boards import BoardRow, BoardSection, SpareBoards, board_sections
from cutopt.steps.cautions import board_cautions
from cutopt.steps.materials import board_length
from cutopt.steps.phrase import counted
from cutopt.units import Units

PITCH = 36.0
LEAST_PITCH = 29.0
MOST_ROWS = 20
FOOT_HEIGHT = 46.0
TITLE_HEIGHT = 50.0
LENGTHS_HEIGHT = 25.0
"""Height of the line of lengths under a title, two lines at most, points."""
SPARE_HEIGHT = 16.0
"""Height of a line about spare boards, points."""
TAPE_HEIGHT = 27.0
BETWEEN = 6.0
"""Points between two sections that share a page."""
FEW_LENGTHS = 2
"""Lengths of boards named in the head; more stand on a line under it."""
NOMINAL = r"\d\s*x\s*\d"
HOOK = (
    "Hook the tape on the left end and read every mark from there. "
    "The blade goes to the right of a mark."
)
AT_START = "A mark with an arrow is where a part begins: the blade goes to its left."
AFTER_STORE = "A board cut at the store is two: hook the tape on the heavy bar of each."


def section_pages(
    sections: Sequence[BoardSection], cautions: Sequence[str], look: frame.Look
) -> list[Drawing]:
    """Give the pages of the boards; a section shares a page where all of it fits."""
    if not sections:
        return []
    pages = _Pages(sections[0], look)
    for section in sections:
        pages.add(section)
    pages.close()
    pages.flow.cautions(cautions)
    return pages.flow.pages


class _Pages:
    """Sections of boards one under the other; what explains the marks stands once a page."""

    def __init__(self, first: BoardSection, look: frame.Look) -> None:
        self._units = look.units
        self._section = first
        self._again = False
        self._on_page: list[BoardSection] = []
        self.flow = Flow(look, "boards", "boards", self._open)

    def _open(self, drawing: Drawing, _number: int) -> float:
        """Head a page with the section that is being drawn."""
        top = frame.field_of(drawing).top
        return _title(drawing, self._section, top, self._units, again=self._again)

    def add(self, section: BoardSection) -> None:
        """Draw a section: its groups, a tape, a bar for each board."""
        flow, units = self.flow, self._units
        scale = (flow.field.width - BAR_X - 5) / section.longest
        left, right = flow.field.left, flow.field.right
        bars = [lay_bar(row, left, right, scale, units) for row in section.rows]
        if section is not self._section:
            self._begin(section, bars)
        self._again = True
        stop_groups(flow, section.groups, units)
        at = 0
        while at < len(bars):
            if flow.room < 30 + bars[at].height + FOOT_HEIGHT:
                self._turn()
            at += _bars(flow, section, bars[at:], scale, units)
            self._on_page.append(section)
            if at < len(bars):
                self._turn()

    def _begin(self, section: BoardSection, bars: Sequence[Bar]) -> None:
        """Head the next section: on this page where it fits as a whole, else on the next."""
        flow = self.flow
        rows = sum(max(LEAST_PITCH, bar.height + 1) for bar in bars)
        groups = groups_height(flow, section.groups, self._units)
        title = TITLE_HEIGHT + (LENGTHS_HEIGHT if len(section.by_length) > FEW_LENGTHS else 0.0)
        title += SPARE_HEIGHT * len(section.spares)
        together = BETWEEN + title + groups + TAPE_HEIGHT + rows + FOOT_HEIGHT
        few = len(bars) + sum(len(one.rows) for one in self._on_page) <= MOST_ROWS
        shares = few and self._on_page and together <= flow.room
        if not shares:
            self.close()
        self._section, self._again = section, False
        if shares:
            frame.rule(flow.drawing, flow.y, 0.8)
            top = flow.y - BETWEEN
            flow.y = _title(flow.drawing, section, top, self._units, again=False)
        else:
            flow.turn()

    def _turn(self) -> None:
        self.close()
        self.flow.turn()

    def close(self) -> None:
        """Say at the foot of a page how its marks are read."""
        if self._on_page:
            _foot(self.flow, self._on_page)
        self._on_page = []


def _title(
    drawing: Drawing, section: BoardSection, top: float, units: Units, *, again: bool
) -> float:
    """Draw the title: how many boards and parts, of what lengths and section."""
    material = section.material
    # A nominal size in the name ("1x4 pine") is what builders say; a section may be exact.
    nominal = re.search(NOMINAL, material.name) is not None
    name = material.name if nominal else material.section or material.name
    bought: list[str | Length] = []
    for number, (ticks, count) in enumerate(section.by_length):
        bought.append(f"{', ' if number else ''}{count} at ")
        bought += line_of(board_length(ticks, units), units)
    conditions: list[str | Length] = []
    if name != material.name:
        conditions.append(f"{material.name}   ")
    few = len(section.by_length) <= FEW_LENGTHS
    conditions += [*bought, "   "] if few else []
    conditions += line_of((material.thickness, TIMES, section.width), units)
    conditions.append("   kerf ")
    for number, kerf in enumerate(section.kerfs):
        conditions += [", "] if number else []
        conditions.append(Length(kerf, mark=True))
    conditions.append(f"   all marks in {'mm' if units is Units.MM else 'inches'}")
    counts = f"{counted(section.count, 'board')}   {counted(section.parts, 'part')}"
    y = frame.title(
        drawing,
        f"Boards {_with_times_signs(name)}" + (", continued" if again else ""),
        units,
        counts=f"{counts}   one set of marks from the left end",
        conditions=tuple(conditions),
        top=top,
    )
    if again:
        return y
    field = frame.field_of(drawing)
    if not few:
        lines = wrap_line(tuple(bought), 9.5, field.width, units=units)
        y = set_lines(drawing, field.left, y, lines, 9.5, units=units, pitch=12.5) - 6
    for spare in section.spares:
        words = _spare_words(spare, units)
        set_line(drawing, field.left, y - 3, words, 9.5, Style.BOLD, units, room=field.width)
        y -= SPARE_HEIGHT
    return y


def _spare_words(spare: SpareBoards, units: Units) -> Line:
    """Say how many boards are not cut, and what for."""
    length = line_of(board_length(spare.length, units), units)
    grade = f", grade {spare.grade}" if spare.grade else ""
    boards = counted(spare.count, "spare board")
    return (
        f"{boards} at ", *((length,) if isinstance(length, str) else length),
        f"{grade}: not cut, for boards that turn out worse than they look.",
    )  # fmt: skip


def _with_times_signs(name: str) -> str:
    """Give a section with times signs: "1×4" for "1x4"; other words stay as they are."""
    return re.sub(r"(?<=[\d\s\"])x(?=[\d\s])", TIMES.strip(), name)


def _bars(
    flow: Flow, section: BoardSection, bars: Sequence[Bar], scale: float, units: Units
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
        draw_bar(drawing, bar, left, flow.field.right, y, scale, units)
        y -= min(max(PITCH, least), least + spare)
    flow.y = y
    return count


def _foot(flow: Flow, sections: Sequence[BoardSection]) -> None:
    """Draw how to read the marks, and samples of the hatches."""
    drawing, field = flow.drawing, flow.field
    y = max(flow.y, field.bottom + FOOT_HEIGHT - 6)
    frame.rule(drawing, y, 0.8)
    rows = [row for section in sections for row in section.rows]
    all_marks = [mark for row in rows for mark in row.marks]
    lines = [HOOK]
    lines += [AT_START] if any(mark.start for mark in all_marks) else []
    lines += [AFTER_STORE] if any(mark.store for mark in all_marks) else []
    words = wrap_line("  ".join(lines), 9.5 if len(lines) == 1 else NOTE, field.width)
    size = 9.5 if len(lines) == 1 else NOTE
    y = set_lines(drawing, field.left, y - 13, words, size, room=field.width, pitch=size + 2)
    _legend(drawing, field.left, y - 2, rows)
    flow.y = y - 8


def _legend(drawing: Drawing, x: float, y: float, rows: Sequence[BoardRow]) -> None:
    """Draw samples of what is on the page with their words, left to right."""
    low = y - 2
    kinds = {segment.kind for row in rows for segment in row.segments}
    if "waste" in kinds:
        drawing.add(Hatch(x, low, 19, 9))
        drawing.rectangle(x, low, 19, 9, 0.7)
        x += 23 + set_line(drawing, x + 23, y, "waste", NOTE) + 16
    if "offcut" in kinds:
        drawing.rectangle(x, low, 19, 9, 0.8, dash=(4.5, 2.2))
        x += 23 + set_line(drawing, x + 23, y, "offcut to keep", NOTE) + 16
    if any(row.stock.bad for row in rows):
        drawing.add(bad_hatch(x, low, 19, 9))
        drawing.rectangle(x, low, 19, 9, 0.7)
        x += 23 + set_line(drawing, x + 23, y, "bad span", NOTE) + 16
    marks.ring(drawing, x + 7, y + 2.5, "a", 7.5)
    set_line(drawing, x + 17, y, "stop-block group", NOTE)


def board_pages(plan: Plan, look: frame.Look) -> list[Drawing]:
    """Give the pages of the boards that are cut to length only, upright."""
    return section_pages(board_sections(plan), board_cautions(), look)
