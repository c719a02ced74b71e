"""Type: widths from the faces' own metrics, lengths as builders write them, nothing too wide."""

from __future__ import annotations

from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from cutopt.draw.scene import Align, Drawing, Style, Words
from cutopt.draw.typeset import (
    NARROWEST,
    SMALLEST,
    Length,
    as_text,
    face_of,
    fit_line,
    line_width,
    plain_length,
    set_line,
    signs_without_face,
    size_pieces,
    width_of,
)
from cutopt.units import Units, inches, millimetres


@pytest.mark.parametrize(
    ("letter", "style", "thousandths"),
    [
        ("A", Style.REGULAR, 667),
        ("i", Style.REGULAR, 222),
        ("m", Style.REGULAR, 833),
        ("A", Style.BOLD, 722),
        ("W", Style.BOLD, 944),
        ("0", Style.BOLD, 556),
    ],
)
def test_widths_are_those_of_the_standard_faces(letter, style, thousandths):
    # Source: Adobe core 14 font metrics, Helvetica and Helvetica-Bold AFM files.
    assert width_of(letter, 1000, style) == pytest.approx(thousandths)


def test_names_outside_windows_1252_get_the_shipped_face():
    assert face_of("Schrank, größer", Style.BOLD) == "Helvetica-Bold"
    assert face_of("Półka", Style.REGULAR) == "DejaVuSans"
    assert face_of("Полка", Style.BOLD) == "DejaVuSans-Bold"
    assert width_of("Полка", 10) > 20


def test_a_length_is_reduced_and_hyphenated():
    assert plain_length(inches(23, 10, 16), Units.INCH) == "23-5/8"
    assert plain_length(inches(0, 3, 4), Units.INCH, mark=True) == '3/4"'
    assert plain_length(inches(4), Units.INCH) == "4"
    assert plain_length(millimetres(387.5), Units.MM, mark=True) == "387.5 mm"
    assert plain_length(millimetres(600), Units.MM) == "600"


def runs_of(line, size, **more):
    drawing = Drawing(600, 600, "test")
    set_line(drawing, 100, 100, line, size, **more)
    return [mark for mark in drawing.marks if isinstance(mark, Words)]


def test_fractions_are_diagonal_from_nine_points():
    runs = runs_of((Length(inches(19, 1, 4), mark=True),), 10)
    assert [run.text for run in runs] == ["19", "1", "/", "4", '"']
    whole, numerator, _, denominator, _ = runs
    assert numerator.size == denominator.size == pytest.approx(6.8)
    assert numerator.y > denominator.y == whole.y
    assert [run.text for run in runs_of((Length(inches(19, 1, 4)),), 8)] == ["19-1/4"]


def test_runs_of_one_line_follow_one_another():
    runs = runs_of(("Cleat ", *size_pieces(inches(14), inches(1, 1, 2))), 12)
    for before, after in pairwise(runs):
        assert after.x >= before.x + width_of(before.text, before.size) - 0.01


@pytest.mark.parametrize(
    ("align", "share"), [(Align.LEFT, 0), (Align.MIDDLE, 0.5), (Align.RIGHT, 1)]
)
def test_alignment_moves_the_whole_line(align, share):
    runs = runs_of("Side", 12, align=align)
    assert runs[0].x == pytest.approx(100 - share * width_of("Side", 12))


def test_words_on_end_climb():
    runs = runs_of((Length(inches(19, 1, 4)),), 10, upright=True)
    assert all(run.angle == 90 for run in runs)
    assert [run.y for run in runs] == sorted(run.y for run in runs)
    assert runs[0].x == 100 > runs[1].x


def test_a_line_is_condensed_before_it_is_set_smaller():
    room = width_of("Left hand drawer front", 12) * 0.9
    _, size, stretch = fit_line("Left hand drawer front", 12, Style.REGULAR, Units.INCH, room)
    assert size == 12
    assert stretch == pytest.approx(0.9)


@given(st.text(st.characters(codec="ascii", categories=("L", "Nd", "Zs")), max_size=80),
       st.floats(20, 400))  # fmt: skip
def test_what_is_fitted_fits_and_can_be_read(text, room):
    line, size, stretch = fit_line(text, 12, Style.BOLD, Units.INCH, room)
    assert size >= SMALLEST
    assert stretch >= NARROWEST - 1e-9
    assert line_width(line, size, Style.BOLD) * stretch <= room + 0.01


def test_a_line_as_text_reads_like_the_page():
    line = ("cut ", *size_pieces(inches(78), inches(15, 7, 32)))
    assert as_text(line, Units.INCH) == "cut 78 \N{MULTIPLICATION SIGN} 15-7/32"


def test_signs_no_face_has_are_known() -> None:
    assert (
        signs_without_face("Zwischenboden \u2013 \u017dlu\u0165ou\u010dk\u00fd \u0416\u03a9") == ""
    )
    assert signs_without_face("\u68da \u677f\u68da") == "\u68da\u677f"
