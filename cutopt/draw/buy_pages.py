"""The buy list: what to take to the till, against the budget, and whether it can be cheaper."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from cutopt.draw import frame, marks
from cutopt.draw.budget_bar import draw_budget
from cutopt.draw.flow import Flow
from cutopt.draw.lines import (
    line_of,
    marked_size,
    name_lines,
    set_lines,
    wrap_facts,
    wrap_line,
)
from cutopt.draw.scene import MIDDLE, Align, Drawing, Style, Words
from cutopt.draw.typeset import Line, set_line
from cutopt.model.job import Kind
from cutopt.model.plan import Plan
from cutopt.steps.buy import (
    BuyList,
    BuyRow,
    CheaperRow,
    StoreCutsRow,
    budget_words,
    buy_list,
)
from cutopt.steps.cautions import buy_cautions
from cutopt.steps.materials import material_words
from cutopt.steps.money import format_amount, format_money
from cutopt.steps.phrase import Phrase, counted
from cutopt.units import Units

ROW = 27.0
FIRST = 18.0
ITEM_X = 24.0
SIZE_X = 142.0
PIECES = 250.0
EACH = 200.0
SUM = 144.0
REAL_EACH = 127.0, 57.0
REAL_SUM = 61.0, 61.0
BODY = 10.5
NOTE = 8.0
NOTE_PITCH = 10.5
HEAD = 27.0
TOGETHER = 44.0
BAND_LEFT = "Band of the parts still to make: use what is left of it first"
NO_PRICE = "no price given"
DASH = "\N{EN DASH}"
MOST_ROOMY = 4
"""Warnings that get larger type and room; more are set closer."""
TAX = "prices as given in the job, tax as entered there"


@dataclass(frozen=True, slots=True)
class _Laid:
    """A row of the list broken to its columns."""

    row: BuyRow
    names: tuple[Line, ...]
    name_size: float
    sizes: tuple[Line, ...]
    notes: tuple[Line, ...]

    @property
    def height(self) -> float:
        lines = max((len(self.names) - 1) * 11.5, (len(self.sizes) - 1) * 12.0)
        return ROW + lines + len(self.notes) * NOTE_PITCH


def buy_list_pages(
    buy: BuyList, warnings: Sequence[str], closing: Sequence[Phrase], look: frame.Look
) -> list[Drawing]:
    """Give the pages of a buy list.

    Args:
        buy: the list.
        warnings: what the builder must know of the plan before paying.
        closing: paragraphs to read before paying; one that ends with a colon gets a line
            to write on.
        look: what all pages of a plan share.
    """
    table = [True]

    def opening(drawing: Drawing, number: int) -> float:
        y = _title(drawing, buy, look.units) if number == 1 else frame.field_of(drawing).top - 4
        return _columns(drawing, y) if table else y

    flow = Flow(look, "buy list", "buy-list", opening)
    for group in buy.groups:
        _group(flow, group.head, group.rows, look.units)
    _bands(flow, buy.bands, look.units, BAND_LEFT if buy.goes_on else "Band")
    if buy.store_cuts is not None:
        _store_cuts(flow, buy.store_cuts)
    if not buy.owned:
        table.clear()  # Pages that follow have no columns to name.
    _together(flow, buy)
    if buy.owned:
        _group(flow, "From the shop, nothing to pay", buy.owned, look.units, owned=True)
        table.clear()
    flow.y -= 6
    _cheaper(flow, buy.cheaper, look.units)
    _sentences(flow, (*buy.offers, *buy.openings))
    _warnings(flow, warnings)
    _closing(flow, closing, look.units)
    return flow.pages


def _title(drawing: Drawing, buy: BuyList, units: Units) -> float:
    """Draw the total, how it lies against the budget, and the budget bar."""
    field = frame.field_of(drawing)
    y = field.top - 27
    total = format_money(buy.total_cents, buy.currency) if buy.any_price else "no prices given"
    taken = set_line(
        drawing, field.right, y, total, 25, Style.BOLD, align=Align.RIGHT, room=field.width * 0.6
    )
    set_line(drawing, field.left, y, "Buy list", 25, Style.BOLD, units,
             room=field.width - taken - 14)  # fmt: skip
    some = buy.unpriced and buy.any_price
    words = budget_words(buy) or ("without what has no price" if some else "")
    if words:
        set_line(drawing, field.right, y - 19, words, 11.5, align=Align.RIGHT, room=field.width)
        y -= 19
    if buy.budget is not None and buy.any_price:
        y = draw_budget(drawing, buy.budget, y - 14)
    if buy.goes_on:
        for line in wrap_line(buy.goes_on, 11.5, field.width, Style.BOLD, units):
            y -= 20
            set_line(drawing, field.left, y, line, 11.5, Style.BOLD, units)
    return y - 16


def _columns(drawing: Drawing, y: float) -> float:
    """Draw the heads of the columns."""
    field = frame.field_of(drawing)
    right = field.right
    baseline = y - 10
    for x, words in ((field.left + ITEM_X, "item"), (field.left + SIZE_X, "size")):
        drawing.add(Words(x, baseline, words, NOTE, grey=MIDDLE))
    for back, words in ((PIECES, "pieces"), (EACH, "each"), (SUM, "sum")):
        drawing.add(Words(right - back, baseline, words, NOTE, grey=MIDDLE, align=Align.RIGHT))
    for (back, wide), words in ((REAL_EACH, "real each"), (REAL_SUM, "real sum")):
        middle = right - back + wide / 2
        drawing.add(Words(middle, baseline, words, NOTE, grey=MIDDLE, align=Align.MIDDLE))
    frame.rule(drawing, baseline - 6)
    return baseline - 6


def _lay(row: BuyRow, width: float, units: Units) -> _Laid:
    item, measures = _named(row, units)
    names, size = name_lines(item, BODY, 9.0, SIZE_X - ITEM_X - 8, units=units)
    room = width - PIECES - SIZE_X - 26
    sizes, _ = name_lines(measures, BODY, 8.5, room, Style.REGULAR, units)
    facts = [line_of(note, units) for note in row.notes]
    notes = wrap_facts(facts, NOTE, width - SUM - ITEM_X - 8, units=units)
    return _Laid(row, names, size, sizes, notes)


def _named(row: BuyRow, units: Units) -> tuple[Line, Line]:
    """Give item and size: what is written on a measured board first, the grade to ask for last.

    A sheet has its thickness in its name, as on all other pages.
    """
    mark = f"{row.mark}: " if row.mark else ""
    grade = f", grade {row.grade}" if row.grade else ""
    if row.stock is None or row.stock.kind is not Kind.SHEET:
        return f"{mark}{row.item}{grade}", line_of(row.size, units)
    name = line_of(material_words(row.stock.material), units)
    size = marked_size(row.stock.length, row.stock.width, units)
    return (*((name,) if isinstance(name, str) else name), grade), size


def _group(
    flow: Flow, head: str, rows: Sequence[BuyRow], units: Units, *, owned: bool = False
) -> None:
    laid = [_lay(row, flow.field.width, units) for row in rows]
    for number, row in enumerate(laid):
        first = number == 0
        turned = flow.need(row.height + (HEAD if first else 0))
        if first or turned:
            again = ", continued" if not first else ""
            y = flow.y - 17
            set_line(
                flow.drawing, flow.field.left, y, head + again, 10.5, Style.BOLD,
                room=flow.field.width,
            )  # fmt: skip
            flow.y = y - 5
        _row(flow, row, units, owned=owned)


def _row(flow: Flow, laid: _Laid, units: Units, *, owned: bool) -> None:
    drawing, field, top, row = flow.drawing, flow.field, flow.y, laid.row
    y = top - FIRST
    marks.box(drawing, field.left, y - 3, 12.5)
    x = field.left + ITEM_X
    room = SIZE_X - ITEM_X - 8
    after = set_lines(
        drawing, x, y, laid.names, laid.name_size, Style.BOLD, units, room=room, pitch=11.5
    )
    other = set_lines(
        drawing, field.left + SIZE_X, y, laid.sizes, BODY, units=units,
        room=field.width - PIECES - SIZE_X - 26, pitch=12.0,
    )  # fmt: skip
    set_line(
        drawing, field.right - PIECES, y, str(row.count), 16, Style.BOLD,
        align=Align.RIGHT, room=36,
    )  # fmt: skip
    if not owned:
        _prices(drawing, field.right, y, row)
    notes_y = min(after + 11.5, other + 12.0) - 11
    set_lines(drawing, x, notes_y, laid.notes, NOTE, units=units, grey=MIDDLE, pitch=NOTE_PITCH)
    flow.y = top - laid.height
    frame.rule(drawing, flow.y, marks.THIN_RULE)


def _prices(drawing: Drawing, right: float, y: float, row: BuyRow) -> None:
    """Set each and sum, or say that there is no price, and draw the boxes for the real ones."""
    each = DASH if row.each_cents is None else format_amount(row.each_cents)
    set_line(drawing, right - EACH, y, each, BODY, align=Align.RIGHT, room=PIECES - EACH - 7)
    if row.sum_cents is None:
        set_line(drawing, right - SUM, y, NO_PRICE, NOTE, align=Align.RIGHT, room=52)
    else:
        money = format_amount(row.sum_cents)
        set_line(drawing, right - SUM, y, money, BODY, Style.BOLD, align=Align.RIGHT, room=52)
    for back, wide in (REAL_EACH, REAL_SUM):
        drawing.rectangle(right - back, y - 5, wide, 18, 0.5)


def _bands(flow: Flow, bands: Sequence[Phrase], units: Units, title: str) -> None:
    """Draw how much band the edges want: it is bought by the roll, so no price stands here."""
    room = flow.field.width - ITEM_X
    for number, phrase in enumerate(bands):
        lines = wrap_line(line_of(phrase, units), 9.5, room, units=units)
        height = 12.0 * len(lines) + 9
        turned = flow.need(height + (HEAD if number == 0 else 0))
        if number == 0 or turned:
            head = title + (", continued" if number else "")
            set_line(flow.drawing, flow.field.left, flow.y - 17, head, 10.5, Style.BOLD)
            flow.y -= 22
        marks.box(flow.drawing, flow.field.left, flow.y - 16, 12.5)
        set_lines(
            flow.drawing, flow.field.left + ITEM_X, flow.y - 13, lines, 9.5, units=units,
            pitch=12.0,
        )  # fmt: skip
        flow.y -= height
        frame.rule(flow.drawing, flow.y, marks.THIN_RULE)


def _store_cuts(flow: Flow, cuts: StoreCutsRow) -> None:
    """Draw the store's cuts as a line of the list."""
    flow.need(ROW + TOGETHER)  # The sum never stands alone on a page.
    drawing, field, top = flow.drawing, flow.field, flow.y
    y = top - FIRST
    made = counted(cuts.made, "cut")
    words = f"{made} made, {cuts.paid} over the free ones" if cuts.paid else f"{made}, all free"
    set_line(drawing, field.left + ITEM_X, y, "Store cuts", BODY, Style.BOLD)
    room = field.width - SUM - SIZE_X - 60
    set_line(drawing, field.left + SIZE_X, y, words, 9.0, room=room)
    money = format_amount(cuts.sum_cents)
    set_line(drawing, field.right - SUM, y, money, BODY, Style.BOLD, align=Align.RIGHT, room=52)
    back, wide = REAL_SUM
    drawing.rectangle(field.right - back, y - 5, wide, 18, 0.5)
    flow.y = top - ROW
    frame.rule(drawing, flow.y, marks.THIN_RULE)


