"""Levels of cuts: read, kept to, counted from the cut tree, and what the limit costs."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest
from handmade import REST, crosscut, finish, grow, part, rip
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from cutopt.check.replay import check_plan
from cutopt.check.stages import levels_of
from cutopt.check.tree import replay
from cutopt.errors import InputError
from cutopt.model.job import Job, Kind, Material, Part, Shop, Stock
from cutopt.model.plan import Plan
from cutopt.pipeline import make_plan
from cutopt.read.job import read_job
from cutopt.read.plan_json import read_plan
from cutopt.solve.params import Search, Unwatched
from cutopt.units import Ticks, Units, inches
from cutopt.write.plan_json import plan_to_json

PLY = Material("ply", Kind.SHEET, inches(0, 3, 4))
SHEET = Stock("sheet", PLY, inches(24), inches(24), 1000)
# A across the sheet, B below it, C and D one above the other beside B: nothing is left over.
SIZES = {"A": (24, 10), "B": (14, 14), "C": (10, 7), "D": (10, 7)}


def pieces(**match: str) -> tuple[Part, ...]:
    return tuple(
        Part(
            id=name,
            name=name,
            qty=1,
            length=inches(length),
            width=inches(width),
            thickness=PLY.thickness,
            material=PLY,
            blank_length=inches(length),
            blank_width=inches(width),
            match=match.get(name, ""),
        )
        for name, (length, width) in SIZES.items()
    )


def job(stages: int | None, **match: str) -> Job:
    return Job("Box", Units.INCH, pieces(**match), (SHEET,), Shop(Ticks(0), stages=stages))


def three_levels():
    beside = rip(inches(7), part("C"), part("D"))
    return rip(inches(10), part("A"), crosscut(inches(14), part("B"), beside))


def told(plan: Plan) -> str:
    return "\n".join(fault.text for fault in check_plan(plan))


def test_the_check_counts_changes_of_direction_that_part_parts():
    assert levels_of(replay(grow(job(None), SHEET, three_levels())), {}) == 3
    for stages, fault in ((None, ""), (3, ""), (2, "3 levels of them, the job allows 2")):
        box = job(stages)
        assert fault in told(finish(box, [grow(box, SHEET, three_levels())]))
        if not fault:
            assert told(finish(box, [grow(box, SHEET, three_levels())])) == ""


def test_trimming_and_parallel_cuts_one_after_the_other_are_no_levels():
    # A strip off each side of the sheet first, then B and C side by side, each trimmed again.
    big = replace(SHEET, length=inches(48), width=inches(48))
    b = crosscut(inches(14), part("B"), REST)
    c = rip(inches(7), part("C"), rip(inches(1), REST, REST))
    body = rip(inches(14), b, crosscut(inches(10), c, REST))
    tree = crosscut(inches(2), REST, rip(inches(3), REST, body))
    assert levels_of(replay(grow(job(None), big, tree)), {}) == 1
    strips = rip(inches(10), part("A"), rip(inches(14), b, rip(inches(7), part("C"), REST)))
    assert levels_of(replay(grow(job(None), big, strips)), {}) == 1


def test_parts_kept_together_count_as_one():
    cut = replay(grow(job(None), SHEET, three_levels()))
    assert levels_of(cut, {"C": "front", "D": "front"}) == 2
    assert levels_of(cut, {"C": "front", "D": "back"}) == 3


PARTS = "part,qty,length,width\n" + "".join(
    f"{name},1,{length},{width}\n" for name, (length, width) in SIZES.items()
)
STOCK = "stock,kind,material,length,width,thickness,price\nsheet,sheet,ply,24,24,0.75,10\n"


def planned(
    folder: Path, shop: str, parts: str = PARTS, stock: str = STOCK, more: str = ""
) -> Plan:
    (folder / "job.toml").write_text(
        'name = "Box"\nunits = "inch"\nparts = "parts.csv"\nstock = "stock.csv"\n'
        f"{more}[shop]\nkerf = 0\n{shop}"
    )
    (folder / "parts.csv").write_text(parts)
    (folder / "stock.csv").write_text(stock)
    return make_plan(read_job(folder), Search(), Unwatched())


def test_a_limit_is_kept_and_what_it_costs_is_said(tmp_path: Path):
    free = planned(tmp_path, "")
    assert (len(free.pieces), free.materials[0].proven) == (1, True)
    assert free.job.shop.stages is None
    three = planned(tmp_path, "stages = 3\n")
    assert (len(three.pieces), three.materials[0].proven) == (1, True)
    two = planned(tmp_path, "stages = 2\n")
    assert len(two.pieces) == 2
    assert not two.materials[0].proven
    assert "$10.00 would do with more levels of cuts" in two.materials[0].why
    assert all(levels_of(replay(piece), {}) <= 2 for piece in two.pieces)


def test_a_limit_is_read_back_from_a_plan(tmp_path: Path):
    plan = planned(tmp_path, "stages = 2\n")
    (tmp_path / "plan.json").write_text(plan_to_json(plan))
    assert read_plan(tmp_path / "plan.json").job.shop.stages == 2
    text = plan_to_json(planned(tmp_path, ""))
    assert '"stages"' not in text


@pytest.mark.parametrize("wrong", ["0", "-1", "1.5", '"many"', "[2]"])
def test_a_limit_is_a_whole_number_from_one(tmp_path: Path, wrong: str):
    with pytest.raises(InputError) as caught:
        planned(tmp_path, f"stages = {wrong}\n")
    assert "shop.stages" in str(caught.value)


@settings(
    max_examples=12, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture]
)
@given(
    st.lists(
        st.tuples(st.integers(4, 40), st.integers(3, 24), st.integers(1, 3)), min_size=1, max_size=6
    ),
    st.integers(1, 3),
    st.sampled_from(["", "[carry]\nlength = 60\nwidth = 30\n"]),
    st.booleans(),
)
def test_plans_with_store_and_car_keep_the_limit(
    tmp_path: Path, sizes: list[tuple[int, int, int]], stages: int, car: str, rough: bool
):
    parts = "part,qty,length,width\n" + "".join(
        f"P{n},{qty},{length},{width}\n" for n, (length, width, qty) in enumerate(sizes)
    )
    stock = "stock,kind,material,length,width,thickness,price\nsheet,sheet,ply,96,48,0.75,60\n"
    store = f"[store]\nfree_cuts = 2\nfee_per_cut = 0.5\nrough = {str(rough).lower()}\n"
    shop = f"stages = {stages}\n[[shop.saws]]\nkind = 'table saw'\nrip_capacity = '25\"'\n"
    plan = planned(tmp_path, shop, parts, stock, store + car)
    assert check_plan(plan) == ()
    assert all(levels_of(replay(piece), {}) <= stages for piece in plan.pieces)
