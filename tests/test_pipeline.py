"""From a job to a checked plan: what only the whole way through can show."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from cutopt.check.replay import check_plan
from cutopt.errors import CannotPlanError
from cutopt.model.layout import LimitPrice
from cutopt.model.plan import Plan
from cutopt.pipeline import make_plan
from cutopt.read.job import read_job
from cutopt.read.plan_json import read_plan
from cutopt.solve.params import Search, Unwatched
from cutopt.steps.limits import limit_words
from cutopt.write.plan_json import plan_to_json

HEAD = "stock,kind,material,section,length,width,thickness,price,available,owned,rip\n"


def planned(folder: Path, parts: str, stock: str, settings: str = "") -> Plan:
    (folder / "job.toml").write_text(
        f'name = "Case"\nunits = "inch"\nparts = "parts.csv"\nstock = "stock.csv"\n{settings}'
    )
    (folder / "parts.csv").write_text(parts)
    (folder / "stock.csv").write_text(HEAD + stock)
    return make_plan(read_job(folder), Search(), Unwatched())


LONG_AND_SHORT = "8 ft,board,pine,2x4,96,,,3.98,,,\n12 ft,board,pine,2x4,144,,,5.50,,,\n"
SIX_RAILS = "part,qty,length,material\nRail,6,47,pine\n"


def test_boards_too_long_for_the_car_are_left_for_dearer_short_ones(tmp_path: Path) -> None:
    free = planned(tmp_path, SIX_RAILS, LONG_AND_SHORT)
    assert {piece.stock.name for piece in free.pieces} == {"12 ft"}
    assert free.materials[0].proven
    plan = planned(tmp_path, SIX_RAILS, LONG_AND_SHORT, '[carry]\nboards = "10ft"\n')
    assert [piece.stock.name for piece in plan.pieces] == ["8 ft"] * 3
    assert plan.warnings == ()
    # The bound is that of all boards: the dearer plan is not called the cheapest there is.
    assert not plan.materials[0].proven
    assert "would do without the limits of the car" in plan.materials[0].why


def test_what_each_limit_adds_to_the_cost_is_said_and_kept(tmp_path: Path) -> None:
    # Three 8 ft boards, 11.94, instead of two 12 ft ones, 11.00; the saw's limit costs nothing.
    saw = '[[shop.saws]]\nkind = "mitre saw"\nkerf = "1/8"\ncrosscut_capacity = 12\n'
    car = '[carry]\nboards = "10ft"\n'
    plan = planned(tmp_path, SIX_RAILS, LONG_AND_SHORT, car + saw)
    (result,) = plan.materials
    assert result.limits == (LimitPrice('the car takes boards of at most 120"', 1, 94, 0, True),)
    words = 'because the car takes boards of at most 120": 1 board more ($0.94)'
    assert limit_words(plan.job, result) == (words,)
    (tmp_path / "plan.json").write_text(plan_to_json(plan))
    assert read_plan(tmp_path / "plan.json").materials == plan.materials
    free = planned(tmp_path, SIX_RAILS, LONG_AND_SHORT, saw)
    assert free.materials[0].limits == ()


def test_cuts_paid_for_at_the_store_are_a_price_of_the_car(tmp_path: Path) -> None:
    parts = "part,qty,length,width,material\nPanel,2,47,47,ply\n"
    sheet = "sheet,sheet,ply,,96,48,0.75,58,,,\n"
    car = '[store]\nkerf = "1/8"\nfee_per_cut = 0.75\n[carry]\nlength = "72"\nwidth = "48"\n'
    plan = planned(tmp_path, parts, sheet, car)
    (result,) = plan.materials
    words = 'because the car takes at most 72" x 48": store cuts for $0.75 more'
    assert limit_words(plan.job, result) == (words,)


@pytest.mark.parametrize(
    ("price", "said"),
    [
        ((1, 5800, 150, True), "1 sheet more ($59.50)"),
        ((2, 11600, 0, False), "at least 2 sheets more ($116.00)"),
        ((0, 900, 0, True), "dearer stock, $9.00 more"),
        ((-1, 900, -75, True), "dearer stock, $8.25 more"),
    ],
)
def test_a_limit_is_priced_with_the_fees_of_the_store(
    tmp_path: Path, price: tuple[int, int, int, bool], said: str
) -> None:
    plan = planned(
        tmp_path,
        "part,qty,length,width,material\nPanel,1,40,40,ply\n",
        "sheet,sheet,ply,,96,48,0.75,58,,,\n",
    )
    (result,) = plan.materials
    result = replace(result, limits=(LimitPrice("the car is small", *price),))
    assert limit_words(plan.job, result) == (f"because the car is small: {said}",)


def test_a_part_longer_than_the_car_is_bought_all_the_same_with_a_warning(tmp_path: Path) -> None:
    parts = "part,qty,length,material\nRidge,1,130,pine\nRail,2,47,pine\n"
    plan = planned(tmp_path, parts, LONG_AND_SHORT, '[carry]\nboards = "10ft"\n')
    assert [warning.about for warning in plan.warnings] == ["carry"]


def test_narrow_parts_are_ripped_side_by_side(tmp_path: Path) -> None:
    # Nine slats of 1-1/2 in, kerf 1/8: four strips in 7-1/4 in, two lengths of 40 in 96.
    parts = "part,qty,length,width,material\nSlat,9,40,1-1/2,pine\n"
    plan = planned(tmp_path, parts, "1x8,board,pine,1x8,96,,,8.00,,,yes\n")
    assert len(plan.pieces) == 2
    assert plan.materials[0].proven


def test_boards_that_may_not_be_ripped_give_whole_widths_only(tmp_path: Path) -> None:
    parts = "part,qty,length,width,material\nSlat,4,40,1-1/2,pine\nShelf,1,40,7-1/4,pine\n"
    stock = "long 1x8,board,pine,1x8,96,,,8.00,,,\nshort 1x8,board,pine,1x8,48,,,7.00,,,yes\n"
    plan = planned(tmp_path, parts, stock)
    assert [piece.stock.name for piece in plan.pieces] == ["short 1x8", "short 1x8"]


@pytest.mark.parametrize(
    ("parts", "stock", "short"),
    [
        # 4 x 24 + 3 x 1/8 = 96-3/8.
        ("Side,4,24,,pine", "8 ft,board,pine,1x12,96,,,9,1,,", "3/8"),
        # A well-known bat house plan cuts 50 + 32 + 11 + 3 from 96.
        ("Back,1,50,,pine\nRoof,1,32,,pine\nFloor,1,11,,pine\nCleat,1,3,,pine",
         "8 ft,board,pine,1x12,96,,,9,1,,", "3/8"),
        # Four 24 in squares in one 48 in square.
        ("Lid,4,24,24,ply", "half,sheet,ply,,48,48,3/4,30,1,,", "1/8"),
    ],
)  # fmt: skip
def test_what_fits_only_without_a_kerf_is_said_to_be_short(
    tmp_path: Path, parts: str, stock: str, short: str
) -> None:
    with pytest.raises(CannotPlanError) as caught:
        planned(tmp_path, f"part,qty,length,width,material\n{parts}\n", stock + "\n")
    text = str(caught.value)
    assert f'{short}" short' in text
    assert "removes nothing" in text


def test_halves_of_sheets_are_laid_out_for_each_stock_with_its_own_trim(tmp_path: Path) -> None:
    # The car takes half of either sheet; the parts fit a half of the wide one only by its trim.
    stock = "stock,kind,material,length,width,thickness,price,trim\n"
    (tmp_path / "stock.csv").write_text(
        stock + "square,sheet,ply,60,60,3/4,30,1/2\nlong,sheet,ply,96,48,3/4,45,1/4\n"
    )
    (tmp_path / "parts.csv").write_text("part,qty,length,width\nPanel,2,34,32-1/8\n")
    (tmp_path / "job.toml").write_text(
        'units = "inch"\nparts = "parts.csv"\nstock = "stock.csv"\n'
        "[store]\nfee_per_cut = 1\n[carry]\nwidth = '33in'\n"
    )
    plan = make_plan(read_job(tmp_path), Search(), Unwatched())
    assert plan.warnings == ()
    assert check_plan(plan) == ()


def test_a_store_cut_near_the_raw_edge_leaves_none_of_what_is_to_be_trimmed(tmp_path: Path) -> None:
    # Where kerf and clean-up are together less than the trim, a strip may be cut off too thin.
    (tmp_path / "job.toml").write_text(
        'name = "rough"\nunits = "mm"\nparts = "parts.csv"\nstock = "stock.csv"\n'
        "[store]\nkerf = 3.2\nrough = true\nfree_cuts = 3\nallowance = 3.2\n"
        "[carry]\nlength = 1600\nwidth = 1000\n[shop]\nkerf = 3.2\n",
        encoding="utf-8",
    )
    (tmp_path / "parts.csv").write_text(
        "part,qty,length,width\nA,3,1065,712\nB,1,921,449\nC,2,780,471\nD,3,1181,537\n",
        encoding="utf-8",
    )
    (tmp_path / "stock.csv").write_text(
        "stock,kind,material,length,width,thickness,price,trim\nply,sheet,ply,2440,1220,18,50,10\n",
        encoding="utf-8",
    )
    plan = make_plan(read_job(tmp_path), Search(0), Unwatched())
    assert not check_plan(plan)