def _together(flow: Flow, buy: BuyList) -> None:
    """Draw the sum of all, with a box for the real one."""
    flow.need(TOGETHER)
    drawing, field = flow.drawing, flow.field
    frame.rule(drawing, flow.y)
    y = flow.y - 21
    set_line(drawing, field.left, y, "Together", 14, Style.BOLD)
    money = format_money(buy.total_cents, buy.currency) if buy.any_price else DASH
    set_line(drawing, field.right - SUM, y, money, 14, Style.BOLD, align=Align.RIGHT, room=120)
    drawing.rectangle(field.right - 83, y - 7, 83, 22, 1.1)
    words = TAX + ("; what has no price is not in it" if buy.unpriced else "")
    if not buy.any_price:
        words = "no prices given: write the real ones in the boxes"
    set_line(drawing, field.left, y - 15, words, NOTE, grey=MIDDLE, room=field.width - 90)
    flow.y = y - 19


def _cheaper(flow: Flow, rows: Sequence[CheaperRow], units: Units) -> None:
    """Draw, a line a material, what is known about a cheaper purchase."""
    if not rows:
        return
    field = flow.field
    reason_room, answer_x = 218.0, 112.0
    answer_room = field.width - answer_x - reason_room - 10
    laid = []
    for row in rows:
        names, size = name_lines(line_of(row.material, units), 11.5, 8.5, answer_x - 8, units=units)
        answer = wrap_line(line_of(row.answer, units), 11, answer_room, units=units)
        reason = wrap_line(row.reason, NOTE, reason_room) if row.reason else ()
        height = max(len(names) * 12.5, len(answer) * 13.0, len(reason) * 10.0) + 4
        laid.append((names, size, answer, reason, height))
    for number, (names, size, answer, reason, height) in enumerate(laid):
        kept = sum(row[-1] for row in laid[:2]) + 28 if number == 0 else height
        if flow.need(kept) or number == 0:
            head = "Can it be had cheaper?" + (" continued" if number else "")
            set_line(flow.drawing, field.left, flow.y - 18, head, 14, Style.BOLD)
            flow.y -= 26
            frame.rule(flow.drawing, flow.y)
        y = flow.y - 14
        drawing = flow.drawing
        set_lines(
            drawing, field.left, y, names, size, Style.BOLD, units, room=answer_x - 8, pitch=12.5
        )
        set_lines(drawing, field.left + answer_x, y, answer, 11, units=units, pitch=13.0)
        set_lines(drawing, field.right, y, reason, NOTE, grey=MIDDLE, align=Align.RIGHT, pitch=10.0)
        flow.y -= height


