"""A job whose narrow boards are dear, from its files to the buy list: ripping offered."""

from __future__ import annotations

import json

import pytest

from cutopt.errors import InputError
from cutopt.model.plan import PartPiece, walk
from cutopt.pipeline import make_plan
from cutopt.read.job import read_job
from cutopt.read.plan_json import read_plan
from cutopt.solve.params import Search, Unwatched
from cutopt.steps.buy import buy_list
from cutopt.steps.ticks import tick_groups
from cutopt.write.plan_json import plan_to_json, write_plan

PARTS = """part,qty,length,width,material
Shelf,3,34,7-1/4,pine
Slat,8,34,1-1/2,pine
Rail,4,30,3-1/2,pine
"""
STOCK = """stock,kind,material,length,section,price,rip
narrow,board,pine,96,1x2,6.00,yes
middle,board,pine,96,1x4,7.00,yes
wide,board,pine,96,1x8,9.00,yes
"""


@pytest.fixture
def made(tmp_path):
    """Give what plans the job with more settings."""

    def plan(settings: str = "", parts: str = PARTS):
        head = 'units = "inch"\nparts = "parts.csv"\nstock = "stock.csv"\n'
        (tmp_path / "job.toml").write_text(head + settings)
        (tmp_path / "parts.csv").write_text(parts)
        (tmp_path / "stock.csv").write_text(STOCK)
        return make_plan(read_job(tmp_path), Search(effort=0), Unwatched())

    return plan


def test_ripping_taken_is_told_and_its_figures_add_up(made, tmp_path):
    plan = made()
    (offer,) = plan.offers
    assert offer.taken
    # Each part from boards as wide: 2 x 1x8, 4 x 1x2 and 2 x 1x4 by their lengths.
    assert offer.cost_cents == 2 * 900 + 4 * 600 + 2 * 700
    assert plan.totals.stock_cents == offer.cost_cents - offer.saving_cents
    assert sum(result.lower_bound for result in plan.materials) <= plan.totals.stock_cents
    (words,) = buy_list(plan).offers
    assert "ripping" in words
    assert "taken" in words
    write_plan(plan, tmp_path / "plan.json")
    assert read_plan(tmp_path / "plan.json") == plan
    (told,) = json.loads(plan_to_json(plan))["offers"]
    assert told["text"] == words
    assert told["saving"] == offer.saving_cents / 100


def test_copies_of_one_part_from_two_widths_are_told(made):
    # Two rails of 90 in come from a 1x8 at 9.00; the third is cheaper from a 1x4 at 7.00.
    plan = made(parts="part,qty,length,width,material\nRail,3,90,3-1/2,pine\n")
    assert {piece.stock.name for piece in plan.pieces} == {"middle", "wide"}
    assert all(result.proven for result in plan.materials)
    assert [(part.name, part.qty) for part in plan.job.parts] == [("Rail", 3)]
    ((row,),) = [group.rows for group in tick_groups(plan)]
    assert row.facts[0] == ("Pine 1x4 and Pine 1x8",)
    labels = [p.node.label for piece in plan.pieces for p in walk(piece.layout)
              if isinstance(p.node, PartPiece)]  # fmt: skip
    assert sorted(labels) == ["Rail 1 of 3", "Rail 2 of 3", "Rail 3 of 3"]


def test_ripping_not_taken_says_how_to_take_it(made):
    plan = made("[shop]\nrip_saving = 90\n")
    (offer,) = plan.offers
    assert not offer.taken
    assert plan.totals.stock_cents == offer.cost_cents
    (words,) = buy_list(plan).offers
    share = 100 * offer.saving_cents // offer.cost_cents
    assert f"set rip_saving = {share} to take it" in words
    (taken,) = made(f"[shop]\nrip_saving = {share}\n").offers
    assert taken.taken


@pytest.mark.parametrize("share", ["101", "-1", '"much"'])
def test_a_share_that_makes_no_sense_is_a_fault(made, share):
    with pytest.raises(InputError, match="rip_saving"):
        made(f"[shop]\nrip_saving = {share}\n")
