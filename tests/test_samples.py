"""Every sample job: plans, replays, and gives the same bytes twice."""

from __future__ import annotations

from pathlib import Path

import pytest

from cutopt.check.replay import check_plan
from cutopt.draw.frame import Paper
from cutopt.pipeline import Printing, make_plan, run_plan
from cutopt.read.job import read_job
from cutopt.read.plan_json import read_plan
from cutopt.solve.params import Search, Unwatched
from cutopt.units import Units

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


def test_the_shelf_rack_needs_two_more_boards() -> None:
    plan = make_plan(read_job(SAMPLES / "shelf_rack"), Search(), Unwatched())
    (result,) = plan.materials
    assert (result.cost, result.proven, result.bought, result.owned_used) == (640, True, 2, 6)
    bought = [piece.stock.name for piece in plan.pieces if not piece.stock.owned]
    assert bought == ["1x4 common 6 ft"] * 2
