"""Layouts asked for by rules: store edges have their room, strips fit the car, few thin strips."""

from __future__ import annotations

from pathlib import Path

import pytest
from hypothesis import HealthCheck, example, given, settings
from hypothesis import strategies as st
from sawing_cases import SHEET, TABLE, TRACK, blank, columns, job_of, mm, plan_of, strips

from cutopt.check.replay import check_plan
from cutopt.errors import CannotPlanError
from cutopt.model.job import Job, Material
from cutopt.model.layout import Direction, LaidPiece, MaterialLayout
from cutopt.model.plan import Maker, Settings
from cutopt.pipeline import make_plan
from cutopt.read.job import read_job
from cutopt.solve.material import Room, plan_material
from cutopt.solve.params import NO_RULES, CuttingRules, Search, Unwatched
from cutopt.steps.joint import saw_job
from cutopt.steps.joint_ways import ways
from cutopt.steps.narrow_rips import narrow_rips
from cutopt.steps.sawing_saws import kerfs
from cutopt.steps.summary import summarise
from cutopt.units import Ticks

STOCK = "stock,kind,material,length,width,thickness,price\nsheet,sheet,ply,2440,1220,18,60\n"
SIZES = st.lists(
    st.tuples(st.integers(80, 1200), st.integers(60, 600), st.integers(1, 3)),
    min_size=1,
    max_size=6,
)


def job_in(folder: Path, sizes: list[tuple[int, int, int]], tables: str) -> Job:
    (folder / "job.toml").write_text(
        f'name = "Case"\nunits = "mm"\nparts = "parts.csv"\nstock = "stock.csv"\n{tables}'
    )
    rows = [f"P{n},{qty},{length},{width}\n" for n, (length, width, qty) in enumerate(sizes)]
    (folder / "parts.csv").write_text("part,qty,length,width\n" + "".join(rows))
    (folder / "stock.csv").write_text(STOCK)
    return read_job(folder)


ROUGH = "[store]\nkerf = 4\nrough = true\nallowance = 6\nfee_per_cut = 1\n"


@settings(
    max_examples=25, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture]
)
@given(SIZES, st.sampled_from(["", "[[shop.saws]]\nkind = 'track saw'\nkerf = 2\n"]))
@example(
    # A wide first strip leaves a large offcut, but no room for the next ones.
    [(182, 474, 2)] * 2 + [(947, 234, 3)] * 3 + [(182, 474, 2)],
    "",
)
def test_strips_with_room_for_store_edges_all_fit_the_car(
    tmp_path: Path, sizes: list[tuple[int, int, int]], saw: str
):
    job = job_in(tmp_path, sizes, f"{ROUGH}[carry]\nlength = 1300\nwidth = 1250\n{saw}")
    (material,) = job.materials
    # A strip across the sheet is 1220 long: the car takes one of 1300, 6 off at either edge.
    rules = CuttingRules(None, Direction.CROSSCUT, mm(12), 1, mm(1288))
    room = Room(*kerfs(job, material), rules=rules)
    layout = plan_material(job, material, room, Search(0), Unwatched())
    sawn = saw_job(job, lambda *_, **__: layout)
    plan = summarise(job, Settings(0, 0, job.favour), sawn)
    assert check_plan(plan) == ()
    assert plan.warnings == ()
    assert any(cut.by is Maker.STORE for piece in plan.pieces for cut in piece.cuts())


def test_what_is_asked_for_the_car_is_strips_it_takes(tmp_path: Path):
    job = job_in(tmp_path, [(500, 300, 2)], f"{ROUGH}[carry]\nlength = 1300\nwidth = 1250\n")
    (material,) = job.materials
    asked = [way.rules for way in ways(job, material, job.stock, (1, 0)) if way.rules != NO_RULES]
    assert asked[0] == CuttingRules(None, Direction.CROSSCUT, mm(12), 1, mm(1288))
    # No strip as long as the sheet fits, however narrow: rips are asked for with crosscuts after.
    assert all(rules.edge_stages == 2 for rules in asked if rules.first is Direction.RIP)


