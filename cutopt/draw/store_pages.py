"""Store sheets: what the operator of the store's saw reads, at arm's length, in a minute.

Only the store's cuts are on them: no part names, no parts, no grain.
"""

from __future__ import annotations

from collections.abc import Sequence

from cutopt.draw import frame, marks
from cutopt.draw.flow import Flow
from cutopt.draw.frame import Field, Look, in_units
from cutopt.draw.lines import GAP, line_of, marked_size, set_lines, wrap_line
from cutopt.draw.scene import Align, Drawing, Style
from cutopt.draw.store_dimensions import UNDER_DRAWING
from cutopt.draw.store_drawing import (
    draw_store_cuts,
    frame_in,
    room_for_drawing,
)
from cutopt.draw.store_list import LEAST_ROW, MOST_ROW, TIGHT_ROW, RowRoom, draw_row, least_row
from cutopt.draw.typeset import Line, line_width, set_line
from cutopt.model.job import Kind, Stock
from cutopt.model.plan import Plan
from cutopt.steps.handling import wants_two_people
from cutopt.steps.materials import board_length, material_words
from cutopt.steps.money import format_money
from cutopt.steps.phrase import counted, listed
from cutopt.steps.store import StoreSheet, fee_words, store_sheets, uncut_words
from cutopt.units import Units

KIND = "store cuts"
MOST_ON_ONE_PAGE = 6
"""Cuts that share a page with their drawing."""
LEAST_DRAWING = 168.0
"""Points of height a drawing keeps before its list moves to a page of its own."""
BODY = 11.5
PITCH = 15.5
STOP_SHARE = 0.56
"""Of the width, for the words at the foot; the till has the rest."""


def store_pages(plan: Plan, look: Look) -> list[Drawing]:
    """Give the store sheets: a page or more for each distinct sheet, then the boards.

    Empty where the store cuts nothing.
    """
    plan = in_units(plan, look)
    sheets = store_sheets(plan)
    if not sheets:
        return []
    boards = tuple(sheet for sheet in sheets if sheet.stock.kind is Kind.BOARD)
    panels = tuple(sheet for sheet in sheets if sheet.stock.kind is Kind.SHEET)
    pages: list[Drawing] = []
    for sheet in panels:
        last = sheet is panels[-1] and not boards
        pages.extend(_sheet_flow(sheet, plan, look, last=last).pages)
    if boards:
        pages.extend(_board_flow(boards, plan, look).pages)
    return pages


# One sheet --------------------------------------------------------------------------------


def _sheet_flow(sheet: StoreSheet, plan: Plan, look: Look, *, last: bool) -> Flow:
    """Give the pages of one distinct sheet; the last one closes the store's pages."""

    def opening(drawing: Drawing, number: int) -> float:
        y = _head(drawing, sheet, plan)
        return _instructions(drawing, sheet, y, plan.job.units) if number == 1 else y

    flow = Flow(look, KIND, f"store-{sheet.ids[0]}", opening)
    field = flow.field
    room = room_for_drawing(field.left, field.right, flow.y)
    least = least_row(len(sheet.ids))
    closing = _closing_lines(plan, field) if last else []
    foot = _foot_height(sheet, field, plan) + (_closing_height(len(closing)) if last else 0.0)
    list_height = len(sheet.cuts) * least + foot
    beside_list = room.y1 - UNDER_DRAWING - field.bottom - list_height
    whole = room.y1 - UNDER_DRAWING - field.bottom
    wanted = room.width * sheet.stock.width / sheet.stock.length
    together = len(sheet.cuts) <= MOST_ON_ONE_PAGE and beside_list >= min(wanted, LEAST_DRAWING)
    paper = frame_in(sheet, room, beside_list if together else whole)
    draw_store_cuts(flow.drawing, sheet, paper, plan.job.units)
    flow.y = paper.rect.y0 - UNDER_DRAWING
    if not together:
        flow.turn()
    _list(flow, sheet, plan, foot)
    _foot(flow, (sheet,), sheet.stop, plan)
    _close(flow, closing)
    return flow


