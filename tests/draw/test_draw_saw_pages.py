"""The set-up pages: saw after saw, setting after setting, a box for every pass."""

from __future__ import annotations

from dataclasses import replace

import pytest
from page_lists import (
    INCH_LETTER,
    KERF,
    LONG_NAMES,
    LOOKS,
    MM_A4,
    long_setup,
    setup_line,
    visits,
)
from page_plans import locker, look
from scene_checks import all_words, assert_framed, assert_golden, squares, texts

from cutopt.draw.saw_pages import BOX, saw_pages, visit_pages
from cutopt.steps.setups import Setup, Visit
from cutopt.steps.setups import visits as walk_of
from cutopt.units import inches

CAUTIONS = ("Try each new setting on waste. Guard and riving knife stay on.",)


@pytest.mark.parametrize("look_of", LOOKS)
def test_set_ups_can_be_read(look_of):
    assert_framed(visit_pages(visits(), CAUTIONS, look_of))


@pytest.mark.parametrize("look_of", LOOKS)
@pytest.mark.parametrize("lines", [1, 20, 90])
def test_a_set_up_longer_than_a_page_goes_on_under_the_saws_name(look_of, lines):
    pages = visit_pages(long_setup(lines), CAUTIONS, look_of)
    assert_framed(pages)
    sawn = [page for page in pages if squares(page, BOX)]
    assert len(sawn) >= lines / 40
    assert all({"Mitre saw", "stop, continued"} <= set(texts(page)) for page in sawn[1:])
    assert sum(squares(page, BOX) for page in pages) == lines


def test_no_set_up_no_page():
    assert visit_pages((), CAUTIONS, INCH_LETTER) == []


def test_every_pass_has_a_box():
    passes = sum(setup.cuts for visit in visits() for setup in visit.setups)
    pages = visit_pages(visits(), CAUTIONS, INCH_LETTER)
    assert sum(squares(page, BOX) for page in pages) == passes == 31


def test_pieces_in_and_out_capsules_and_the_measured_stock_are_said():
    words = all_words(visit_pages(visits(), CAUTIONS, INCH_LETTER))
    for said in (
        "push stick", "two people", "crosscut sled", "4 × Cleat + S1 B2", "S2 E, edge clean",
        "cuts 11-14", 'measure the stock first: the other side must come out 60"',
    ):  # fmt: skip
        assert said in words


def test_millimetres_are_set_as_millimetres():
    words = all_words(visit_pages(visits(), CAUTIONS, MM_A4))
    assert "355.6 mm" in words
    assert '"' not in words


def test_a_set_up_that_fits_a_page_is_not_split():
    pages = visit_pages(long_setup(8) * 6, CAUTIONS, INCH_LETTER)
    assert len(pages) > 1
    assert not any("continued" in text for page in pages for text in texts(page) if "stop" in text)


def test_a_long_name_is_printed_whole():
    words = all_words(visit_pages(visits(), CAUTIONS, INCH_LETTER))
    assert all(word in words for word in LONG_NAMES[0].split())


def test_thousands_of_passes_share_boxes():
    line = setup_line("S1", "B", "crosscut", [("part", "Plug", 5000)], range(1, 5001))
    walk = (Visit("saw", "Mitre saw", "", KERF, (Setup(1, inches(2), "stop", (line,), ()),)),)
    pages = visit_pages(walk, (), INCH_LETTER)
    assert_framed(pages)
    assert "a box for every 100 of 5000" in all_words(pages)
    assert sum(squares(page, BOX) for page in pages) == 50


def test_cautions_close_the_pages():
    pages = visit_pages(visits(), CAUTIONS, INCH_LETTER)
    assert any("Try each new setting" in text for text in texts(pages[-1]))


def test_all_settings_of_a_plan_are_on_its_pages():
    plan = locker()
    pages = saw_pages(plan, look(plan))
    assert_framed(pages)
    walk = walk_of(plan)
    passes = sum(setup.cuts for visit in walk for setup in visit.setups)
    assert sum(squares(page, BOX) for page in pages) == passes
    words = all_words(pages)
    assert all(visit.title in words for visit in walk)


def test_golden_set_ups():
    assert_golden(visit_pages(visits(), CAUTIONS, INCH_LETTER)[0], "set-ups_inch")


def test_a_part_cut_after_fitting_has_a_blank_for_its_size_on_site():
    plain, fitted = (
        all_words(visit_pages([replace(visit, last=last) for visit in visits()], (), INCH_LETTER))
        for last in (False, True)
    )
    assert "measured on site" not in plain
    lines = [line for visit in visits() for setup in visit.setups for line in setup.lines]
    assert fitted.count("measured on site: ____") == len(lines)


def test_what_is_read_before_the_first_cut_opens_the_pages():
    before = (("Read both diagonals: ", inches(107, 5, 16), "."),)
    pages = visit_pages(visits(), CAUTIONS, INCH_LETTER, before)
    assert_framed(pages)
    assert "Read both diagonals" in all_words(pages[:1])