def test_saws_at_home_are_asked_for_without_a_store_too(tmp_path: Path):
    saw = "[[shop.saws]]\nkind = 'table saw'\nrip_capacity = 600\n"
    job = job_in(tmp_path, [(500, 300, 2)], saw)
    (material,) = job.materials
    asked = [way.rules for way in ways(job, material, job.stock, (0, 1))]
    assert CuttingRules(None, Direction.RIP, Ticks(0), 1, mm(600)) in asked


@settings(
    max_examples=6, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture]
)
@given(SIZES)
def test_whole_jobs_with_rough_edges_car_and_saws_replay(
    tmp_path: Path, sizes: list[tuple[int, int, int]]
):
    saws = "[[shop.saws]]\nkind = 'table saw'\nrip_capacity = 600\n"
    job = job_in(tmp_path, sizes, f"{ROUGH}[carry]\nlength = 1500\nwidth = 800\n{saws}")
    plan = make_plan(job, Search(0), Unwatched())
    assert check_plan(plan) == ()


# --- narrow rips --------------------------------------------------------------------------------
# Under 4 in a rip wants a push stick, under 1/2 in another way: see ``cutopt.steps.handling``.


@pytest.mark.parametrize(
    ("width", "found"), [(150, (0, 0)), (102, (0, 0)), (101, (0, 1)), (13, (0, 1)), (12, (1, 0))]
)
def test_rips_are_counted_by_the_width_they_leave(width: int, found: tuple[int, int]):
    # One rip the length of the sheet, then a crosscut to length.
    layout = blank("Strip", 2000, width)
    plan = plan_of([(SHEET, layout)])
    assert narrow_rips(plan.job, plan.pieces[0].layout) == found


def test_a_track_saw_needs_no_hand_near_the_blade():
    layout = blank("Strip", 1000, 50)
    plan = plan_of([(SHEET, layout)], (TRACK,))
    assert narrow_rips(plan.job, plan.pieces[0].layout) == (0, 0)
    plan = plan_of([(SHEET, layout)], (TABLE,))
    assert narrow_rips(plan.job, plan.pieces[0].layout) == (0, 1)


def test_of_layouts_that_cost_the_same_the_one_with_fewer_thin_strips_is_taken():
    # Six strips of 10 mm: three short pieces ripped in two, or two long strips cut to length.
    lone = [blank("Strip", 600, 10) for _ in range(6)]
    apart = columns(strips(*lone[:2]), strips(*lone[2:4]), strips(*lone[4:]))
    together = strips(columns(*lone[:3]), columns(*lone[3:]))
    job = job_of([(SHEET, apart)])
    asked: list[CuttingRules] = []

    def solve(
        material: Material,
        length: Ticks,
        width: Ticks,
        without: frozenset[str] = frozenset(),
        draft: bool = False,
        rules: CuttingRules = NO_RULES,
        enough: int = 0,
    ) -> MaterialLayout:
        asked.append(rules)
        if rules.first is Direction.CROSSCUT:
            raise CannotPlanError("no room")
        layout = together if rules.first is Direction.RIP else apart
        return MaterialLayout(material, (LaidPiece(SHEET, layout),), 4000, 4000)

    plan = summarise(job, Settings(), saw_job(job, solve))
    only = summarise(
        job, Settings(), saw_job(job, lambda *_, **__: solve(SHEET.material, mm(0), mm(0)))
    )
    assert narrow_rips(only.job, only.pieces[0].layout)[0] == 3
    assert narrow_rips(plan.job, plan.pieces[0].layout)[0] == 2
    assert plan.materials[0].proven
    assert check_plan(plan) == ()


def test_nothing_is_planned_again_for_strips_that_are_not_thin():
    asked = []
    layout = strips(blank("Strip", 2000, 50), blank("Strip", 2000, 50))
    job = job_of([(SHEET, layout)])

    def solve(material: Material, *limits: object, **more: object) -> MaterialLayout:
        asked.append((limits, more))
        return MaterialLayout(material, (LaidPiece(SHEET, layout),), 4000, 4000)

    saw_job(job, solve)
    assert len(asked) == 1
