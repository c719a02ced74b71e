"""Signs: dimensions that do not cross their figures, tapes with true ticks, frames alike."""

from __future__ import annotations

import pytest
from scene_checks import overlapping_words

from cutopt.draw import frame, marks
from cutopt.draw.frame import Look, Paper
from cutopt.draw.scene import Drawing, Outline, Words
from cutopt.draw.typeset import Length
from cutopt.units import TICKS_PER_INCH, Units, inches

LINE = (Length(inches(30, 3, 4), mark=True),)


def lines_of(drawing: Drawing) -> list[Outline]:
    return [m for m in drawing.marks if isinstance(m, Outline) and not m.closed]


@pytest.mark.parametrize("span", [8.0, 30.0, 60.0, 200.0])
@pytest.mark.parametrize("level", [True, False])
@pytest.mark.parametrize("share", [0.0, 0.3, 0.5, 1.0])
def test_a_dimension_never_strikes_through_its_figures(span, level, share):
    drawing = Drawing(400, 400, "test")
    end = (100 + span, 100) if level else (100, 100 + span)
    laid = marks.lay_dimension((100, 100), end, LINE, 14, Units.INCH, share=share)
    marks.dimension(drawing, (100, 100), end, LINE, 14, Units.INCH, share=share)
    words = laid.words
    for line in lines_of(drawing):
        (x0, y0), (x1, y1) = line.points
        crosses = (
            min(x0, x1) < words.x1 - 0.5
            and max(x0, x1) > words.x0 + 0.5
            and min(y0, y1) < words.y1 - 0.5
            and max(y0, y1) > words.y0 + 0.5
        )
        assert not crosses


def test_figures_longer_than_the_span_stand_past_its_end():
    laid = marks.lay_dimension((100, 100), (110, 100), LINE, 14, Units.INCH)
    assert laid.words.x0 > 110
    assert not laid.inside


def test_the_tape_has_a_tick_an_inch_and_figures_a_foot():
    drawing = Drawing(600, 600, "test")
    marks.tape(drawing, (50, 50), 480.0, 96 * TICKS_PER_INCH, Units.INCH)
    assert len(lines_of(drawing)) == 97
    figures = [mark.text for mark in drawing.marks if isinstance(mark, Words)]
    assert figures == ["12", "24", "36", "48", "60", "72", "84", "96"]
    assert overlapping_words(drawing) == []


def test_the_tape_leaves_out_figures_where_flags_stand():
    drawing = Drawing(600, 600, "test")
    marks.tape(
        drawing, (50, 50), 240.0, 48 * TICKS_PER_INCH, Units.INCH,
        upright=True, keep_clear=[(160, 180)],
    )  # fmt: skip
    figures = [mark.text for mark in drawing.marks if isinstance(mark, Words)]
    assert figures == ["12", "36", "48"]


@pytest.mark.parametrize(("units", "points"), [(Units.INCH, 3 * 72.0), (Units.MM, 8 / 2.54 * 72.0)])
def test_the_rule_at_the_foot_is_true_to_size(units, points):
    # 1 point = 1/72 in, 1 in = 25.4 mm.
    page = frame.start_page(Look("Job", units, Paper.A4, "ABCDEF"), "kind", "page")
    spans = [abs(line.points[1][0] - line.points[0][0]) for line in lines_of(page)]
    assert any(span == pytest.approx(points) for span in spans)


@pytest.mark.parametrize("paper", list(Paper))
def test_paper_has_its_standard_size(paper):
    # Source: ISO 216 (A4 = 210 x 297 mm), ANSI Y14.1 (letter = 8-1/2 x 11 in).
    wanted = {Paper.A4: (210, 297), Paper.LETTER: (215.9, 279.4)}[paper]
    assert [side / 72 * 25.4 for side in paper.size] == pytest.approx(wanted, abs=0.01)


def test_pages_are_numbered_through():
    look = Look("Job", Units.INCH, Paper.LETTER, "ABCDEF")
    pages = [frame.start_page(look, "kind", f"page-{n}") for n in range(3)]
    frame.number_pages(pages)
    numbers = [mark.text for page in pages for mark in page.marks
               if isinstance(mark, Words) and mark.text.startswith("page ")]  # fmt: skip
    assert numbers == ["page 1 of 3", "page 2 of 3", "page 3 of 3"]


def test_boxes_run_from_right_to_left_line_by_line():
    drawing = Drawing(600, 600, "test")
    assert marks.boxes(drawing, 500, 300, 7, 12, a_line=3) == 3
    corners = [mark.points[0] for mark in drawing.marks if isinstance(mark, Outline)]
    assert len(set(corners)) == 7
    assert max(x for x, _ in corners) + 12 == pytest.approx(500)
