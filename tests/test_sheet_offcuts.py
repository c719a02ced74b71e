"""Panels and boards of one wood, files to lists: cleats come from what panels leave."""

from __future__ import annotations

import json
import random
from dataclasses import replace
from itertools import product

import pytest

from cutopt.check.replay import check_plan
from cutopt.errors import CannotPlanError
from cutopt.model.job import Grain, Kind
from cutopt.model.plan import Cut, Offer, PartPiece, walk
from cutopt.model.progress import CutsMade, PartSpoiled
from cutopt.pipeline import Printing, draw_plan, make_plan, replan_plan
from cutopt.read.job import read_job
from cutopt.read.plan_json import read_plan
from cutopt.solve.params import Search, Unwatched
from cutopt.solve.sheet_offcuts import on_sheets
from cutopt.steps.buy import buy_list
from cutopt.steps.offers import offer_words
from cutopt.steps.ticks import tick_groups
from cutopt.units import millimetres
from cutopt.write.plan_json import plan_to_json, write_plan

QUICK = Search(effort=0)
WIDE = millimetres(100)
PARTS = """part,qty,length,width,material
Side,2,900,380,pine
Shelf,3,760,380,pine
Cleat,4,760,44,pine
Rail,2,900,94,pine
"""
HEAD = "stock,kind,material,length,width,thickness,price,rip,grain,available,owned\n"
PANEL = "Panel,sheet,pine,2400,1000,18,78.00,yes,length,,\n"
BOARD = "Board,board,pine,2400,94,18,9.40,yes,length,,\n"
STOCK = HEAD + PANEL + BOARD


@pytest.fixture
def job(tmp_path):
    """Give what reads a job of panels and boards."""

    def read(parts: str = PARTS, stock: str = STOCK, settings: str = ""):
        head = 'name = "Workshop cabinet"\nunits = "mm"\nparts = "parts.csv"\nstock = "stock.csv"\n'
        (tmp_path / "job.toml").write_text(head + settings)
        (tmp_path / "parts.csv").write_text(parts)
        (tmp_path / "stock.csv").write_text(stock)
        return read_job(tmp_path)

    return read


def planned(job):
    return make_plan(job, QUICK, Unwatched())


def kinds_of(plan, name):
    """Give how many copies of a part come from sheets and how many from boards."""
    (part,) = [part for part in plan.job.parts if part.name == name]
    found = [piece.stock.kind for piece in plan.pieces for placed in walk(piece.layout)
             if isinstance(placed.node, PartPiece) and placed.node.part == part.id]  # fmt: skip
    return found.count(Kind.SHEET), found.count(Kind.BOARD)


def test_cleats_and_rails_come_from_what_the_panel_leaves(job, tmp_path):
    plan = planned(job())
    # Five wide parts want one panel by area, and it is all that is bought: no boards at 18.80.
    assert plan.totals.stock_cents == 7800
    assert [(result.cost, result.lower_bound) for result in plan.materials] == [(7800, 7800)]
    (offer,) = plan.offers
    assert (offer.taken, offer.saving_cents, offer.cost_cents) == (True, 1880, 1880)
    assert offer.from_sheets == (("Cleat", 4), ("Rail", 2))
    (words,) = buy_list(plan).offers
    assert words.startswith(
        "pine: ripping Cleat (4) and Rail (2) from sheets instead of boards saves $18.80, "
    )
    write_plan(plan, tmp_path / "plan.json")
    assert read_plan(tmp_path / "plan.json") == plan
    told = json.loads(plan_to_json(plan))
    assert told["offers"][0]["from_sheets"][0] == {"part": "Cleat", "qty": 4}


@pytest.mark.parametrize(
    ("kinds", "told"),
    [
        (1, "ripping P1 (2) from"),
        (3, "ripping P1 (2), P2 (2) and P3 (2) from"),
        (4, "ripping P1 (2), P2 (2), P3 (2) and 1 more from"),
        (18, "ripping P1 (2), P2 (2), P3 (2) and 15 more from"),
    ],
)
def test_an_offer_of_many_parts_names_three_and_counts_the_rest(job, kinds, told):
    pine = job().parts[0].material
    parts = tuple((f"P{n + 1}", 2) for n in range(kinds))
    words = offer_words(Offer(pine, (), 5000, 1000, 4, 10, taken=True, from_sheets=parts), "USD")
    assert words.startswith(f"pine: {told} sheets instead of boards saves $10.00, 4 more rips")


