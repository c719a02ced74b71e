"""Set-ups: one saw after the other, one setting after the other, a box for every pass."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from cutopt.draw import frame, marks
from cutopt.draw.flow import Flow
from cutopt.draw.lines import line_of, set_lines, wrap_line
from cutopt.draw.scene import BLACK, MIDDLE, Align, Drawing, Outline, Style
from cutopt.draw.tally import box_every, box_words
from cutopt.draw.typeset import Length, Line, line_width, set_line, width_of
from cutopt.model.plan import Plan
from cutopt.steps.cautions import saw_cautions
from cutopt.steps.phrase import Phrase, counted
from cutopt.steps.setups import Setup, SetupLine, Visit, visits
from cutopt.steps.true_edges import before_sawing
from cutopt.units import Units

SETTING = 19.0
BODY = 10.5
PLAIN = 8.9
NOTE = 8.0
BOX = 11.0
BOX_PITCH = BOX + 4.0
PITCH = 17.0
FIRST = 15.0
"""From the rule over a set-up to the baseline of its first line."""
LEAST = 40.0
"""Height of a set-up with one line."""
UNDER = 5.0
"""Room under the baseline of a line for its boxes and capsules."""
HEADING = 52.0
SETTING_X = 28.0
LEAST_SETTING_ROOM = 92.0
MOST_SETTING_ROOM = 118.0
LEAST_RESULT = 70.0
"""Points that the names of what comes off keep beside their boxes."""
A_LINE = 8
"""Boxes side by side; more go on the next line."""
MOST_BOXES = 160
"""Boxes of one line; where it has more passes, a box stands for ten or more."""
MOST_KEPT_WHOLE = 0.4
"""A set-up higher than this share of a page may go on overleaf."""
MEASURE_FIRST = "measure the stock first: the other side must come out "
ON_SITE = "first measured on site: " + "_" * 18


@dataclass(frozen=True, slots=True)
class _Columns:
    """Where things stand across the page, and how wide a setting may be."""

    setting_room: float
    source: float
    action: float
    arrow: float
    result: float
    right: float


@dataclass(frozen=True, slots=True)
class _Row:
    """One line of a set-up, broken to its columns."""

    line: SetupLine
    source: tuple[Line, ...]
    result: tuple[Line, ...]
    measure: tuple[Line, ...]
    every: int
    in_a_line: int

    @property
    def boxes(self) -> int:
        return -(-self.line.boxes // self.every)

    @property
    def height(self) -> float:
        box_lines = -(-self.boxes // self.in_a_line) + (self.every > 1)
        body = max(len(self.source), len(self.result), box_lines)
        return PITCH + (body - 1) * 14.0 + len(self.measure) * 13.0


def visit_pages(
    walk: Sequence[Visit], cautions: Sequence[str], look: frame.Look, before: Sequence[Phrase] = ()
) -> list[Drawing]:
    """Give the pages of the set-ups; none where nothing is set up."""
    setups = [setup for visit in walk for setup in visit.setups]
    if not setups:
        return []
    cuts = sum(setup.cuts for setup in setups)
    counts = f"{counted(len(setups), 'set-up')}   {counted(cuts, 'cut')}"

    def opening(drawing: Drawing, number: int) -> float:
        if number > 1:
            return frame.field_of(drawing).top
        return frame.title(
            drawing,
            "Set-ups",
            look.units,
            counts=counts,
            conditions="one setting, every cut that uses it, a box for each pass"
            "   what is named first has the setting",
        )

    flow = Flow(look, "set-ups", "set-ups", opening)
    columns = _columns(flow, walk, look.units)
    _before(flow, before, look.units)
    for visit in walk:
        _visit(flow, visit, columns, look.units)
    flow.cautions(cautions)
    return flow.pages


def _before(flow: Flow, phrases: Sequence[Phrase], units: Units) -> None:
    """Set what is looked at before the first cut."""
    for phrase in phrases:
        lines = wrap_line(line_of(phrase, units), PLAIN, flow.field.width, units=units)
        set_lines(flow.drawing, flow.field.left, flow.y - 14, lines, PLAIN, units=units, pitch=12)
        flow.y -= 12.0 * len(lines) + 4


def _columns(flow: Flow, walk: Sequence[Visit], units: Units) -> _Columns:
    settings = max(
        line_width((Length(setup.setting, mark=True),), SETTING, Style.BOLD, units)
        for visit in walk
        for setup in visit.setups
    )
    setting_room = min(max(settings, LEAST_SETTING_ROOM), MOST_SETTING_ROOM)
    lines = [line for visit in walk for setup in visit.setups for line in setup.lines]
    widest = max(width_of(line.source, BODY, Style.BOLD) for line in lines)
    source = flow.field.left + SETTING_X + setting_room + 10
    action = source + min(max(widest, 44.0), 84.0) + 10
    arrow = (
        action
        + max(line_width(line_of(line.action_words, units), NOTE, units=units) for line in lines)
        + 9
    )
    return _Columns(setting_room, source, action, arrow, arrow + 31, flow.field.right)


def _row(line: SetupLine, columns: _Columns, units: Units, *, on_site: bool) -> _Row:
    every = box_every(line.boxes, MOST_BOXES)
    numbers = min(width_of(line.cut_numbers, NOTE), 90.0) + 10
    free = columns.right - numbers - 6 - columns.result
    # Long rows of boxes go on below before they squeeze the names.
    beside = max(1, int((free - LEAST_RESULT) // BOX_PITCH))
    in_a_line = min(-(-line.boxes // every), A_LINE, beside)
    room = free - in_a_line * BOX_PITCH
    source = wrap_line(line.source, BODY, columns.action - columns.source - 8, Style.BOLD, units)
    measure: tuple[Line, ...] = ()
    if line.measure_first is not None:
        words = line_of((MEASURE_FIRST, line.measure_first), units)
        measure = wrap_line(words, 9.0, columns.right - columns.source, Style.BOLD, units)
    if on_site:
        measure = (*measure, (ON_SITE,))
    return _Row(line, source, wrap_line(line.result, BODY, room), measure, every, in_a_line)


def _visit(flow: Flow, visit: Visit, columns: _Columns, units: Units) -> None:
    """Draw one saw and its set-ups."""
    headed = False
    for setup in visit.setups:
        rows = [_row(line, columns, units, on_site=visit.last) for line in setup.lines]
        caps = _capsule_lines(setup, columns)
        height = _height(rows, caps)
        kept_whole = (flow.field.top - flow.field.bottom) * MOST_KEPT_WHOLE
        turned = flow.need(min(height, kept_whole) + (0 if headed else HEADING))
        if turned or not headed:
            _heading(flow, visit, units, again=headed)
            headed = True
        _setup(flow, visit, setup, rows, caps, columns, units)


def _height(rows: list[_Row], caps: list[tuple[str, ...]]) -> float:
    return max(LEAST, FIRST + sum(row.height for row in rows) + len(caps) * PITCH - 4)


def _heading(flow: Flow, visit: Visit, units: Units, *, again: bool) -> None:
    """Draw the name of the saw, what its settings mean, and its kerf."""
    drawing, field = flow.drawing, flow.field
    y = flow.y - 34
    x = field.left
    x += set_line(drawing, x, y, visit.title, 22, Style.BOLD, room=field.width * 0.6) + 10
    how = "   ".join((*filter(None, (visit.how, visit.face)), ""))
    words: Line = (f"continued   {how}kerf " if again else f"{how}kerf ",)
    # A bare fraction in small type does not extract in order: it is set in one run.
    words = (*words, Length(visit.kerf, mark=True))
    set_line(drawing, x, y, words, 8.9, units=units, grey=MIDDLE, room=field.right - x)
    flow.y = y - 12
    frame.rule(drawing, flow.y)


def _setup(
    flow: Flow,
    visit: Visit,
    setup: Setup,
    rows: list[_Row],
    caps: list[tuple[str, ...]],
    columns: _Columns,
    units: Units,
) -> None:
    """Draw one setting and its lines; a set-up longer than a page goes on overleaf."""
    top = flow.y
    _setting(flow, setup, columns, units, again=False)
    flow.y = top - FIRST
    for row in rows:
        if row.height - PITCH + UNDER > flow.room:
            frame.rule(flow.drawing, min(flow.y + 6, top - LEAST), marks.THIN_RULE)
            flow.turn()
            _heading(flow, visit, units, again=True)
            top = flow.y
            _setting(flow, setup, columns, units, again=True)
            flow.y = top - FIRST
        _line(flow, row, columns, units)
        flow.y -= row.height
    if caps and (len(caps) - 1) * PITCH + UNDER > flow.room:
        flow.turn()
        _heading(flow, visit, units, again=True)
        top = flow.y
        _setting(flow, setup, columns, units, again=True)
        flow.y = top - FIRST
    for capsules in caps:
        x = columns.source
        for text in capsules:
            x += marks.capsule(flow.drawing, x, flow.y, text, NOTE) + 6
        flow.y -= PITCH
    flow.y = min(flow.y + 4, top - LEAST)
    frame.rule(flow.drawing, flow.y, marks.THIN_RULE)


def _setting(flow: Flow, setup: Setup, columns: _Columns, units: Units, *, again: bool) -> None:
    drawing, left = flow.drawing, flow.field.left
    set_line(
        drawing, left + 18, flow.y - FIRST, str(setup.number), 11.5,
        grey=MIDDLE, align=Align.RIGHT, room=22,
    )  # fmt: skip
    room = columns.setting_room
    set_line(
        drawing, left + SETTING_X, flow.y - 19, (Length(setup.setting, mark=True),), SETTING,
        Style.BOLD, units, room=room,
    )  # fmt: skip
    words = f"{setup.kind}, continued" if again else setup.kind
    set_line(drawing, left + SETTING_X, flow.y - 32, words, NOTE, grey=MIDDLE, room=room)


def _line(flow: Flow, row: _Row, columns: _Columns, units: Units) -> None:
    """Draw one piece going in, what comes out, and its boxes."""
    drawing, y, line = flow.drawing, flow.y, row.line
    set_lines(drawing, columns.source, y, row.source, BODY, Style.BOLD, pitch=14.0)
    set_line(
        drawing,
        columns.action,
        y,
        line_of(line.action_words, units),
        NOTE,
        units=units,
        grey=MIDDLE,
    )
    _arrow(drawing, columns.arrow, y + 3.4)
    after = set_lines(drawing, columns.result, y, row.result, BODY, pitch=14.0)
    boxes_left = columns.right - row.in_a_line * BOX_PITCH + 4
    set_line(
        drawing, boxes_left - 8, y, line.cut_numbers, NOTE, grey=MIDDLE, align=Align.RIGHT, room=90
    )
    low = y
    words = box_words(row.every, line.boxes)
    if words:
        low -= 14.0
        set_line(drawing, columns.right, low, words, NOTE, grey=MIDDLE, align=Align.RIGHT)
    for number in range(row.boxes):
        down, place = divmod(number, row.in_a_line)
        marks.box(drawing, boxes_left + place * BOX_PITCH, low - 1.5 - down * 14.0, BOX)
    if row.measure:
        bottom = y - (row.height - PITCH - len(row.measure) * 13.0) - 13.0
        set_lines(
            drawing, columns.source, min(after + 1, bottom), row.measure, 9.0,
            Style.BOLD, units, pitch=13.0,
        )  # fmt: skip


def _arrow(drawing: Drawing, x: float, y: float) -> None:
    """Draw the arrow from what goes in to what comes out."""
    drawing.line(x, y, x + 15, y, 0.7)
    head = ((x + 21, y), (x + 14, y + 1.7), (x + 14, y - 1.7))
    drawing.add(Outline(head, 0, closed=True, fill=BLACK))


def _capsule_lines(setup: Setup, columns: _Columns) -> list[tuple[str, ...]]:
    """Break a set-up's capsules into lines."""
    lines: list[list[str]] = []
    x = 0.0
    for text in setup.capsules:
        width = width_of(text, NOTE, Style.BOLD) + NOTE + 6
        if not lines or x + width > columns.right - columns.source:
            lines.append([])
            x = 0.0
        lines[-1].append(text)
        x += width
    return [tuple(line) for line in lines]


def saw_pages(plan: Plan, look: frame.Look) -> list[Drawing]:
    """Give the set-up pages of a plan, upright; none where nothing is sawn at home."""
    found = visits(plan)
    lines = [line for visit in found for setup in visit.setups for line in setup.lines]
    trims = any(line.done == "edge clean" for line in lines)
    before = before_sawing(plan, [len(line.ids) for line in lines], trims=trims)
    return visit_pages(found, saw_cautions(found), look, before)
