"""Openings in job.toml, and areas as people write them."""

from __future__ import annotations

import pytest

from cutopt.errors import InputError
from cutopt.model.job import OpeningNeed
from cutopt.read.areas import area_of
from cutopt.read.cells import ValueFault
from cutopt.read.job import read_job
from cutopt.read.openings import share_of

SQUARE_INCH, SQUARE_CM = 8128**2, 3200**2


@pytest.mark.parametrize(
    ("text", "area"),
    [
        ("40 sq in", 40 * SQUARE_INCH),
        ("40 sq. in.", 40 * SQUARE_INCH),
        ("40 in2", 40 * SQUARE_INCH),
        ("40.5 in²", 81 * SQUARE_INCH // 2),
        ("40-1/2 square inches", 81 * SQUARE_INCH // 2),
        ("½ sq ft", 72 * SQUARE_INCH),
        ("250 cm2", 250 * SQUARE_CM),
        ("250,5 cm²", 501 * SQUARE_CM // 2),
        ("25000 mm^2", 250 * SQUARE_CM),
        ("0.025 m2", 250 * SQUARE_CM),
    ],
)
def test_areas(text, area):
    assert area_of(text) == area


@pytest.mark.parametrize(
    ("text", "problem"),
    [
        ("40", "no unit"),
        ("", "not an area"),
        ("40 in", "a length or an unknown unit"),
        ("6 x 8 in", "two measures"),
        ('6" x 8"', "two measures"),
        ("1,200 cm2", "two ways"),
        ("40,5 sq in", "two ways"),
        ("5/4 sq in", "two ways"),
        ("-4 sq in", "two ways"),
        ("0 sq in", "not an area here"),
        ("20000 m2", "larger than"),
        ("40 sq yards", "not an area"),
        ("9" * 5000 + " sq in", "not an area"),
    ],
)
def test_what_is_no_area_says_what_would_be(text, problem):
    with pytest.raises(ValueFault, match=problem) as caught:
        area_of(text)
    assert caught.value.help


def test_shares():
    assert (share_of("0.6"), share_of("60 %"), share_of("1")) == (0.6, 0.6, 1.0)
    for text in ("0", "60", "1.5", "120 %", "half"):
        with pytest.raises(ValueFault):
            share_of(text)


@pytest.fixture
def read(tmp_path):
    def read_openings(text, **arguments):
        (tmp_path / "parts.csv").write_text(
            "part,length,width,thickness,material,group\nDoor,30,20,3/4,ply,Front\n"
        )
        (tmp_path / "cutouts.csv").write_text(
            "part,kind,length,width,from left,from front\nDoor,opening,10,4,5,5\n"
        )
        (tmp_path / "stock.csv").write_text(
            "stock,kind,material,length,width,thickness\nPly,sheet,ply,96,48,3/4\n"
        )
        head = 'units = "inch"\ncutouts = "cutouts.csv"\n'
        (tmp_path / "job.toml").write_text(head + text, encoding="utf-8")
        return read_job(tmp_path, **arguments)

    return read_openings


ENOUGH = '[[openings]]\ngroup = "front"\nfree_area = "30 sq in"\ngrille = "metal louver"\n'


def test_what_is_asked_of_a_group(read):
    job = read(ENOUGH)
    assert job.openings == (OpeningNeed("Front", "30 sq in", 30 * SQUARE_INCH, "metal louvre"),)
    assert job.warnings == ()


def test_too_little_is_a_warning_and_can_be_changed_for_one_run(read):
    job = read(ENOUGH, overrides={"openings.1.free_area": "31 sq in"})
    assert [warning.about for warning in job.warnings] == ["opening"]
    job = read(ENOUGH, overrides={"openings.1.free_share": "50 %"})
    assert (job.openings[0].free_share, job.openings[0].grille) == (0.5, "metal louver")
    assert "10.0 sq in short" in job.warnings[0].text


def test_every_fault_with_its_line(read):
    with pytest.raises(InputError) as caught:
        read(
            '[[openings]]\ngroup = "Frnt"\nfree_area = "30"\ngrill = "open"\n'
            '[[openings]]\nfree_area = "30 in"\ngrille = "brass"\nfree_share = 3\n'
        )
    rows = [fault.row for fault in caught.value.faults]
    assert rows == sorted(rows)
    text = "\n".join(str(fault) for fault in caught.value.faults)
    assert (
        'openings.1.group: no part is of this group (found "Frnt") - did you mean "Front"?' in text
    )
    assert "row 5: openings.1.free_area: this area has no unit" in text
    assert "did you mean grille?" in text
    assert "openings.1: what covers the openings is missing" in text
    assert "row 8: openings.2.free_area: this is a length" in text
    assert "openings.2: the group is missing" in text
    assert "openings.2.free_share: a share is more than 0" in text


def test_one_table_instead_of_a_list(read):
    with pytest.raises(InputError, match=r"write \[\[openings\]\]"):
        read('[openings]\ngroup = "Front"\n')
