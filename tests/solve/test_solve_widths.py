"""Boards of several widths: which the parts are cut from, and what is proved of it."""

from __future__ import annotations

import pytest

from cutopt.errors import CannotPlanError
from cutopt.model.job import Job, Material
from cutopt.model.layout import MaterialLayout
from cutopt.read.job import read_job
from cutopt.solve.material import Room, plan_material
from cutopt.solve.params import Search, Unwatched
from cutopt.solve.sections import other_sections
from cutopt.solve.widths import choose_widths

QUICK = Search(effort=0)


@pytest.fixture
def lumber(tmp_path):
    """Give what writes and reads a job of inch lumber: rows as in the two tables."""

    def read(parts: str, stock: str, settings: str = "") -> Job:
        tables = 'parts = "parts.csv"\nstock = "stock.csv"\n'
        (tmp_path / "job.toml").write_text('units = "inch"\n' + tables + settings)
        (tmp_path / "parts.csv").write_text("part,qty,length,width,material\n" + parts)
        columns = "stock,kind,material,length,section,price,available,rip\n"
        (tmp_path / "stock.csv").write_text(columns + stock)
        return read_job(tmp_path)

    return read


def room_of(job: Job, material: Material) -> Room:
    assert material in job.materials
    return Room(job.shop.kerf, job.shop.kerf)


def planned(job: Job) -> list[MaterialLayout]:
    return [
        plan_material(job, material, room_of(job, material), QUICK, Unwatched())
        for material in job.materials
    ]


SHELF_WALL = "wide,1,90,7-1/4,pine\nslat,4,90,3-1/2,pine\n"
BOTH_RIP = "p4,board,pine,96,1x4,9.00,,yes\np8,board,pine,96,1x8,12.00,,yes\n"


def test_slats_ripped_from_wide_boards_where_that_is_cheaper(lumber):
    # Two slats of 3-1/2 in and a kerf of 1/8 in are 7-1/8 in of a 1x8's 7-1/4 in: three 1x8
    # at 12.00 give all; a 1x8 and four 1x4 at 9.00 cost 48.00.
    job = lumber(SHELF_WALL, BOTH_RIP)
    assert sum(layout.cost for layout in planned(job)) == 4800
    chosen = choose_widths(job, room_of)
    (layout,) = planned(chosen)
    assert (layout.material.section, layout.cost) == ("1x8", 3600)
    assert any("1x8" in note and "slat" in note for note in chosen.notes)


def test_narrow_boards_stay_where_they_are_cheaper(lumber):
    job = lumber(SHELF_WALL, BOTH_RIP.replace("9.00", "5.00"))
    assert choose_widths(job, room_of) is job


@pytest.mark.parametrize(
    "stock",
    [
        BOTH_RIP.replace("12.00,,yes", "12.00,,"),  # the wide one may not be ripped
        BOTH_RIP.replace("pine,96,1x8", "pine,89,1x8"),  # the wide one is too short
        BOTH_RIP.replace("12.00,,yes", "12.00,0,yes"),  # sold out
    ],
)
def test_boards_that_cannot_give_a_part_are_no_alternative(lumber, stock):
    job = lumber("slat,4,90,3-1/2,pine\n", stock)
    assert not any(other_sections(job, part) for part in job.parts)
    (layout,) = planned(choose_widths(job, room_of))
    assert layout.lower_bound == layout.cost == 3600


def test_a_named_section_is_kept_and_proved(lumber):
    job = lumber("slat,4,90,,1x4\n", BOTH_RIP.replace("12.00", "1.00"))
    assert choose_widths(job, room_of) is job
    (layout,) = planned(job)
    assert layout.lower_bound == layout.cost == 3600


def test_no_purchase_is_called_cheapest_while_another_width_was_not_compared(lumber):
    for job in (lumber(SHELF_WALL, BOTH_RIP), lumber(SHELF_WALL, BOTH_RIP.replace("9.00", "5.00"))):
        for layout in planned(choose_widths(job, room_of)):
            wide_alone = 1200 if layout.material.section == "1x8" else 0
            assert layout.lower_bound <= wide_alone
            if layout.cost > layout.lower_bound:
                assert "not proved" in layout.why


def test_a_shop_that_only_crosscuts_rips_nothing(lumber):
    saws = '[[shop.saws]]\nkind = "mitre saw"\n'
    job = lumber(SHELF_WALL, BOTH_RIP, saws)
    assert choose_widths(job, room_of) is job


def test_narrow_boards_that_run_out_are_made_up_by_wide_ones(lumber):
    job = lumber(SHELF_WALL, BOTH_RIP.replace("9.00,,", "9.00,3,"))
    with pytest.raises(CannotPlanError, match="4 boards are needed, 3 are there"):
        planned(job)
    (layout,) = planned(choose_widths(job, room_of))
    assert layout.cost == 3600


def test_whole_boards_come_from_those_not_to_be_ripped_where_the_others_run_out(lumber):
    # One board may be ripped and gives the strip; the two whole ones come from the others.
    stock = "a,board,pine,96,1x8,10.00,,\nb,board,pine,96,1x8,20.00,1,yes\n"
    job = lumber("whole,2,90,7-1/4,pine\nstrip,1,90,3,pine\n", stock)
    (layout,) = planned(job)
    assert layout.cost == 4000
    ripped = [laid.stock for laid in layout.pieces if laid.layout.width != laid.stock.width]
    assert [stock.rip for stock in ripped] == [True]
    assert layout.lower_bound <= layout.cost
