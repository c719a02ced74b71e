"""Dressed sizes, board feet and weights against the published figures."""

from __future__ import annotations

from fractions import Fraction

import pytest

from cutopt.model.sizes import (
    TWO_PEOPLE_KG,
    board_feet,
    density,
    parse_section,
    weight_kg,
)
from cutopt.units import Units, format_length, inches, millimetres, parse_length

POUND_KG = 0.45359237


# PS 20 Table 3, dry: boards, dimension, timbers.
@pytest.mark.parametrize(
    ("nominal", "thickness", "width"),
    [
        ("1x2", "3/4", "1-1/2"),
        ("1x3", "3/4", "2-1/2"),
        ("1x4", "3/4", "3-1/2"),
        ("1x6", "3/4", "5-1/2"),
        ("1x8", "3/4", "7-1/4"),
        ("1x10", "3/4", "9-1/4"),
        ("1x12", "3/4", "11-1/4"),
        ("5/4x4", "1", "3-1/2"),
        ("5/4x6", "1", "5-1/2"),
        ("6/4x6", "1-1/4", "5-1/2"),
        ("1/2x4", "7/16", "3-1/2"),
        ("3/4x4", "5/8", "3-1/2"),
        ("2x2", "1-1/2", "1-1/2"),
        ("2x4", "1-1/2", "3-1/2"),
        ("2x6", "1-1/2", "5-1/2"),
        ("2x8", "1-1/2", "7-1/4"),
        ("2x10", "1-1/2", "9-1/4"),
        ("2x12", "1-1/2", "11-1/4"),
        ("2-1/2x4", "2", "3-1/2"),
        ("3x8", "2-1/2", "7-1/4"),
        ("4x4", "3-1/2", "3-1/2"),
        ("4x6", "3-1/2", "5-1/2"),
        ("6x6", "5-1/2", "5-1/2"),
        ("6x8", "5-1/2", "7-1/4"),
        ("16x16", "15", "15"),
    ],
)
def test_dry_dressed_sizes(nominal, thickness, width):
    section = parse_section(nominal)
    assert format_length(section.thickness, Units.INCH) == thickness
    assert format_length(section.width, Units.INCH) == width
    assert section.name == nominal


@pytest.mark.parametrize(
    "text",
    [
        "2x4",
        "2 x 4",
        "2×4",
        '2"x4"',
        "2 × 4",
        "2X4",
        "2x4s",
        "2 by 4",
        "4x2",
        "２x４",
        "2 in x 4 in",
    ],
)
def test_ways_to_name_a_two_by_four(text):
    assert parse_section(text).name == "2x4"


@pytest.mark.parametrize(
    "text",
    ["", "2x4x8", "18x95", "48x96", "2x7", "plywood", "2x", "x4", "2x0", "0x4", "1/0x4", "3/4"],
)
def test_what_is_no_section(text):
    assert parse_section(text) is None


# US Navy engineering aid manual; US Army carpentry course; newspaper glossary, 2008; textbooks.
@pytest.mark.parametrize(
    ("pieces", "nominal", "length", "feet"),
    [
        (1, "2x4", "14'", "28/3"),
        (14, "1x4", "8'", "112/3"),
        (1, "2x10", "14'", "70/3"),
        (1, "5/4x6", "72 in", "15/4"),
        (1, "3x8", "10'", "20"),
        (1, "4x6", "10'", "20"),
        (1, "2x6", "8'", "8"),
        (1, "1x3", "8'", "2"),
        (1, "2x4", "8'", "16/3"),
        (1, "2x4", "10'", "20/3"),
    ],
)
def test_board_feet_of_nominal_lumber(pieces, nominal, length, feet):
    section = parse_section(nominal)
    one = board_feet(
        section.nominal_thickness, section.nominal_width, parse_length(length, Units.INCH)
    )
    assert pieces * one == Fraction(feet)


def test_thinner_than_an_inch_counts_as_an_inch():
    """Rule of the same manuals: thickness under 1 in counts as 1."""
    thin = board_feet(Fraction(1, 2), Fraction(6), inches(96))
    assert thin == board_feet(Fraction(1), Fraction(6), inches(96)) == 4


# Published weights of 3/4 in 4 x 8 ft sheets, in pounds; mills differ by some 20 %.
@pytest.mark.parametrize(
    ("material", "pounds"),
    [("softwood plywood", 61), ("OSB", 78), ("particleboard", 85), ("MDF", 97)],
)
def test_weights_of_sheets(material, pounds):
    weight = weight_kg(material, inches(96), inches(48), inches(0, 3, 4))
    assert weight / POUND_KG == pytest.approx(pounds, rel=0.03)


def test_weight_of_a_birch_plywood_sheet():
    """36.7 kg for 18 x 1220 x 2440 mm: birch plywood data sheet."""
    weight = weight_kg("birch ply", millimetres(2440), millimetres(1220), millimetres(18))
    assert weight == pytest.approx(36.7, abs=0.1)
    assert weight > TWO_PEOPLE_KG


def test_the_name_decides_the_density():
    assert density("Birch  plywood") > density("pine plywood")
    assert density("oak board") > density("pine")
    assert density("slate") is None
    assert weight_kg("slate", inches(10), inches(10), inches(1)) is None


def test_a_nominal_section_is_softwood_where_the_name_says_nothing():
    assert density("studs", "2x4") == density("spruce")
    assert density("studs", "45 x 90 mm") is None
