"""Open areas against school geometry, free shares against NFPA 54 and a field guide."""

from __future__ import annotations

import math

import pytest

from cutopt.model.job import Cutout, CutoutKind, Kind, Material, OpeningNeed, Part
from cutopt.model.opening_words import opening_warnings, opening_words
from cutopt.model.openings import FREE_SHARES, check_openings, open_area
from cutopt.units import TICKS_PER_INCH, Ticks, Units, inches

PLY = Material("ply", Kind.SHEET, inches(0, 3, 4))
SQUARE_INCH = TICKS_PER_INCH**2


def cut(kind, length, width, left=0.0, front=0.0):
    return Cutout(CutoutKind(kind), *(Ticks(round(v * 8128)) for v in (length, width, left, front)))


def panel(*cutouts, qty=1, length=30, width=24):
    size = (inches(length), inches(width))
    return Part("P1", "Back", qty, *size, PLY.thickness, *size, PLY, group="Box", cutouts=cutouts)


def square_inches(*cutouts):
    return open_area(panel(*cutouts)) / SQUARE_INCH


def test_areas_of_every_kind():
    assert square_inches(cut("opening", 24, 6)) == 144
    assert square_inches(cut("notch", 5.5, 0.75)) == 4.125
    assert square_inches(cut("hole", 4, 4)) == pytest.approx(4 * math.pi, rel=1e-12)
    assert square_inches(cut("disc", 10, 10)) == pytest.approx(25 * math.pi, rel=1e-12)
    assert square_inches(cut("rounded corner", 2, 2)) == 0


def test_what_two_cutouts_share_counts_once():
    # A cross of two bars, 10 x 2 each, shares a square of 2 x 2.
    assert square_inches(cut("opening", 10, 2, 0, 4), cut("opening", 2, 10, 4, 0)) == 36
    # A hole that lies in an opening, or reaches into one, adds nothing.
    inside = cut("hole", 2, 2, 4, 4)
    assert square_inches(cut("opening", 10, 10), inside) == 100
    # Two holes that just touch are two holes; nearer, one of them counts.
    far, near = cut("hole", 2, 2, 2, 0), cut("hole", 2, 2, 1.5, 0)
    assert square_inches(cut("hole", 2, 2), far) == pytest.approx(2 * math.pi)
    assert square_inches(cut("hole", 2, 2), near) == pytest.approx(math.pi)


def test_free_shares_where_the_makers_figure_is_unknown():
    # NFPA 54 as quoted by gas utilities: 25 % of wood, 75 % of metal louvres and grilles.
    assert FREE_SHARES["wood louvre"] == 0.25
    assert FREE_SHARES["metal louvre"] == FREE_SHARES["metal grille"] == 0.75
    # Field guide: gross area is 1.00, 1.25, 2.00 times the free one.
    for kind, factor in (("1/4 in mesh", 1.0), ("1/8 in mesh", 1.25), ("insect screen", 2.0)):
        assert FREE_SHARES[kind] * factor == 1


def check(grille, asked, *parts, share=None):
    need = OpeningNeed("Box", f"{asked} sq in", asked * SQUARE_INCH, grille, share)
    (found,) = check_openings((need,), parts, Units.INCH)
    return found


def test_just_enough_is_enough():
    found = check("metal louvre", 108, panel(cut("opening", 24, 6, 3, 3)))
    assert (found.met, found.grown, found.free / SQUARE_INCH) == (True, None, 108)
    assert opening_warnings((found,), Units.INCH) == ()
    assert "0.0 sq in more than the 108.0 sq in asked for" in opening_words(found, Units.INCH)


def test_notches_and_discs_are_no_way_for_air():
    found = check("open", 10, panel(cut("notch", 6, 6), cut("disc", 6, 6, 10, 10)))
    assert (found.cut_out, found.met) == (0, False)
    assert "none in the table of cutouts" in opening_words(found, Units.INCH)


def test_too_little_says_which_opening_would_have_to_be_how_large():
    found = check("wood louvre", 30, panel(cut("opening", 20, 4, 3, 3)))
    # 80 sq in give 20; 120 are wanted: 4 in wide, that takes 30 in, the whole part. So it is
    # made 6 in wide.
    assert (found.free / SQUARE_INCH, found.grown.after.length, found.grown.after.width) == (
        20, inches(20), inches(6),
    )  # fmt: skip
    (warning,) = opening_warnings((found,), Units.INCH)
    assert warning.about == "opening"
    assert "10.0 sq in short of the 30.0 sq in asked for" in warning.text
    assert 'the opening of Back 20" x 6" instead of 20" x 4"' in warning.text
    assert "Local codes and the maker of the equipment" in warning.text


def test_what_it_would_have_to_be_is_enough_on_every_copy():
    found = check("", 50, panel(cut("hole", 3, 3, 2, 2), qty=4), share=0.6)
    after = found.grown.after
    grown = check("", 50, panel(after, qty=4), share=0.6)
    assert grown.met
    # An eighth less would not do.
    less = cut("hole", *(2 * [(after.length - inches(0, 1, 8)) / 8128]), 2, 2)
    assert not check("", 50, panel(less, qty=4), share=0.6).met
    assert "in each of 4" in opening_words(found, Units.INCH)


def test_no_opening_can_grow_past_its_part():
    found = check("wood louvre", 300, panel(cut("opening", 20, 4, 3, 3)))
    assert found.grown is None
    assert "add another" in opening_words(found, Units.INCH)
