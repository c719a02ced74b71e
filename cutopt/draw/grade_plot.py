"""Chance against number of boards: one page a material, a stepped line for each grade."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from cutopt.draw import frame, marks
from cutopt.draw.flow import BODY, NOTE, Flow
from cutopt.draw.lines import set_lines, wrap_line
from cutopt.draw.scene import BLACK, MIDDLE, WHITE, Align, Circle, Drawing, Outline, Style, Words
from cutopt.draw.typeset import set_line
from cutopt.solve.grades import SCENARIOS
from cutopt.solve.grades_answer import GradeAnswer
from cutopt.steps.grades import ASSUMED, GradeReport, chance_words

PLOT_HEIGHT = 215.0
LEFT = 34.0
RIGHT = 96.0
DASHES: tuple[tuple[float, ...], ...] = ((), (6.0, 2.5), (1.5, 2.0), (8.0, 2.0, 1.5, 2.0))
CELL = 74.0


def grade_pages(
    answers: Sequence[GradeAnswer], reports: Sequence[GradeReport], look: frame.Look
) -> list[Drawing]:
    """Give a page for each material: the plot, the purchases, what is assumed."""
    pages: list[Drawing] = []
    for number, (answer, report) in enumerate(zip(answers, reports, strict=True), start=1):

        def opening(
            drawing: Drawing,
            page: int,
            answer: GradeAnswer = answer,
            report: GradeReport = report,
        ) -> float:
            if page > 1:
                return frame.field_of(drawing).top - 8
            y = frame.title(drawing, report.title, look.units)
            return _plot(drawing, answer, y - 22) - 14 if answer.alone else y

        flow = Flow(look, "grades of boards", f"grades-{number}", opening)
        _words(flow, report)
        pages += flow.pages
    frame.number_pages(pages)
    return pages


def _reach(answer: GradeAnswer) -> tuple[int, int]:
    """Give the fewest and the most boards worth showing."""
    low: list[int] = []
    high: list[int] = []
    if answer.usual_mix is not None:
        low, high = [answer.usual_mix.boards], [answer.usual_mix.boards]
    for one in answer.alone:
        low.append(next(n for n, out in enumerate(one.out) if out))
        sure = 0.998 * one.out[-1]
        high.append(next(n for n, out in enumerate(one.out) if out >= sure))
    return max(0, min(low, default=1) - 1), max(high, default=1) + 1


def _plot(drawing: Drawing, answer: GradeAnswer, top: float) -> float:
    field = frame.field_of(drawing)
    left, right = field.left + LEFT, field.right - RIGHT
    low = top - PLOT_HEIGHT
    first, last = _reach(answer)

    def x_of(boards: float) -> float:
        return left + (boards - first) / max(1, last - first) * (right - left)

    def y_of(share: float) -> float:
        return low + share * PLOT_HEIGHT

    drawing.add(Words(field.left, top + 10, "chance that all parts come out", 8, grey=MIDDLE))
    for share in (0.0, 0.25, 0.5, 0.75, 1.0):
        drawing.line(left - 3, y_of(share), left, y_of(share), 0.4)
    for share in (0.0, 0.5):
        drawing.add(Words(left - 6, y_of(share) - 3, f"{100 * share:.0f} %", 8, align=Align.RIGHT))
    for share in answer.chances:
        drawing.line(left, y_of(share), right, y_of(share), 0.4, MIDDLE, dash=(1.0, 2.0))
    for share in answer.chances:
        usual = share == answer.usual
        drawing.add(
            Words(
                left - 6, y_of(share) - 3, chance_words(share), 8 if usual else 6.5,
                Style.BOLD if usual else Style.REGULAR, align=Align.RIGHT,
            )
        )  # fmt: skip
    drawing.line(left, low, right, low, 1.2)
    drawing.line(left, low, left, top, 0.4)
    every = max(1, -(-(last - first) // 16))
    for boards in range(first, last + 1):
        long = (boards - first) % every == 0
        drawing.line(x_of(boards), low, x_of(boards), low - (6 if long else 3), 0.4)
        if long:
            drawing.add(Words(x_of(boards), low - 16, str(boards), 8, align=Align.MIDDLE))
    drawing.add(Words(right, low - 29, "boards bought", 8, grey=MIDDLE, align=Align.RIGHT))
    _curves(drawing, answer, (first, last), x_of, y_of)
    return low - 29


def _curves(
    drawing: Drawing,
    answer: GradeAnswer,
    reach: tuple[int, int],
    x_of: Callable[[float], float],
    y_of: Callable[[float], float],
) -> None:
    """Draw a stepped line for each row of boards alone, a ring for the purchase for the chance."""
    first, last = reach
    names: list[str] = []
    for number, one in enumerate(answer.alone):
        points = []
        for boards in range(first, last + 1):
            share = one.out[boards] / SCENARIOS
            points += [
                (x_of(boards), y_of(share)),
                (min(x_of(boards + 1), x_of(last)), y_of(share)),
            ]
        drawing.add(Outline(tuple(points), 1.6, BLACK, dash=DASHES[number % len(DASHES)]))
        names.append(answer.question.offers[one.offer].stock.name)
    beside = x_of(last) + 6
    y = y_of(0.94)
    for number, name in enumerate(names):
        drawing.line(beside, y + 3, beside + 22, y + 3, 1.6, dash=DASHES[number % len(DASHES)])
        for line in wrap_line(name, 8, RIGHT - 10):
            y -= 10
            set_line(drawing, beside, y, line, 8, Style.BOLD, room=RIGHT - 8)
        y -= 14
    mix = answer.usual_mix
    if mix is not None and first <= mix.boards <= last:
        drawing.add(Circle(x_of(mix.boards), y_of(mix.chance), 4.0, 1.6, WHITE))
        drawing.add(Circle(beside + 4, y + 3, 4.0, 1.6, WHITE))
        what = f"cheapest found for {chance_words(answer.usual)}"
        for line in wrap_line(what, 8, RIGHT - 24):
            set_line(drawing, beside + 14, y, line, 8, room=RIGHT - 22)
            y -= 10


def _words(flow: Flow, report: GradeReport) -> None:
    """Set the table of purchases, then what else is known and what is assumed."""
    _head(flow, report)
    for row in report.rows:
        lines = wrap_line(row.what, BODY, flow.field.width - CELL * len(report.chances) - 8)
        height = 12.0 * len(lines) + 6
        if flow.need(height):
            _head(flow, report)
        set_lines(flow.drawing, flow.field.left, flow.y - 12, lines, BODY, pitch=12.0)
        for number, cell in enumerate(row.cells):
            x = flow.field.right - CELL * (len(row.cells) - 1 - number)
            set_line(
                flow.drawing, x, flow.y - 12, cell, BODY, Style.BOLD, align=Align.RIGHT,
                room=CELL - 6,
            )  # fmt: skip
        flow.y -= height
        frame.rule(flow.drawing, flow.y, marks.THIN_RULE)
    for head, size, texts in (
        ("What else is known", BODY, report.facts),
        ("What the grades are taken for", NOTE, report.grades),
        ("What is assumed", NOTE, ASSUMED),
    ):
        flow.need(50)
        set_line(flow.drawing, flow.field.left, flow.y - 20, head, 10.5, Style.BOLD)
        flow.y -= 24
        for text in texts:
            lines = wrap_line(text, size, flow.field.width)
            flow.need(size * 1.25 * len(lines) + 4)
            flow.y = set_lines(flow.drawing, flow.field.left, flow.y - size - 1, lines, size)
            flow.y += size - 2


def _head(flow: Flow, report: GradeReport) -> None:
    set_line(flow.drawing, flow.field.left, flow.y - 10, "what to buy", NOTE, grey=MIDDLE)
    for number, chance in enumerate(report.chances):
        x = flow.field.right - CELL * (len(report.chances) - 1 - number)
        set_line(flow.drawing, x, flow.y - 10, chance, NOTE, grey=MIDDLE, align=Align.RIGHT)
    flow.y -= 15
    frame.rule(flow.drawing, flow.y)
