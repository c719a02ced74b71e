"""Boards of several widths: which the parts are cut from, and what is proved of it."""

from __future__ import annotations

import pytest

from cutopt.errors import CannotPlanError
from cutopt.model.job import Job, Material
from cutopt.model.layout import MaterialLayout
from cutopt.model.plan import Offer
from cutopt.read.job import read_job
from cutopt.solve.material import Room, plan_material
from cutopt.solve.params import Search, Unwatched
from cutopt.solve.sections import other_sections
from cutopt.solve.widths import Widths, choose_widths, settle_offers, share_bounds
from cutopt.steps.offers import offer_words

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
    assert any(row.material == material for row in job.stock)
    return Room(job.shop.kerf, job.shop.kerf)


def chosen(job: Job, **rip: bool) -> Widths:
    return choose_widths(job, room_of, QUICK, Unwatched(), **rip)


def planned(job: Job) -> list[MaterialLayout]:
    return [
        plan_material(job, material, room_of(job, material), QUICK, Unwatched())
        for material in job.materials
    ]


def offered(widths: Widths) -> Offer:
    """Give the one offer, as the plan tells of it."""
    (offer,) = settle_offers(widths, planned(widths.planned))
    return offer


SHELF_WALL = "wide,1,90,7-1/4,pine\nslat,4,90,3-1/2,pine\n"
BOTH_RIP = "p4,board,pine,96,1x4,9.00,,yes\np8,board,pine,96,1x8,12.00,,yes\n"


def test_slats_ripped_from_wide_boards_where_that_is_cheaper(lumber):
    # Two slats of 3-1/2 in and a kerf of 1/8 in are 7-1/8 in of a 1x8's 7-1/4 in: three 1x8
    # at 12.00 give all; a 1x8 and four 1x4 at 9.00 cost 48.00.
    job = lumber(SHELF_WALL, BOTH_RIP)
    assert sum(layout.cost for layout in planned(job)) == 4800
    widths = chosen(job)
    (layout,) = planned(widths.planned)
    assert (layout.material.section, layout.cost) == ("1x8", 3600)
    offer = offered(widths)
    assert offer.taken
    assert (offer.cost_cents, offer.saving_cents) == (4800, 1200)
    # Each of the two boards is ripped twice: a strip, and the strip's own far edge.
    assert (offer.swaps, offer.more_rips) == ((("1x4", "1x8"),), 4)
    words = offer_words(offer, "USD")
    assert words.startswith("pine: ripping 1x4s out of 1x8s saves $12.00, 4 more rips: taken")


def test_ripping_that_saves_too_little_is_offered_and_not_done(lumber):
    # 36.00 against 48.00 is a quarter less.
    job = lumber(SHELF_WALL, BOTH_RIP, "[shop]\nrip_saving = 26\n")
    widths = chosen(job)
    assert widths.planned is job
    offer = offered(widths)
    assert not offer.taken
    assert (offer.saving_cents, offer.more_rips) == (1200, 4)
    assert "only 25 %; set rip_saving = 25 to take it" in offer_words(offer, "USD")
    layouts = share_bounds(planned(widths.planned), widths.bounds, [offer])
    assert sum(held.lower_bound for held in layouts) == 3600
    assert all("ripping" in held.why for held in layouts if not held.proven)
    told_to = lumber(SHELF_WALL, BOTH_RIP, "[shop]\nrip_saving = 25\n")
    assert offered(chosen(told_to)).taken
    assert not offered(chosen(told_to, rip=False)).taken


def test_copies_of_a_part_come_from_two_widths_where_that_is_cheapest(lumber):
    # A 1x8 gives two slats; the third is cheaper from a 1x4 than from another 1x8.
    job = lumber("slat,3,90,3-1/2,pine\n", BOTH_RIP)
    widths = chosen(job)
    layouts = share_bounds(planned(widths.planned), widths.bounds)
    assert {held.material.section: held.cost for held in layouts} == {"1x4": 900, "1x8": 1200}
    assert [(part.id, part.qty) for part in widths.told.parts] == [("P1", 3)]
    assert sorted((part.id, part.qty) for part in widths.planned.parts) == [("P1", 1), ("P1", 2)]
    assert all(held.proven for held in layouts)


def test_parts_too_narrow_for_a_fence_are_not_ripped_from_wider_boards(lumber):
    job = lumber("slip,4,90,1/4,pine\nslat,4,90,3-1/2,pine\n", BOTH_RIP)
    slip = next(part for part in job.parts if part.name == "slip")
    assert not other_sections(job, slip)


@pytest.mark.parametrize(
    ("saw", "rips"),
    [
        ('kind = "table saw"\nrip_capacity = \'3"\'', False),
        ('kind = "table saw"\nrip_capacity = \'24"\'', True),
        ('kind = "track saw"\ncut_length = "55in"', False),
        ('kind = "track saw"', True),
        ('kind = "jigsaw"', False),
    ],
)
def test_only_a_saw_that_rips_whole_boards_makes_it_an_offer(lumber, saw, rips):
    job = lumber(SHELF_WALL, BOTH_RIP, f"[[shop.saws]]\n{saw}\n")
    assert bool(settle_offers(chosen(job), planned(chosen(job).planned))) is rips


def test_narrow_boards_stay_where_they_are_cheaper(lumber):
    job = lumber(SHELF_WALL, BOTH_RIP.replace("9.00", "5.00"))
    assert chosen(job).planned is job


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
    (layout,) = planned(chosen(job).planned)
    assert layout.lower_bound == layout.cost == 3600


def test_a_named_section_is_kept_and_proved(lumber):
    job = lumber("slat,4,90,,1x4\n", BOTH_RIP.replace("12.00", "1.00"))
    assert chosen(job).planned is job
    (layout,) = planned(job)
    assert layout.lower_bound == layout.cost == 3600


def test_no_purchase_is_called_cheapest_while_another_width_was_not_compared(lumber):
    for job in (lumber(SHELF_WALL, BOTH_RIP), lumber(SHELF_WALL, BOTH_RIP.replace("9.00", "5.00"))):
        # As long as the bound of all widths together is not shared out.
        for layout in planned(chosen(job).planned):
            wide_alone = 1200 if layout.material.section == "1x8" else 0
            assert layout.lower_bound <= wide_alone
            if layout.cost > layout.lower_bound:
                assert "not proved" in layout.why


def test_a_shop_that_only_crosscuts_rips_nothing(lumber):
    saws = '[[shop.saws]]\nkind = "mitre saw"\n'
    job = lumber(SHELF_WALL, BOTH_RIP, saws)
    assert chosen(job).planned is job


def test_narrow_boards_that_run_out_are_made_up_by_wide_ones(lumber):
    job = lumber(SHELF_WALL, BOTH_RIP.replace("9.00,,", "9.00,3,"))
    with pytest.raises(CannotPlanError, match="4 boards are needed, 3 are there"):
        planned(job)
    (layout,) = planned(chosen(job).planned)
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
