"""Dimensions on a store sheet: each cut's setting where it crosses the least."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass

from cutopt.draw import marks
from cutopt.draw.lines import line_of
from cutopt.draw.marks import Dimension
from cutopt.draw.scene import Drawing, Style
from cutopt.draw.sheet import PieceFrame
from cutopt.draw.space import Rect, meets_any, steps
from cutopt.draw.store_letters import Label
from cutopt.draw.typeset import Line, line_width
from cutopt.model.layout import Direction
from cutopt.steps.store import StoreCut, StoreSheet
from cutopt.units import Units

OUTSIDE_FIGURES = 19.0
FIGURES = 14.0
BELOW = 34.0
"""Points from the lower edge to the dimension of the first crosscut, clear of the tape."""
FROM_BAR = 42.0
"""Points from the bar to the dimension of a rip."""
RIGHT_OF_DRAWING = 44.0
PAST_FLAG = 36.0
"""Points from the right edge to a dimension that stands past the flag there."""
LEFT_OF_DRAWING = 30.0
UNDER_DRAWING = 46.0
TAPE = 22.0
"""Points under the lower edge that bar, tape and its figures take."""
OVER_EDGE = 15.0

Relaid = Callable[[str, Sequence[Rect]], Label | None]
"""Gives a piece's letter as it would stand clear of some rectangles, None where it cannot."""


@dataclass(slots=True)
class Taken:
    """What may not be written on: hard (flags, bars, figures) and lines of dimensions."""

    hard: list[Rect]
    lines: list[Rect]


def draw_dimensions(
    drawing: Drawing,
    sheet: StoreSheet,
    frame: PieceFrame,
    letters: Mapping[str, Label | None],
    relaid: Relaid,
    taken: Taken,
    units: Units,
) -> list[Dimension]:
    """Draw every cut's setting where it crosses the least, and give what was drawn.

    Args:
        drawing: the page.
        sheet: whose cuts.
        frame: the sheet on the page.
        letters: where each piece's letter would stand if there were no dimensions.
        relaid: gives a piece's letter as it would stand clear of some rectangles.
        taken: what may not be written on; what is drawn is added to it.
        units: for settings.
    """
    soft = {letter: label for letter, label in letters.items() if label is not None}
    drawn: list[Dimension] = []
    first_crosscut = True
    rim = frame.rect
    field = Rect(20.0, rim.y0 - UNDER_DRAWING, drawing.width - 20.0, rim.y1 + OVER_EDGE)
    figures = [
        Rect(rim.x0 - LEFT_OF_DRAWING, rim.y0 - TAPE, rim.x1 + 12, rim.y0),
        Rect(rim.x0 - LEFT_OF_DRAWING, rim.y0 - TAPE, rim.x0, rim.y1),
    ]
    taken.hard.extend(figures)
    for cut in sheet.cuts:
        crosscut = cut.direction is Direction.CROSSCUT
        line: Line = line_of((cut.setting,), units)
        best: tuple[float, Dimension] | None = None
        for order, laid in enumerate(
            _candidates(cut, frame, line, units, below=crosscut and first_crosscut)
        ):
            cost = order * 0.01 + _cost(laid, field, taken)
            if cost < 1000 and (best is None or cost < best[0]):
                cost += _pushed(laid, soft, relaid, drawn)
            if best is None or cost < best[0]:
                best = (cost, laid)
        if crosscut:
            first_crosscut = False
        if best is None or best[0] >= 1000:
            continue
        laid = best[1]
        marks.dimension(drawing, laid.start, laid.end, line, laid.size, units, share=laid.share)
        _extend(drawing, laid, frame)
        taken.hard.append(laid.words.grown(2))
        taken.lines.append(laid.line)
        drawn.append(laid)
    return drawn


