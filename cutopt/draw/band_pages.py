"""The band list: which edges of which parts are banded, and how much band that takes."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from cutopt.draw import frame, marks
from cutopt.draw.flow import Flow
from cutopt.draw.lines import line_of, name_lines, set_lines, wrap_facts
from cutopt.draw.part_sketch import draw_part, picture_size
from cutopt.draw.scene import MIDDLE, Align, Drawing, Style
from cutopt.draw.typeset import Length, Line, set_line
from cutopt.steps.bands import BandNeed, BandRow
from cutopt.steps.materials import material_words, run_words
from cutopt.steps.phrase import counted
from cutopt.units import Ticks, Units

ROW = 27.0
FIRST = 16.0
SKETCH_WIDTH = 60.0
SKETCH_HEIGHT = 19.0
NAME_X = 74.0
EDGES_X = 196.0
TEXT = 10.0
PITCH = 13.0
BOX = 11.0
BOX_PITCH = 15.0
A_LINE = 6
MOST_BOXES = 24
"""Copies with a box each; more get their count and one box."""
HEAD = 48.0
CLOSING = 34.0
TITLE = 50.0


@dataclass(frozen=True, slots=True)
class _Laid:
    row: BandRow
    names: tuple[Line, ...]
    name_size: float
    edges: tuple[Line, ...]
    boxes: int
    height: float


def band_list_pages(needs: Sequence[BandNeed], look: frame.Look) -> list[Drawing]:
    """Give the pages of the band list; none where nothing is banded."""
    needs = [need for need in needs if need.rows]
    if not needs:
        return []

    def opening(drawing: Drawing, number: int) -> float:
        return frame.field_of(drawing).top - (2 if number > 1 else 0)

    flow = Flow(look, "band list", "bands", opening)
    draw_band_list(flow, needs, look.units)
    return flow.pages


def draw_band_list(flow: Flow, needs: Sequence[BandNeed], units: Units) -> None:
    """Draw the band list from where a flow stands."""
    flow.y = frame.title(
        flow.drawing,
        "Edges to band",
        units,
        counts=counted(sum(need.edges for need in needs), "edge"),
        conditions="lengths of the finished edges   front edge drawn at the bottom",
        top=flow.y,
    )
    for need in needs:
        _need(flow, need, units)


def band_list_height(needs: Sequence[BandNeed], flow: Flow, units: Units) -> float:
    """Give the height of the whole band list on one page, points."""
    room = _edges_room(flow)
    rows = sum(_lay(row, units, room).height for need in needs for row in need.rows)
    return TITLE + rows + len(needs) * (HEAD + CLOSING)


def _edges_room(flow: Flow) -> float:
    return flow.field.width - EDGES_X - A_LINE * BOX_PITCH - 44


def _lay(row: BandRow, units: Units, room: float) -> _Laid:
    names, size = name_lines(row.part.name, TEXT, 8.0, EDGES_X - NAME_X - 10)
    facts = [line_of((f"{edge.value} ", length), units) for edge, length in row.edges]
    edges = wrap_facts(facts, TEXT, room, units=units)
    boxes = row.part.qty if row.part.qty <= MOST_BOXES else 1
    lines = max(len(names), len(edges))
    height = max(ROW + (lines - 1) * PITCH, 8 + -(-boxes // A_LINE) * BOX_PITCH, SKETCH_HEIGHT + 8)
    return _Laid(row, names, size, edges, boxes, height)


def _need(flow: Flow, need: BandNeed, units: Units) -> None:
    """Draw one material's edges and what they sum up to."""
    rows = [_lay(row, units, _edges_room(flow)) for row in need.rows]
    for number, laid in enumerate(rows):
        closing = CLOSING if number == len(rows) - 1 else 0.0
        kept = laid.height + closing
        if number == 0:
            kept = HEAD + sum(row.height for row in rows[:2]) + closing
        if flow.need(kept) or number == 0:
            _head(flow, need, units, again=number > 0)
        _row(flow, laid, units)
    _sum(flow, need, units)


def _head(flow: Flow, need: BandNeed, units: Units, *, again: bool) -> None:
    drawing, field = flow.drawing, flow.field
    y = flow.y - 28
    words = (
        *line_of(material_words(need.material), units),
        ", continued" if again else "",
    )
    right: Line = counted(need.edges, "edge")
    if need.thickness:
        # Thin bands are a few hundredths of an inch: set in one run, it extracts in order.
        right = ("band ", Length(need.thickness, mark=True), " thick")
    taken = set_line(
        drawing, field.right, y, right, 8.9, units=units, grey=MIDDLE, align=Align.RIGHT
    )
    set_line(drawing, field.left, y, words, 14, Style.BOLD, units, room=field.width - taken - 12)
    flow.y = y - 8
    frame.rule(drawing, flow.y)


def _row(flow: Flow, laid: _Laid, units: Units) -> None:
    drawing, field, top = flow.drawing, flow.field, flow.y
    part = laid.row.part
    width, height = picture_size(part, SKETCH_WIDTH, SKETCH_HEIGHT)
    low = top - 4 - SKETCH_HEIGHT + (SKETCH_HEIGHT - height) / 2
    draw_part(drawing, part, field.left + 0.5, low, width, height)
    y = top - FIRST - 1
    set_lines(
        drawing, field.left + NAME_X, y, laid.names, laid.name_size, Style.BOLD,
        room=EDGES_X - NAME_X - 10, pitch=PITCH,
    )  # fmt: skip
    set_lines(drawing, field.left + EDGES_X, y, laid.edges, TEXT, units=units, pitch=PITCH)
    boxes_left = field.right - min(laid.boxes, A_LINE) * BOX_PITCH + 4
    for number in range(laid.boxes):
        down, place = divmod(number, A_LINE)
        marks.box(
            drawing, boxes_left + place * BOX_PITCH, top - 8 - BOX - down * BOX_PITCH, BOX, 0.9
        )
    if part.qty > MOST_BOXES:
        words = f"{part.qty} of these"
        set_line(drawing, boxes_left - 8, y, words, 8, grey=MIDDLE, align=Align.RIGHT)
    flow.y = top - laid.height
    frame.rule(drawing, flow.y, marks.THIN_RULE)


def _sum(flow: Flow, need: BandNeed, units: Units) -> None:
    """Draw the length of band in all: net, and with what is trimmed off each edge."""
    drawing, field = flow.drawing, flow.field
    y = flow.y - 18
    trimmed = (need.with_allowance - need.net) // need.edges
    words: Line = (
        f"{counted(need.edges, 'edge')}, ",
        Length(need.net, mark=True),
        " in all; with ",
        Length(Ticks(trimmed), mark=True),
        " to trim on each ",
    )
    taken = set_line(drawing, field.left, y, words, TEXT, units=units)
    total = run_words(need.with_allowance, units)
    set_line(drawing, field.left + taken, y, total, TEXT, Style.BOLD)
    flow.y = y - 12