def _sentences(flow: Flow, sentences: Sequence[str]) -> None:
    """Draw what ripping saves, a paragraph a lumber; then which openings do."""
    for sentence in sentences:
        lines = wrap_line(sentence, 9.5, flow.field.width)
        height = 12.0 * len(lines)
        flow.need(height + 6)
        set_lines(flow.drawing, flow.field.left, flow.y - 15, lines, 9.5, pitch=12.0)
        flow.y -= height + 6


def _warnings(flow: Flow, warnings: Sequence[str]) -> None:
    """Draw what may go wrong with this plan, a paragraph a warning."""
    size, gap = (BODY, 7.0) if len(warnings) <= MOST_ROOMY else (9.0, 3.0)
    for number, text in enumerate(warnings):
        lines = wrap_line(text, size, flow.field.width - 16)
        height = size * 1.32 * len(lines) + size * 0.5
        if flow.need(height + gap + (36 if number == 0 else 0)) or number == 0:
            head = "Know this first" + (", continued" if number else "")
            set_line(flow.drawing, flow.field.left, flow.y - 24, head, 14, Style.BOLD)
            flow.y -= 32
            frame.rule(flow.drawing, flow.y)
            flow.y -= 4
        flow.y -= gap
        flow.y -= marks.caution(flow.drawing, flow.field.left, flow.y, lines, size)


def _closing(flow: Flow, closing: Sequence[Phrase], units: Units) -> None:
    """Draw what to do before paying, with a line to write on, and on the way home."""
    rest: list[Line] = []
    for phrase in closing:
        words = line_of(phrase, units)
        if not str(phrase[-1]).endswith(":"):
            rest.append(words)
            continue
        lines = [*wrap_line(words, 9.5, flow.field.width - 16, units=units), "", ""]
        height = 9.5 * 1.32 * len(lines) + 5
        flow.need(height + 16)
        flow.y -= 16
        drawing, field = flow.drawing, flow.field
        marks.caution(drawing, field.left, flow.y, lines, 9.5, units)
        flow.y -= height
        drawing.line(field.left + 13, flow.y + 8, field.right, flow.y + 8, 0.6)
    if rest:
        flow.y += 8  # They belong together.
        flow.cautions(rest, units)


def buy_pages(plan: Plan, look: frame.Look) -> list[Drawing]:
    """Give the pages of the buy list, upright."""
    warnings = [warning.text for warning in plan.warnings]
    return buy_list_pages(buy_list(plan), warnings, buy_cautions(plan), look)
