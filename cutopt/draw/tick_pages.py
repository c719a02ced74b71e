"""Parts to tick off by group, each with its picture and all that is done to it; then the bands."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from cutopt.draw import frame, marks
from cutopt.draw.band_pages import band_list_height, band_list_pages, draw_band_list
from cutopt.draw.flow import Flow
from cutopt.draw.lines import line_of, marked_size, name_lines, set_lines, wrap_facts, wrap_line
from cutopt.draw.part_sketch import (
    ABOVE,
    BELOW,
    BESIDE,
    dimension_cutouts,
    draw_part,
    letters_of,
    picture_size,
    single_cutout,
)
from cutopt.draw.scene import DARK, MIDDLE, Align, Drawing, Style, Words
from cutopt.draw.tally import box_every, box_words
from cutopt.draw.typeset import Line, line_width, set_line
from cutopt.model.job import CutoutKind
from cutopt.model.plan import Plan
from cutopt.steps.bands import BandNeed, band_needs
from cutopt.steps.cautions import tick_cautions
from cutopt.steps.phrase import counted
from cutopt.steps.replan_pages import made_line
from cutopt.steps.ticks import TickGroup, TickRow, tick_groups
from cutopt.units import Units

ROW = 39.0
ROW_WITH_CUTOUTS = 66.0
SKETCH_WIDTH = 148.0
PLAIN_WIDTH = 118.0
PLAIN_HEIGHT = 25.0
CUTOUT_HEIGHT = 38.0
MOST_SPARE = 44.0
"""Height a picture with cutouts may take beyond its usual, where the row is that high."""
TEXT_X = 168.0
NAME = 12.0
FACTS = 9.0
FACTS_PITCH = 12.5
FIRST = 15.5
LEAST_NAME_ROOM = 92.0
MOST_NAME_ROOM = 150.0
BOX = 12.5
MADE = 10.0
MADE_PITCH = 13.5
BOX_PITCH = BOX + 4.5
A_LINE = 5
MOST_BESIDE = 15
"""Boxes beside the text; more stand in lines under it."""
MOST_BOXES = 120
"""Boxes of one part; where there are more copies, a box stands for ten or more."""
HEAD = 34.0
BEFORE_BANDS = 12.0
UNDER = 48.0
"""Height the cautions under a band list take, points."""
TITLE = 52.0
"""Height of the title of the first page."""
UNNAMED = "Other parts"


@dataclass(frozen=True, slots=True)
class _Boxes:
    """Boxes of a row: how many, in lines of how many, and whether under the text."""

    count: int
    in_a_line: int
    under: bool
    every: int

    @property
    def lines(self) -> int:
        return -(-self.count // self.in_a_line)


@dataclass(frozen=True, slots=True)
class _Laid:
    """A row broken to its columns."""

    row: TickRow
    names: tuple[Line, ...]
    name_size: float
    facts: tuple[Line, ...]
    bold: tuple[Line, ...]
    boxes: _Boxes
    height: float
    overleaf: tuple[tuple[Line, Style], ...]


def tick_group_pages(
    groups: Sequence[TickGroup],
    cautions: Sequence[str],
    look: frame.Look,
    bands: Sequence[BandNeed] = (),
    made: str = "",
) -> list[Drawing]:
    """Give the pages of the parts; no row is split, and a head keeps two rows.

    ``made`` names the parts made before, under the others. The band list stands there too where
    all of it fits, else on its own pages.
    """
    total = sum(group.count for group in groups)

    def opening(drawing: Drawing, number: int) -> float:
        if number > 1:
            return frame.field_of(drawing).top - 2
        return frame.title(
            drawing,
            "Parts",
            look.units,
            counts=counted(total, "part"),
            conditions=f"finished sizes{_unit_words(look.units)}   front edge drawn at the bottom",
        )

    flow = Flow(look, "parts to tick off", "parts", opening)
    width = _name_room(groups, look.units)
    for group in groups:
        _group(flow, group, width, look.units, headed=len(groups) > 1 or bool(group.name))
    _made(flow, made)
    if bands and BEFORE_BANDS + band_list_height(bands, flow, look.units) + UNDER <= flow.room:
        flow.y -= BEFORE_BANDS
        draw_band_list(flow, bands, look.units)
        bands = ()
    flow.cautions(cautions)
    return [*flow.pages, *band_list_pages(bands, look)]


def _made(flow: Flow, words: str) -> None:
    """Draw the line of parts made before, with a ticked box."""
    if not words:
        return
    lines = wrap_line(words, MADE, flow.field.width - BOX_PITCH - 4)
    flow.need(10 + BOX + MADE_PITCH * len(lines))
    drawing, left, y = flow.drawing, flow.field.left, flow.y - 10 - BOX
    marks.box(drawing, left, y, BOX)
    drawing.line(left + 2.5, y + 6, left + 5, y + 3, 1.2)
    drawing.line(left + 5, y + 3, left + 10, y + 10, 1.2)
    set_lines(drawing, left + BOX_PITCH + 4, y + 3, lines, MADE, pitch=MADE_PITCH)
    flow.y = y - MADE_PITCH * (len(lines) - 1) - 6


def _unit_words(units: Units) -> str:
    return " in mm" if units is Units.MM else ""


def _name_room(groups: Sequence[TickGroup], units: Units) -> float:
    """Give one width for all names, so that the sizes stand in one column."""
    widest = max(
        (
            line_width(row.part.name, NAME, Style.BOLD, units)
            for group in groups
            for row in group.rows
        ),
        default=0.0,
    )
    return min(max(LEAST_NAME_ROOM, widest + 14), MOST_NAME_ROOM)


def _lay(row: TickRow, flow: Flow, name_room: float, units: Units) -> _Laid:
    field = flow.field
    boxes = _box_lines(row.boxes, field.width - TEXT_X)
    beside = 0.0 if boxes.under else boxes.in_a_line * BOX_PITCH + 8
    room = field.width - TEXT_X - beside
    names, size = name_lines(row.part.name, NAME, 9.0, name_room - 10, Style.BOLD)
    facts = wrap_facts([line_of(fact, units) for fact in row.facts], FACTS, room, units=units)
    bold: list[Line] = []
    for letter, phrase in zip(cutout_letters(row), row.cutouts, strict=True):
        words = (f"{letter}  ", *line_of(phrase, units)) if letter else line_of(phrase, units)
        bold += wrap_line(words, FACTS, room, Style.BOLD, units)
    for phrase in (*row.twins, row.pair):
        if phrase:
            bold += wrap_line(line_of(phrase, units), FACTS, room, Style.BOLD, units)
    most = _most_lines(flow, len(names), boxes)
    overleaf = [(line, Style.REGULAR) for line in facts[most:]]
    overleaf += [(line, Style.BOLD) for line in bold[max(0, most - len(facts)) :]]
    facts, bold = facts[:most], bold[: max(0, most - len(facts))]
    text = FIRST + (len(names) - 1) * 12.0 + FACTS_PITCH * (len(facts) + len(bold)) + 7
    if boxes.under:
        text += boxes.lines * BOX_PITCH + (14 if boxes.every > 1 else 3)
    else:
        text = max(text, 6 + boxes.lines * BOX_PITCH + 2)
    least = ROW_WITH_CUTOUTS if row.part.cutouts else ROW
    height = max(least, text)
    return _Laid(row, names, size, facts, tuple(bold), boxes, height, tuple(overleaf))


def _most_lines(flow: Flow, names: int, boxes: _Boxes) -> int:
    """Give how many lines of text a row may have to stand on one page, even the first."""
    room = flow.field.top - flow.field.bottom - TITLE - HEAD - FIRST - 12.0 * names - 30
    if boxes.under:
        room -= boxes.lines * BOX_PITCH
    return max(1, int(room / FACTS_PITCH))


def cutout_letters(row: TickRow) -> tuple[str, ...]:
    """Give the letter before each line of cutouts, as it stands in the picture, or ""."""
    letters = iter(letters_of(row.part))
    rounded = f"{CutoutKind.ROUNDED_CORNER.value.split()[0]}:"
    return tuple(
        "" if str(phrase[0]).startswith(rounded) else next(letters, "") for phrase in row.cutouts
    )


def _box_lines(copies: int, room: float) -> _Boxes:
    if copies <= MOST_BESIDE:
        return _Boxes(copies, min(copies, A_LINE), under=False, every=1)
    every = box_every(copies, MOST_BOXES)
    return _Boxes(-(-copies // every), int((room + 4.5) // BOX_PITCH), under=True, every=every)


def _group(flow: Flow, group: TickGroup, name_room: float, units: Units, *, headed: bool) -> None:
    rows = [_lay(row, flow, name_room, units) for row in group.rows]
    for number, laid in enumerate(rows):
        kept = laid.height
        if number == 0:
            kept = sum(row.height for row in rows[:2]) + (HEAD if headed else 0)
            kept = min(kept, flow.field.top - flow.field.bottom - HEAD)
        turned = flow.need(kept)
        if headed and (turned or number == 0):
            _head(flow, group, again=number > 0)
        _row(flow, laid, name_room, units)
        _overleaf(flow, laid, units)
    for sentence in group.openings:
        lines = wrap_line(sentence, FACTS, flow.field.width)
        flow.need(FACTS_PITCH * len(lines) + 8)
        y = flow.y - FACTS_PITCH
        set_lines(flow.drawing, flow.field.left, y, lines, FACTS, pitch=FACTS_PITCH)
        flow.y -= FACTS_PITCH * len(lines) + 8


def _head(flow: Flow, group: TickGroup, *, again: bool) -> None:
    drawing, field = flow.drawing, flow.field
    y = flow.y - 24
    count = counted(group.count, "part")
    taken = set_line(drawing, field.right, y, count, 9.5, grey=MIDDLE, align=Align.RIGHT)
    name = (group.name or UNNAMED) + (", continued" if again else "")
    set_line(drawing, field.left, y, name, 14, Style.BOLD, room=field.width - taken - 12)
    flow.y = y - 8
    frame.rule(drawing, flow.y)


def _row(flow: Flow, laid: _Laid, name_room: float, units: Units) -> None:
    drawing, left, top = flow.drawing, flow.field.left, flow.y
    _sketch(drawing, laid, left, top, units)
    x, y = left + TEXT_X, top - FIRST
    set_lines(
        drawing, x, y, laid.names, laid.name_size, Style.BOLD, room=name_room - 10, pitch=12.0
    )
    part = laid.row.part
    size = marked_size(part.length, part.width, units)
    beside = 0.0 if laid.boxes.under else laid.boxes.in_a_line * BOX_PITCH + 8
    room = flow.field.width - TEXT_X - name_room - beside
    set_line(drawing, x + name_room, y, size, NAME, Style.BOLD, units, room=room)
    y -= (len(laid.names) - 1) * 12.0 + FACTS_PITCH + 0.5
    y = set_lines(drawing, x, y, laid.facts, FACTS, units=units, grey=DARK, pitch=FACTS_PITCH)
    y = set_lines(drawing, x, y, laid.bold, FACTS, Style.BOLD, units, pitch=FACTS_PITCH)
    _draw_boxes(drawing, laid, flow.field.right, x, top, y)
    flow.y = top - laid.height
    frame.rule(drawing, flow.y, marks.THIN_RULE)


def _overleaf(flow: Flow, laid: _Laid, units: Units) -> None:
    """Go on with the lines of a row that is longer than a page."""
    rest = laid.overleaf
    while rest:
        flow.turn()
        y = flow.y - FIRST
        name = f"{laid.row.part.name}, continued"
        set_line(flow.drawing, flow.field.left, y, name, NAME, Style.BOLD, room=flow.field.width)
        count = max(1, int((y - flow.field.bottom) / FACTS_PITCH) - 1)
        for line, style in rest[:count]:
            y -= FACTS_PITCH
            set_line(flow.drawing, flow.field.left + TEXT_X, y, line, FACTS, style, units)
        rest = rest[count:]
        flow.y = y - 8
        frame.rule(flow.drawing, flow.y, marks.THIN_RULE)


def _draw_boxes(
    drawing: Drawing, laid: _Laid, right: float, x: float, top: float, under: float
) -> None:
    """Draw a box a copy: at the right, or in lines under the text."""
    boxes = laid.boxes
    words = box_words(boxes.every, laid.row.boxes)
    if words:
        set_line(drawing, x, under, words, 8, grey=MIDDLE)
        under -= 11
    under -= 3
    for number in range(boxes.count):
        down, place = divmod(number, boxes.in_a_line)
        in_line = min(boxes.in_a_line, boxes.count - down * boxes.in_a_line)
        if boxes.under:
            left, low = x + place * BOX_PITCH, under - 4 - down * BOX_PITCH
        else:
            left = right - (in_line - place) * BOX_PITCH + 4.5
            low = top - 6 - BOX - down * BOX_PITCH
        marks.box(drawing, left, low, BOX)
        if laid.row.hands and boxes.every == 1:
            hand = "L" if laid.row.hands[number] == "left" else "R"
            drawing.add(
                Words(left + BOX / 2, low + 3.6, hand, 7.5, grey=MIDDLE, align=Align.MIDDLE)
            )


def _sketch(drawing: Drawing, laid: _Laid, left: float, top: float, units: Units) -> None:
    """Draw the part's picture in the first column, cutouts with their measures around it."""
    part = laid.row.part
    if not part.cutouts:
        width, height = picture_size(part, PLAIN_WIDTH, PLAIN_HEIGHT)
        y = top - (ROW + PLAIN_HEIGHT) / 2 + (PLAIN_HEIGHT - height) / 2
        draw_part(drawing, part, left + 0.5, y, width, height)
        return
    single = single_cutout(part) is not None
    wide = SKETCH_WIDTH - (BESIDE if single else 0)
    # A row made high by its words has room for a larger picture.
    spare = min(laid.height - ROW_WITH_CUTOUTS, MOST_SPARE)
    width, height = picture_size(part, wide, CUTOUT_HEIGHT + spare)
    room = ROW_WITH_CUTOUTS + spare - ((ABOVE + BELOW) if single else 8)
    y = top - (ABOVE + 2 if single else 4) - (room + height) / 2
    placed = draw_part(drawing, part, left + 0.5, y, width, height)
    dimension_cutouts(drawing, part, placed, units)


def tick_pages(plan: Plan, look: frame.Look) -> list[Drawing]:
    """Give the pages of the parts to tick off, and after them the band list, upright."""
    groups, bands = tick_groups(plan), band_needs(plan)
    return tick_group_pages(groups, tick_cautions(), look, bands, made_line(plan))