def _head(drawing: Drawing, sheet: StoreSheet, plan: Plan) -> float:
    """Draw tag, title, how many cuts, stock and fee; give the baseline for what follows."""
    field = frame.field_of(drawing)
    units = plan.job.units
    y = field.top - 32
    x = field.left + marks.tag(drawing, field.left, y, sheet.ids[0]) + 9
    cuts = counted(len(sheet.cuts), "cut") + (" each" if len(sheet.ids) > 1 else "")
    taken = set_line(drawing, field.right, y, cuts, 25, Style.BOLD, align=Align.RIGHT)
    set_line(drawing, x, y, "Store cuts", 25, Style.BOLD, room=field.right - x - taken - 14)
    y -= 28
    fee: Line = fee_words(sheet)
    if sheet.paid and sheet.fee_each_cents:
        money = format_money(sheet.paid * sheet.fee_each_cents, plan.job.currency)
        fee = f"{fee}: {money}{' each' if len(sheet.ids) > 1 else ''}"
    taken = set_line(drawing, field.right, y, fee, BODY, Style.BOLD, align=Align.RIGHT)
    lines = wrap_line(
        (*stock_line(sheet.stock, units), GAP, "bought here"),
        BODY, field.width - taken - 14, units=units,
    )  # fmt: skip
    y = set_lines(drawing, field.left, y, lines, BODY, units=units)
    if len(sheet.ids) > 1:
        words = f"Do this to {len(sheet.ids)} {sheet.stock.kind.value}s: {listed(sheet.ids)}."
        lines = wrap_line(words, 14, field.width, Style.BOLD)
        y = set_lines(drawing, field.left, y - 6, lines, 14, Style.BOLD)
    return y


def stock_line(stock: Stock, units: Units) -> Line:
    """Give a piece of stock in one line: material, thickness or section, size."""
    words = line_of(material_words(stock.material), units)
    if stock.kind is Kind.BOARD:
        return (*words, GAP, *line_of(board_length(stock.length, units), units))
    return (*words, GAP, *marked_size(stock.length, stock.width, units))


def _instructions(drawing: Drawing, sheet: StoreSheet, y: float, units: Units) -> float:
    """Set the three things an operator must know side by side; give the y under them."""
    field = frame.field_of(drawing)
    y -= 10
    heads = [line_of(head, units) for head, _ in sheet.instructions]
    bodies = [line_of(body, units) for _, body in sheet.instructions]
    widths = [
        max(line_width(head, BODY, Style.BOLD, units), line_width(body, BODY, units=units))
        for head, body in zip(heads, bodies, strict=True)
    ]
    between = (field.width - sum(widths)) / max(1, len(widths) - 1)
    x = field.left
    for head, body, width in zip(heads, bodies, widths, strict=True):
        set_line(drawing, x, y, head, BODY, Style.BOLD, units)
        set_line(drawing, x, y - PITCH + 1, body, BODY, units=units)
        x += width + min(between, 60.0)
    return y - PITCH - 4


