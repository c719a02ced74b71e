"""What is said of a job before it is planned, and the starter job."""

from __future__ import annotations

import pytest

from cutopt.read.job import read_job
from cutopt.read.starter import starter_files
from cutopt.read.understood import understood
from cutopt.units import Units, format_length


def write(folder, files):
    for name, text in files.items():
        (folder / name).write_text(text, encoding="utf-8")
    return folder


@pytest.fixture
def bench(tmp_path):
    return read_job(
        write(
            tmp_path,
            {
                "job.toml": 'units = "inch"\n',
                "parts.csv": "part,qty,length,width,thickness,material\n"
                "Rail,14,8',,,1x4\nTop,1,96,48,3/4,plywood\n",
                "stock.csv": "stock,kind,material,length,width,thickness,section\n"
                "Pine 1x4,board,pine,8',,,1x4\n"
                "Ply,sheet,plywood,96,48,3/4,\nMDF,sheet,MDF,97,49,3/4,\n",
            },
        )
    )


def test_board_feet_of_lumber(bench):
    """14 pieces of 1x4, 8 ft long, are 37-1/3 board feet: US Army carpentry course."""
    rail = understood(bench).parts[0]
    assert rail.board_feet == pytest.approx(37 + 1 / 3)
    assert rail.area_m2 is None


def test_area_and_weight_of_a_sheet_part(bench):
    """32 sq ft are 2.973 m2; a 3/4 in softwood plywood sheet weighs 61 lb (published table)."""
    top = understood(bench).parts[1]
    assert top.area_m2 == pytest.approx(2.9729, abs=1e-4)
    assert top.weight_kg / 0.45359237 == pytest.approx(61, rel=0.02)


def test_totals_add_up_and_unused_stock_shows(bench):
    facts = understood(bench)
    assert facts.pieces == 15
    assert facts.weight_kg == pytest.approx(sum(part.weight_kg * part.qty for part in facts.parts))
    assert [row.used for row in facts.stock] == [True, True, False]
    assert [row.two_people for row in facts.stock] == [False, True, True]
    assert [material.pieces for material in facts.materials] == [14, 1]


@pytest.mark.parametrize("units", list(Units))
def test_the_starter_job_reads_as_it_is(tmp_path, units):
    job = read_job(write(tmp_path, starter_files(units)))
    assert job.name == "Potting bench"
    assert job.units is units
    assert job.budget is not None
    assert job.store.rough
    assert len(job.shop.saws) == 3
    facts = understood(job)
    assert facts.weight_kg is not None
    assert all(row.price_cents is not None for row in facts.stock)


def test_starter_prices_are_named_as_invented():
    for units in Units:
        rows = starter_files(units)["stock.csv"].splitlines()[1:]
        assert all("invented" in row or ",yes," in row for row in rows)


def test_every_remark_in_the_starter_settings_lines_up():
    text = starter_files(Units.INCH)["job.toml"]
    columns = {line.index("# ") for line in text.splitlines() if " # " in line and line[0] != "#"}
    assert len(columns) == 1


def test_bands_come_off_the_blank_and_extras_go_on(tmp_path):
    """A 2 mm band is glued on afterwards; what is left on for scribing is cut with the blank."""
    job = read_job(
        write(
            tmp_path,
            {
                "job.toml": 'units = "mm"\n',
                "parts.csv": "part,length,width,thickness,material,band,extra_length,extra_width\n"
                "A,700,300,18,ply,front,,\nB,700,300,18,ply,all,,\nC,700,300,18,ply,left,10,5\n",
                "stock.csv": "stock,kind,material,length,width,thickness,band\n"
                "P,sheet,ply,2440,1220,18,2\n",
            },
        )
    )
    blanks = [
        (format_length(p.blank_length, job.units), format_length(p.blank_width, job.units))
        for p in job.parts
    ]
    assert blanks == [("700", "298"), ("696", "296"), ("708", "305")]
