"""The checks of pages themselves: a fault on a page must be found."""

from __future__ import annotations

import pytest
from scene_checks import (
    assert_readable,
    lines_as_set,
    marks_outside,
    other_greys,
    overlapping_words,
    squares,
    words_outside,
    words_too_small,
)

from cutopt.draw.scene import Align, Drawing, Style, Words
from cutopt.draw.typeset import Length, set_line
from cutopt.units import Units, inches


def page(*words):
    drawing = Drawing(200, 100, "page")
    drawing.add(*words)
    return drawing


def test_words_on_words_are_found():
    assert overlapping_words(page(Words(10, 50, "Shelf", 10), Words(20, 52, "Side", 10)))
    assert not overlapping_words(page(Words(10, 50, "Shelf", 10), Words(60, 50, "Side", 10)))


def test_words_on_end_are_boxed_on_end():
    upright = Words(50, 20, "Divider", 10, angle=90.0)
    assert not overlapping_words(page(upright, Words(60, 30, "Side", 10)))
    assert overlapping_words(page(upright, Words(40, 30, "Side", 10)))


def test_words_over_the_rim_are_found():
    assert words_outside(page(Words(190, 50, "Shelf", 10))) == ["Shelf"]
    assert words_outside(page(Words(190, 50, "Shelf", 10, align=Align.RIGHT))) == []


def test_small_type_is_found():
    assert words_too_small(page(Words(10, 50, "Shelf", 6.4))) == ["Shelf"]
    assert words_too_small(page(Words(10, 50, "Shelf", 6.5))) == []


def test_strokes_over_the_rim_are_found():
    drawing = page()
    drawing.rectangle(10, 10, 180, 80, 1)
    assert marks_outside(drawing) == []
    drawing.rectangle(100, 10, 101, 80, 1)
    assert len(marks_outside(drawing)) == 1


def test_a_grey_of_its_own_is_found():
    assert other_greys(page(Words(10, 50, "Shelf", 10, grey=0.3))) == set()
    assert other_greys(page(Words(10, 50, "Shelf", 10, grey=0.6))) == {0.6}


def test_two_pages_of_one_name_are_found():
    with pytest.raises(AssertionError):
        assert_readable([page(Words(10, 50, "a", 8)), page(Words(10, 50, "b", 8))])


def test_a_set_line_reads_as_one():
    drawing = page()
    set_line(drawing, 10, 50, ("Side ", Length(inches(93, 1, 8), mark=True)), 12, Style.BOLD,
             Units.INCH)  # fmt: skip
    assert lines_as_set(drawing) == ['Side 93-1/8"']


def test_boxes_are_counted_by_their_side():
    drawing = page()
    drawing.rectangle(10, 10, 8, 8, 1, fill=1.0)
    drawing.rectangle(30, 10, 8, 9, 1, fill=1.0)
    drawing.rectangle(50, 10, 8, 8, 1)
    assert squares(drawing, 8) == 1
