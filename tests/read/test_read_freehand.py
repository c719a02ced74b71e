"""Bills of parts written as lines."""

from __future__ import annotations

import pytest

from cutopt.read.freehand import understand_line
from cutopt.units import LengthError, Units


@pytest.mark.parametrize(
    ("line", "qty", "section", "length", "part"),
    [
        ("4 – 2x4s @ 16 1/2″ (legs)", "4", "2x4", '16 1/2"', "legs"),
        ('4 2x4s @ 16.5" Legs', "4", "2x4", '16.5"', "Legs"),
        ("(2) 1x6 @ 4' 7-1/2\" - Back", "2", "1x6", "4' 7-1/2\"", "Back"),
        ("• 6 – 1×3 @ 14” – slats for the seat", "6", "1x3", '14"', "slats for the seat"),
        ("2 pcs 2x4 cut to 23 1/2 inches", "2", "2x4", "23 1/2 inches", "2x4 x 23 1/2 inches"),
        ('3-2x4s at 16-1/2" long', "3", "2x4", '16-1/2"', '2x4 x 16-1/2"'),
        ('2 - 2x4x16-1/2"', "2", "2x4", '16-1/2"', '2x4 x 16-1/2"'),
        ('Legs: 4 - 2x4 @ 34"', "4", "2x4", '34"', "Legs"),
        ("Top rails – 2 – 1x4 @ 41 inches", "2", "1x4", "41 inches", "Top rails"),
        ("2/2400mm lengths of 140mm x 45mm", "2", "140mm x 45mm", "2400mm", None),
        ('4 @ 16-1/2" of 2x4', "4", "2x4", '16-1/2"', None),
    ],
)
def test_lines_of_lumber(line, qty, section, length, part):
    cells = understand_line(line, Units.INCH)
    assert (cells["qty"], cells["section"], cells["length"]) == (qty, section, length)
    if part is not None:
        assert cells["part"] == part


def test_a_wood_behind_the_section_is_the_material():
    assert understand_line('2 - 2x2 cedar @ 23" legs', Units.INCH)["material"] == "cedar"
    assert understand_line('2 - 2x2 boards @ 23" legs', Units.INCH)["material"] == ""


@pytest.mark.parametrize(
    ("line", "thickness", "material", "length", "width", "part"),
    [
        ("1 – 3/4″ plywood @ 24″ x 48″ – top", '3/4"', "plywood", '48"', '24"', "top"),
        ('2 pcs 1/4" plywood 12" x 30 ½" (backs)', '1/4"', "plywood", '30 1/2 "', '12"', "backs"),
        ("1 @ 24 x 48 of 3/4 birch plywood", "3/4", "birch plywood", "48", "24", None),
        ('Back (1) 1/4" MDF 24" x 30"', '1/4"', "mdf", '30"', '24"', "Back"),
    ],
)
def test_lines_of_panels(line, thickness, material, length, width, part):
    cells = understand_line(line, Units.INCH)
    found = (cells["thickness"], cells["material"], cells["length"], cells["width"])
    assert found == (thickness, material, length, width)
    if part is not None:
        assert cells["part"] == part


def test_a_square_leg_has_no_doubt():
    cells = understand_line("Legs – 4 @ 1 1/2 x 1 1/2 x 29", Units.INCH)
    assert [cells[key] for key in ("thickness", "width", "length")] == ["1 1/2", "1 1/2", "29"]


def test_a_count_in_brackets_is_no_part_of_the_thickness():
    cells = understand_line("A. Sides (2) 3/4 x 11-1/4 x 36", Units.INCH)
    assert (cells["part"], cells["qty"], cells["thickness"]) == ("Sides", "2", "3/4")


@pytest.mark.parametrize("line", ["Shelf: 2 @ 3/4 x 9 x 39-1/2", "2 @ 39-1/2 x 9 x 3/4 Shelf"])
def test_three_measures_with_the_thickness_at_an_end(line):
    cells = understand_line(line, Units.INCH)
    assert [cells[key] for key in ("qty", "thickness", "width", "length", "part")] == [
        "2", "3/4", "9", "39-1/2", "Shelf",
    ]  # fmt: skip


@pytest.mark.parametrize(
    ("line", "says"),
    [
        ("2 - 2x4x8", "feet or inches"),
        ("2 3/4 x 9 x 39", "can be one measure"),
        ("2 - 3/4 x 9 x 39", "can be one measure"),
        ("2 3/4 plywood 9 x 39", "can be one measure"),
        ("2 @ 9 x 3/4 x 39", "which measure is the thickness"),
        ("1/2 x 3 x 5", "not understood"),
        ("4-1/2 x 3 x 8", "not understood"),
        ("2x4 @ 16", "not understood"),
        ("1 sheet of plywood", "not understood"),
        ("Page 3 of 7", "not understood"),
        ("see 12 below", "not understood"),
        ('3 - 1x4 @ 14" & 15"', "not understood"),
        ("4 - 2x4 @ 37/8", "two ways"),
    ],
)
def test_lines_with_doubt_are_refused(line, says):
    with pytest.raises(LengthError, match=says):
        understand_line(line, Units.INCH)