def _candidates(
    cut: StoreCut, frame: PieceFrame, line: Line, units: Units, *, below: bool
) -> Iterator[Dimension]:
    """Yield the places for a dimension, the best first."""
    rect = frame.rect_of(cut.x, cut.y, cut.length, cut.width)
    rim = frame.rect
    crosscut = cut.direction is Direction.CROSSCUT
    setting = cut.setting * frame.scale
    if crosscut:
        start = rect.x0 if cut.edge == "left end" else rect.x1 - setting
        end = start + setting
        if below and cut.y == 0:
            y = rim.y0 - BELOW
            yield marks.lay_dimension((start, y), (end, y), line, OUTSIDE_FIGURES, units)
        for y in steps(rect.y0 + 24, rect.y1 - 10):
            for share in (0.5, 0.7, 0.3):
                yield marks.lay_dimension((start, y), (end, y), line, FIGURES, units, share=share)
        for y in steps(rect.y0 + 12, rect.y0 + 24):
            yield marks.lay_dimension((start, y), (end, y), line, FIGURES, units)
        return
    start = rect.y0 if cut.edge == "bottom edge" else rect.y1 - setting
    end = start + setting
    if cut.x > 0 and cut.x + cut.length == frame.length:
        figures = line_width(line, FIGURES, Style.BOLD, units)
        for off in (PAST_FLAG, figures / 2 + 6):
            x = rim.x1 + off
            for share in (0.5, 0.7, 0.3):
                yield marks.lay_dimension((x, start), (x, end), line, FIGURES, units, share=share)
    for x in steps(rect.x0 + FROM_BAR, rect.x1 - 8):
        for share in (0.5, 0.72, 0.28):
            yield marks.lay_dimension((x, start), (x, end), line, FIGURES, units, share=share)
    for x in steps(rect.x0 + 12, rect.x0 + FROM_BAR):
        yield marks.lay_dimension((x, start), (x, end), line, FIGURES, units)


def keeps_off(dimension: Dimension) -> tuple[Rect, Rect]:
    """Give what a letter keeps off, so that it is not read with a dimension's figures."""
    return dimension.words.grown(5.0), dimension.line.grown(2.5)


def _pushed(
    laid: Dimension, letters: Mapping[str, Label], relaid: Relaid, drawn: Sequence[Dimension]
) -> float:
    """Weigh what a dimension does to the letters it would cross: they move, shrink or go."""
    cost = 0.0
    for letter, ideal in letters.items():
        near = ideal.rect.grown(3)
        if not (laid.words.meets(near) or laid.line.meets(near)):
            continue
        moved = relaid(letter, [room for one in (*drawn, laid) for room in keeps_off(one)])
        if moved is None:
            cost += 150.0
        elif len(moved.lines) != len(ideal.lines):
            cost += 100.0
        else:
            cost += 20.0 + max(0.0, ideal.letter_size - moved.letter_size)
    return cost


def _cost(laid: Dimension, field: Rect, taken: Taken) -> float:
    """Weigh what a dimension would cross: nothing legible may be."""
    words = laid.words.grown(1.5)
    cost = 0.0 if field.holds(words) else 1000.0
    cost += 1000.0 * meets_any(words, taken.hard)
    cost += 200.0 * sum(words.meets(line) for line in taken.lines)
    # The figures of another dimension are among what is taken; its line may be crossed.
    cost += 40.0 * sum(laid.line.meets(rect) for rect in taken.hard if rect.height > 6 < rect.width)
    return cost


def _extend(drawing: Drawing, laid: Dimension, frame: PieceFrame) -> None:
    """Draw the short end lines of a dimension that stands outside the sheet."""
    rim = frame.rect
    (x0, y0), (x1, y1) = laid.start, laid.end
    if laid.level and y0 < rim.y0:
        for x in (x0, x1):
            drawing.line(x, y0 - 4, x, y0 + 6, marks.DIMENSION)
    elif not laid.level and x0 > rim.x1:
        for y in (y0, y1):
            drawing.line(rim.x1 + 2, y, x0 + 4, y, marks.DIMENSION)