def test_without_leave_parts_that_boards_give_stay_on_boards(job):
    plan = planned(job(stock=STOCK.replace("78.00,yes", "78.00,")))
    assert not plan.offers
    assert plan.totals.stock_cents == 7800 + 2 * 940
    assert all(result.proven for result in plan.materials)
    assert kinds_of(plan, "Cleat") == (0, 4)


def test_a_share_too_small_is_said_and_not_taken(job):
    # A panel of one's own holds six of the eight cleats: one board in five less.
    settings = "[shop]\nrip_saving = 30\n"
    plan = planned(job(EIGHT_CLEATS, HEAD + OWN + BOARD, settings))
    (offer,) = plan.offers
    assert not offer.taken
    assert plan.totals.stock_cents == 5 * 940
    assert "set rip_saving = 20 to take it" in buy_list(plan).offers[0]
    assert plan.materials[0].lower_bound <= 4 * 940
    taken = planned(job(EIGHT_CLEATS, HEAD + OWN + BOARD))
    assert taken.totals.stock_cents == 4 * 940
    assert all(result.proven for result in taken.materials)
    in_sheet, in_boards = kinds_of(taken, "Cleat")
    assert (in_sheet + in_boards, in_sheet > 0, in_boards > 0) == (8, True, True)
    rows = [row for group in tick_groups(taken) for row in group.rows]
    facts = str(next(row.facts for row in rows if "Cleat" in str(row)))
    assert "18 x 94" in facts


EIGHT_CLEATS = "part,qty,length,width,material\nCleat,8,760,44,pine\nRail,6,900,94,pine\n"
OWN = "My offcut,sheet,pine,800,300,18,,yes,length,1,yes\n"


def with_sheet(plan, **changes):
    """Give a plan whose panel is not what it was when it was planned."""
    sheet = next(row for row in plan.job.stock if row.kind is Kind.SHEET)
    stock = tuple(replace(row, **changes) if row == sheet else row for row in plan.job.stock)
    pieces = tuple(replace(piece, stock=replace(piece.stock, **changes))
                   if piece.stock == sheet else piece for piece in plan.pieces)  # fmt: skip
    return replace(plan, job=replace(plan.job, stock=stock), pieces=pieces)


def turned(node):
    """Give a tree whose strips of cleats are said to lie turned."""
    if isinstance(node, Cut):
        return replace(node, first=turned(node.first), second=turned(node.second))
    return replace(node, turned=True) if isinstance(node, PartPiece) else node


def test_the_check_sees_a_cleat_that_no_panel_may_give_or_across_its_grain(job):
    plan = planned(job(EIGHT_CLEATS, HEAD + OWN + BOARD))
    assert min(kinds_of(plan, "Cleat")) > 0
    assert not check_plan(plan)
    faults = check_plan(with_sheet(plan, rip=False))
    assert "is cut from My offcut, which is not its material" in str(faults)
    across = replace(
        plan,
        job=replace(
            plan.job, parts=tuple(replace(part, grain=Grain.ANY) for part in plan.job.parts)
        ),
        pieces=tuple(replace(piece, layout=turned(piece.layout)) for piece in plan.pieces),
    )
    assert "lies across the sheet's grain" in str(check_plan(across))


def test_where_spares_are_asked_for_board_parts_stay_on_boards(job):
    plan = planned(job(EIGHT_CLEATS, HEAD + OWN + BOARD, "confidence = 0.9\n"))
    assert kinds_of(plan, "Cleat") == (0, 8)


def test_a_strip_follows_the_grain_of_the_panel(job):
    plan = planned(job())
    held = [placed.node for piece in plan.pieces for placed in walk(piece.layout)
            if isinstance(placed.node, PartPiece)]  # fmt: skip
    strips = [part for part in held if min(part.length, part.width) < WIDE]
    assert len(strips) == 6
    assert not any(strip.turned for strip in strips)


