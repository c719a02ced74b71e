"""The boards page of measured boards: bad spans hatched closely, with their word, in both units."""

from __future__ import annotations

from pathlib import Path

import pytest
from scene_checks import assert_framed, texts

from cutopt.draw.board_pages import board_pages
from cutopt.draw.frame import Look, Paper
from cutopt.draw.scene import Drawing, Hatch
from cutopt.model.plan import Plan
from cutopt.pipeline import make_plan
from cutopt.read.job import read_job
from cutopt.solve.params import Search, Unwatched
from cutopt.units import Units

RACK = Path(__file__).parents[2] / "sample_jobs" / "shelf_rack"
CLOSE = 2.4


@pytest.fixture(scope="module")
def rack() -> Plan:
    return make_plan(read_job(RACK), Search(effort=0), Unwatched())


def pages(plan: Plan, units: Units, paper: Paper) -> list[Drawing]:
    return board_pages(plan, Look(plan.job.name, units, paper, "TEST"))


@pytest.mark.parametrize("units", Units)
@pytest.mark.parametrize("paper", Paper)
def test_every_bad_span_is_hatched_and_named(rack: Plan, units: Units, paper: Paper):
    (page,) = pages(rack, units, paper)
    assert_framed([page])
    boards = [piece.stock for piece in rack.pieces if piece.stock.bad]
    hatches = [mark for mark in page.marks if isinstance(mark, Hatch) and mark.pitch == CLOSE]
    words = texts(page)
    assert len(hatches) > sum(len(board.bad) for board in boards)  # one more in the legend
    assert words.count("bad") == sum(len(board.bad) for board in boards)
    assert "bad span" in words
    assert {board.name for board in boards} <= set(words)
