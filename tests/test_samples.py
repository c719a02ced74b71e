"""Every sample job: plans, replays, and gives the same bytes twice."""

from __future__ import annotations

import math
from pathlib import Path

import pytest

from cutopt.check.replay import check_plan
from cutopt.draw.frame import Paper
from cutopt.model.openings import check_openings
from cutopt.model.plan import PartPiece, Plan, walk
from cutopt.pipeline import Printing, make_plan, run_plan, run_replan
from cutopt.progress import record
from cutopt.read.job import read_job
from cutopt.read.plan_json import read_plan
from cutopt.read.progress_words import Said
from cutopt.solve.params import Search, Unwatched
from cutopt.units import TICKS_PER_INCH, Units

SAMPLES = Path(__file__).parent.parent / "sample_jobs"
JOBS = sorted(SAMPLES.glob("*/job.toml")) + sorted(
    path
    for path in SAMPLES.glob("*/*")
    if path.is_file() and not (path.parent / "job.toml").exists()
)


def files_of(folder: Path) -> dict[str, bytes]:
    return {
        str(path.relative_to(folder)): path.read_bytes()
        for path in sorted(folder.rglob("*"))
        if path.is_file()
    }


def test_there_are_sample_jobs() -> None:
    assert len(JOBS) >= 4


@pytest.mark.parametrize("path", JOBS, ids=lambda path: path.parent.name)
def test_a_sample_planned_twice_gives_the_same_bytes(path: Path, tmp_path: Path) -> None:
    job = read_job(path, units=Units.INCH)
    printing = Printing(Paper.LETTER)
    for run in ("one", "two"):
        plan = run_plan(job, Search(), Unwatched(), printing, tmp_path / run, force=False)
    assert files_of(tmp_path / "one") == files_of(tmp_path / "two")
    assert check_plan(plan) == ()
    assert read_plan(tmp_path / "one" / "plan.json") == plan


def test_the_charger_cabinet_lets_enough_air_through() -> None:
    job = read_job(SAMPLES / "charger_cabinet")
    door, back = check_openings(job.openings, job.parts, job.units)
    square_inch = TICKS_PER_INCH**2
    # Three quarters of 4 x 14 and of a hole 1-3/8 in across; six tenths of 5 x 15.
    free = 0.75 * (56 + math.pi * 1.375**2 / 4)
    assert door.free / square_inch == pytest.approx(free, abs=1e-3)
    assert back.free / square_inch == pytest.approx(45)
    assert job.warnings == ()


def test_the_shelf_rack_needs_two_more_boards() -> None:
    plan = make_plan(read_job(SAMPLES / "shelf_rack"), Search(), Unwatched())
    (result,) = plan.materials
    assert (result.cost, result.proven, result.bought, result.owned_used) == (640, True, 2, 6)
    bought = [piece.stock.name for piece in plan.pieces if not piece.stock.owned]
    assert bought == ["1x4 common 6 ft"] * 2


def source_of(plan: Plan, label: str) -> str:
    """The piece that a part is cut from."""
    (found,) = [
        piece.id
        for piece in plan.pieces
        for placed in walk(piece.layout)
        if isinstance(placed.node, PartPiece) and placed.node.label == label
    ]
    return found


def test_the_potting_shelf_goes_on_after_a_spoiled_shelf_and_a_spoiled_leg(tmp_path: Path) -> None:
    job = read_job(SAMPLES / "potting_shelf")
    folders = [tmp_path / f"potting_shelf-plan{number}" for number in ("", "-2", "-3")]
    printing = Printing(Paper.LETTER)
    run_plan(job, Search(), Unwatched(), printing, folders[0], force=False)

    def go_on(place: int, said: Said) -> Plan:
        state = record(folders[place] / "plan.json", said, undo=False)
        to = folders[place + 1]
        return run_replan(state, Search(), Unwatched(), printing, to, force=False)

    second = go_on(0, Said(cut=["S1"], spoiled=["Shelf:2"]))
    assert check_plan(second) == ()
    assert second.totals.stock_cents == 0
    assert source_of(second, "Shelf 2 of 3") == "S1-a"
    third = go_on(1, Said(cut=["L1", "L2"], spoiled=["Leg:1"]))
    assert check_plan(third) == ()
    (board,) = [piece for piece in third.pieces if not piece.stock.owned]
    # The cheapest board is 96" long at 6.10, and a leg is 44".
    assert (board.id, board.stock.name, third.totals.stock_cents) == ("L5", "1x4 x 8 ft", 610)
    assert source_of(third, "Leg 1 of 4") == "L5"
    assert all(result.proven for result in third.materials)
    assert read_plan(folders[2] / "plan.json") == third