def test_boards_that_run_out_leave_the_panel(job):
    few = BOARD.replace("length,,", "length,0,")
    plan = planned(job(stock=HEAD + PANEL + few))
    assert kinds_of(plan, "Cleat") == (4, 0)
    with pytest.raises(CannotPlanError):
        planned(job(parts="part,qty,length,width,material\nLong,1,2600,44,pine\n"))


def cheapest_of_all(job):
    """Give the least cost found by sharing copies out in every way there is."""
    free = [part for part in job.parts if part.material.kind is Kind.BOARD]
    wide = [part for part in job.parts if part not in free]
    least = None
    for counts in product(*(range(part.qty + 1) for part in free)):
        parts = list(wide)
        for part, count in zip(free, counts, strict=True):
            if count:
                parts.append(replace(on_sheets(job, part, count), section_named=True))
            if count < part.qty:
                left = replace(part, id=f"{part.id}b", qty=part.qty - count, section_named=True)
                parts.append(left)
        tried = planned(replace(job, parts=tuple(parts))).totals.stock_cents
        least = tried if least is None else min(least, tried)
    return least


@pytest.mark.parametrize("seed", range(4))
def test_no_way_to_share_out_is_cheaper_than_the_bound(job, seed):
    draw = random.Random(seed)
    rows = [f"Top,{draw.randint(1, 2)},{draw.randrange(500, 900, 50)},350,pine"]
    rows += [f"Strip {n},{draw.randint(1, 3)},{draw.randrange(400, 1100, 50)},"
             f"{draw.choice((44, 60, 94))},pine" for n in range(2)]  # fmt: skip
    stock = (
        f"Panel,sheet,pine,1200,500,18,{draw.randint(14, 26)},yes,{draw.choice(('', 'length'))},,\n"
        f"Board,board,pine,1800,94,18,{draw.randint(6, 10)},yes,,,\n"
    )
    parts = "part,qty,length,width,material\n" + "\n".join(rows)
    read = job(parts, HEAD + stock, "[shop]\nrip_saving = 0\n")
    plan = planned(read)
    least = cheapest_of_all(read)
    assert sum(result.lower_bound for result in plan.materials) <= least
    assert plan.totals.stock_cents == least


def test_store_cuts_and_pages_take_cleats_on_a_panel(job):
    store = "[store]\nkerf = 3\nfree_cuts = 3\n[carry]\nlength = 1300\nwidth = 1100\n"
    plan = planned(job(settings=store))
    assert plan.totals.store_cuts
    assert kinds_of(plan, "Cleat") == (4, 0)
    assert draw_plan(plan, Printing()).documents


def replanned(plan, *events):
    return replan_plan(plan, events, QUICK, Unwatched(), "ABCDEF", "case/plan.json")


def test_a_spoiled_cleat_is_made_again_from_a_board_where_that_costs_less(job):
    plan = planned(job())
    cleat = next(part for part in plan.job.parts if part.name == "Cleat")
    done = CutsMade("S1", tuple(cut.step for cut in plan.pieces[0].cuts()))
    new = replanned(plan, done, PartSpoiled(cleat.id, 2))
    # Nothing the panel left is as long: another panel is 78.00, a board 9.40.
    assert kinds_of(new, "Cleat") == (0, 1)
    assert new.totals.stock_cents == 940
    # Parts could be shared out among what is left and boards in ways that were not planned.
    assert not any(result.proven for result in new.materials)


def test_a_spoiled_cleat_comes_from_what_the_panel_left_where_it_fits(job):
    plan = planned(job(PARTS.replace("Cleat,4,760", "Cleat,4,300")))
    cleat = next(part for part in plan.job.parts if part.name == "Cleat")
    done = CutsMade("S1", tuple(cut.step for cut in plan.pieces[0].cuts()))
    new = replanned(plan, done, PartSpoiled(cleat.id, 2))
    assert kinds_of(new, "Cleat") == (1, 0)
    assert new.totals.stock_cents == 0