def _list(flow: Flow, sheet: StoreSheet, plan: Plan, foot: float) -> None:
    """Draw one row a cut, as high as the page and the foot under them allow."""
    field = flow.field
    cuts = list(sheet.cuts)
    least = least_row(len(sheet.ids))
    if len(cuts) * least + foot > flow.room > len(cuts) * TIGHT_ROW + foot and least <= LEAST_ROW:
        least = TIGHT_ROW
    while cuts:
        fitting = max(1, int((flow.room - 2) // least))
        here = cuts[:fitting]
        spare = flow.room - 2 - (foot if len(here) == len(cuts) else 0.0)
        height = max(least, min(max(MOST_ROW, least), spare / len(here)))
        frame.rule(flow.drawing, flow.y)
        for cut in here:
            room = RowRoom(field.left, field.right, flow.y, height)
            draw_row(flow.drawing, cut, room, len(sheet.ids), plan.job.units)
            flow.y -= height
            frame.rule(flow.drawing, flow.y, 0.6)
        cuts = cuts[fitting:]
        if cuts:
            flow.turn()


# The foot ---------------------------------------------------------------------------------


def _foot_height(sheet: StoreSheet, field: Field, plan: Plan) -> float:
    """Give the height of stop and till, points."""
    lines = 1 + sum(len(wrapped) for wrapped in _wrapped(sheet.stop[1:], field))
    return 16 + max(lines, 1 + len(_till((sheet,), plan))) * PITCH + 6


def _wrapped(lines: Sequence[str], field: Field) -> list[tuple[Line, ...]]:
    return [wrap_line(line, BODY, field.width * STOP_SHARE - 13) for line in lines]


def _till(sheets: Sequence[StoreSheet], plan: Plan) -> list[tuple[str, str]]:
    """Give the lines at the till: words, money."""
    currency = plan.job.currency
    free = sum(sheet.free * len(sheet.ids) for sheet in sheets)
    paid = sum(sheet.paid * len(sheet.ids) for sheet in sheets)
    fee = sum(sheet.fee_cents for sheet in sheets)
    each = sheets[0].fee_each_cents
    made = (f"{counted(free + paid, 'cut')} made", "")
    if not each:
        return [made, ("nothing to pay", format_money(0, currency))]
    return [
        made,
        (f"{free} free", format_money(0, currency)),
        (f"{paid} at {format_money(each, currency)}", format_money(fee, currency)),
    ]


def _foot(flow: Flow, sheets: Sequence[StoreSheet], stop: Sequence[str], plan: Plan) -> None:
    """Draw where to stop and what is paid."""
    field = flow.field
    wrapped = _wrapped(stop[1:], field)
    till = _till(sheets, plan)
    count = max(1 + sum(len(lines) for lines in wrapped), 1 + len(till))
    flow.need(16 + count * PITCH + 6)
    drawing = flow.drawing
    top = flow.y - 14
    bar = (1 + sum(len(lines) for lines in wrapped)) * PITCH + 4
    drawing.rectangle(field.left, top - bar, 4, bar, 0, fill=0.0)
    y = top - 11
    set_line(drawing, field.left + 13, y, stop[0], 12.5, Style.BOLD)
    for lines in wrapped:
        for line in lines:
            y -= PITCH
            set_line(drawing, field.left + 13, y, line, BODY)
    x = field.left + field.width * (STOP_SHARE + 0.05)
    y = top - 11
    set_line(drawing, x, y, "At the till", 12.5, Style.BOLD)
    for words, money in till:
        y -= PITCH
        set_line(drawing, x, y, words, BODY)
        set_line(drawing, field.right, y, money, BODY, Style.BOLD, align=Align.RIGHT)
    flow.y = top - count * PITCH - 8


# Boards -----------------------------------------------------------------------------------


def _board_flow(boards: Sequence[StoreSheet], plan: Plan, look: Look) -> Flow:
    """Give the boards the store crosscuts for the car, one after another."""
    units = plan.job.units

    def opening(drawing: Drawing, number: int) -> float:
        field = frame.field_of(drawing)
        y = field.top - 32
        cuts = sum(len(sheet.cuts) * len(sheet.ids) for sheet in boards)
        taken = set_line(
            drawing, field.right, y, counted(cuts, "cut"), 25, Style.BOLD, align=Align.RIGHT
        )
        words = "Store cuts: boards"
        set_line(drawing, field.left, y, words, 25, Style.BOLD, room=field.width - taken - 14)
        return _instructions(drawing, boards[0], y - 16, units) - 8 if number == 1 else y - 22

    flow = Flow(look, KIND, "store-boards", opening)
    field = flow.field
    for sheet in boards:
        least = least_row(len(sheet.ids))
        flow.need(28 + least)
        frame.rule(flow.drawing, flow.y)
        y = flow.y - 20
        ids = " ".join(sheet.ids)
        fits = len(ids) <= 24
        x = (
            field.left
            + marks.tag(flow.drawing, field.left, y, ids if fits else sheet.ids[0], 14)
            + 9
        )
        said: Line = stock_line(sheet.stock, units)
        if not fits:
            said = (f"{len(sheet.ids)} alike: {sheet.ids[0]} to {sheet.ids[-1]}", GAP, *said)
        set_line(flow.drawing, x, y, said, BODY, units=units, room=field.right - x)
        flow.y = y - 8
        for cut in sheet.cuts:
            flow.need(least)
            room = RowRoom(field.left, field.right, flow.y, least)
            draw_row(flow.drawing, cut, room, len(sheet.ids), units)
            flow.y -= least
            flow.drawing.line(field.left, flow.y, field.right, flow.y, marks.THIN_RULE)
    stop = (
        "Stop after each board's last cut.",
        "Pencil the letter on each piece: the board's name first, as in L1 A.",
    )
    _foot(flow, boards, stop, plan)
    _close(flow, _closing_lines(plan, field))
    return flow


# The end ----------------------------------------------------------------------------------


def _closing_lines(plan: Plan, field: Field) -> list[tuple[tuple[Line, Style], ...]]:
    """Name what leaves the store uncut, and say how to get it home: on one line if it fits."""
    whole = any(
        wants_two_people(piece.stock, piece.stock.length, piece.stock.width)
        for piece in plan.pieces
        if not piece.stock.owned
    )
    uncut = uncut_words(plan)
    carry = (
        "Two people for a full sheet. " if whole else ""
    ) + "Tie the load down before you drive."
    if line_width(f"{uncut}  ", BODY, Style.BOLD) + line_width(carry, BODY) <= field.width:
        return [((uncut, Style.BOLD), (carry, Style.REGULAR))]
    lines = wrap_line(uncut, BODY, field.width, Style.BOLD)
    return [*(((line, Style.BOLD),) for line in lines), ((carry, Style.REGULAR),)]


def _closing_height(lines: int) -> float:
    return lines * PITCH + 8


def _close(flow: Flow, lines: Sequence[tuple[tuple[Line, Style], ...]]) -> None:
    """Write the last lines of the store's pages."""
    if not lines:
        return
    flow.need(_closing_height(len(lines)))
    y = flow.y - 14
    for runs in lines:
        x = flow.field.left
        for text, style in runs:
            taken = set_line(flow.drawing, x, y, text, BODY, style)
            x += taken + (6.0 if taken else 0.0)
        y -= PITCH
    flow.y = y
