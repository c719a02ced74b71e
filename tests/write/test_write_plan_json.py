"""Writing plan.json: the published format, exact figures, one text for one plan."""

from __future__ import annotations

import json
import tomllib
from dataclasses import replace
from importlib import resources
from pathlib import Path

import pytest
from handmade import REST, crosscut, finish, grow, part, rip
from helpers import serialize_plan
from hypothesis import given, settings
from jsonschema import Draft202012Validator
from strategies import jobs, plans

from cutopt.check.replay import check_plan
from cutopt.errors import InputError
from cutopt.model.job import (
    Budget,
    Cutout,
    CutoutKind,
    Edge,
    Grain,
    Job,
    Kind,
    Material,
    OpeningNeed,
    Part,
    PlanWarning,
    Shop,
    Stock,
)
from cutopt.model.plan import Plan, Settings, Totals
from cutopt.read.document import KEYS
from cutopt.read.plan_json import read_plan
from cutopt.units import TICKS_PER_MM, Units, inches, millimetres
from cutopt.write.plan_json import plan_mark, plan_to_json, write_plan

ROOT = Path(__file__).parent.parent.parent
PLY = Material("birch ply", Kind.SHEET, millimetres(18))
SHEET = Stock(
    "birch 8x4", PLY, inches(96), inches(48), 6200, grain=Grain.LENGTH, band=millimetres(0.5)
)
SHELF = Part(
    "P1",
    "Shelf",
    2,
    millimetres(1003.3),
    millimetres(228.6),
    PLY.thickness,
    millimetres(1003.3),
    millimetres(228.1),
    PLY,
    Grain.LENGTH,
    (Edge.FRONT,),
    "Case",
)
JOB = Job(
    "Potting bench", Units.INCH, (SHELF,), (SHEET,), Shop(inches(0, 1, 8)), budget=Budget(0, 18000)
)


def schema(name: str) -> Draft202012Validator:
    text = resources.files("cutopt").joinpath("data", name).read_text(encoding="utf-8")
    validator = Draft202012Validator(json.loads(text))
    validator.check_schema(validator.schema)
    return validator


def shelves() -> Plan:
    strip = crosscut(
        SHELF.blank_length, part("P1", 1), crosscut(SHELF.blank_length, part("P1", 2), REST)
    )
    plan = finish(JOB, [grow(JOB, SHEET, rip(SHELF.blank_width, strip, REST))])
    return replace(plan, warnings=(PlanWarning("carry", "S1: have it delivered"),))


def data(plan: Plan) -> dict:
    return json.loads(plan_to_json(plan))


def test_a_plan_is_written_in_the_published_words():
    plan = data(shelves())
    assert (plan["format"], plan["version"]) == ("cutopt-plan", 1)
    assert plan["job"] == {
        "name": "Potting bench", "units": "inch", "currency": "USD", "budget": [0, 180.0],
        "favour": "offcuts", "notes": [], "warnings": [],
    }  # fmt: skip
    assert plan["warnings"] == [{"about": "carry", "text": "S1: have it delivered"}]
    assert plan["parts"][0] == {
        "id": "P1", "name": "Shelf", "qty": 2, "length": 1003.3, "width": 228.6,
        "thickness": 18.0, "blank_length": 1003.3, "blank_width": 228.1,
        "material": "birch ply", "kind": "sheet", "stock_thickness": 18.0, "section": None,
        "grain": "length", "band": ["front"], "group": "Case", "extra_length": 0.0,
        "extra_width": 0.0, "last": False, "handed": None, "match": "", "knots_ok": False,
        "cutouts": [], "note": "", "row": None,
    }  # fmt: skip
    piece = plan["pieces"][0]
    assert {key: piece[key] for key in piece if key != "layout"} == {
        "id": "S1", "stock": "birch 8x4", "kind": "sheet", "material": "birch ply",
        "length": 2438.4, "width": 1219.2, "thickness": 18.0, "price": 62.0, "owned": False,
        "grain": "length",
    }  # fmt: skip
    assert plan["totals"] == {
        "stock": 62.0, "store_fees": 0.0, "extras": 0.0, "grand_total": 62.0,
        "unpriced": False, "store_cuts": 0, "shop_cuts": 3,
    }  # fmt: skip


def test_a_cut_states_its_size_its_measure_and_both_sides():
    layout = data(shelves())["pieces"][0]["layout"]
    first, second = layout.pop("first"), layout.pop("second")
    assert layout == {
        "kind": "cut", "length": 2438.4, "width": 1219.2, "direction": "rip", "at": 228.1,
        "kerf": 3.175, "by": "shop", "saw": "any", "step": 1,
    }  # fmt: skip
    assert second == {
        "kind": "offcut", "length": 2438.4, "width": 987.925, "id": "S1-b", "label": "",
    }  # fmt: skip
    assert first["first"] == {
        "kind": "part", "length": 1003.3, "width": 228.1, "part": "P1", "copy": 1,
        "turned": False, "label": "",
    }  # fmt: skip


def test_a_cost_by_area_is_in_square_metres_and_exact_beside_it():
    sheet = replace(SHEET, price_cents=None)
    job = replace(JOB, stock=(sheet,))
    cut = [replace(piece, stock=sheet) for piece in shelves().pieces]
    one_square_tick_less = sheet.length * sheet.width - 1
    plan = finish(job, cut, bounds={PLY: one_square_tick_less})
    (result,) = data(plan)["materials"]
    assert result["measure"] == "area"
    assert result["cost"] == result["lower_bound"] == 2.972897  # 2.4384 m x 1.2192 m
    assert result["exact"] == {
        "cost": one_square_tick_less + 1, "lower_bound": one_square_tick_less,
    }  # fmt: skip
    assert result["proven"] is False


def test_every_tick_of_a_metre_is_exact_in_six_decimals(tmp_path: Path):
    stock = tuple(
        replace(SHEET, name=f"{ticks}", length=ticks) for ticks in range(1, 1000 * TICKS_PER_MM, 97)
    )
    plan = Plan(replace(JOB, stock=stock), Settings(), (), (), Totals(0, 0, 0, False, 0, 0))
    write_plan(plan, tmp_path / "plan.json")
    assert read_plan(tmp_path / "plan.json") == plan


@pytest.mark.parametrize("sizes", [(inches(4), inches(12)), (inches(12), inches(4))])
def test_the_smallest_offcut_keeps_the_order_it_is_given_in(tmp_path: Path, sizes: tuple):
    plan = shelves()
    shop = replace(plan.job.shop, smallest_offcut=sizes)
    write_plan(replace(plan, job=replace(plan.job, shop=shop)), tmp_path / "plan.json")
    assert read_plan(tmp_path / "plan.json").job.shop.smallest_offcut == sizes


def test_every_price_to_a_thousand_is_exact(tmp_path: Path):
    stock = tuple(
        replace(SHEET, name=f"{cents}", price_cents=cents) for cents in range(0, 100_001, 37)
    )
    plan = Plan(replace(JOB, stock=stock), Settings(), (), (), Totals(0, 0, 0, False, 0, 0))
    write_plan(plan, tmp_path / "plan.json")
    assert read_plan(tmp_path / "plan.json") == plan


def test_a_board_cut_into_three_hundred_plugs_is_written_and_read(tmp_path: Path):
    """A tree as deep as it has cuts: 300 x 3/16 in and 299 kerfs of 1/8 in from 96 in."""
    pine = Material("pine", Kind.BOARD, inches(0, 3, 4), "1x4")
    board = Stock("pine 1x4", pine, inches(96), inches(3, 1, 2), 648)
    size = (inches(0, 3, 16), board.width)
    plug = Part("P1", "Plug", 300, *size, pine.thickness, *size, pine)
    job = Job("Plugs", Units.INCH, (plug,), (board,), Shop(inches(0, 1, 8)))
    spec = REST
    for copy in range(300, 0, -1):
        spec = crosscut(plug.length, part("P1", copy), spec)
    plan = finish(job, [grow(job, board, spec, "L1")])
    assert check_plan(plan) == ()
    write_plan(plan, tmp_path / "plan.json")
    assert serialize_plan(read_plan(tmp_path / "plan.json")) == serialize_plan(plan)


def vented() -> Plan:
    opening = Cutout(
        CutoutKind.OPENING, millimetres(200), millimetres(100), millimetres(50), millimetres(50)
    )
    needs = (
        OpeningNeed("Case", "250 cm2", 250 * 3200**2, "metal grille"),
        OpeningNeed("Case", "500 cm2", 500 * 3200**2, "", 0.6),
    )
    job = replace(JOB, parts=(replace(SHELF, cutouts=(opening,)),), openings=needs)
    return replace(shelves(), job=job)


def test_openings_are_written_with_what_they_come_to(tmp_path: Path):
    plan = vented()
    written = data(plan)
    assert written["parts"][0]["open_area_cm2"] == 200
    first, second = written["openings"]
    # Two shelves, 20 x 10 cm each: three quarters of 400 cm2 are free.
    assert (first["found"]["free_cm2"], first["found"]["met"]) == (300, True)
    assert (second["found"]["free_cm2"], second["found"]["met"]) == (240, False)
    schema("plan.schema.json").validate(written)
    write_plan(plan, tmp_path / "plan.json")
    assert read_plan(tmp_path / "plan.json") == plan


@pytest.mark.parametrize(
    ("path", "wrong", "fault"),
    [
        (("parts", 0, "open_area_cm2"), 201, "does not agree with the cutouts"),
        (("openings", 0, "free_area"), "250", "this area has no unit"),
        (("openings", 0, "grille"), "brass", "should be one of open, wood louvre"),
        (("openings", 0, "found", "least_cm2"), 251, "does not agree with free_area"),
        (("openings", 0, "found", "free_cm2"), 301, "should be cut_out_cm2 times share"),
        (("openings", 0, "found", "more"), 1, "unknown key"),
        (("openings", 1, "free_share"), 0, "should be more than 0"),
    ],
)
def test_openings_are_read_strictly(tmp_path: Path, path: tuple, wrong: object, fault: str):
    written = data(vented())
    here = written
    for key in path[:-1]:
        here = here[key]
    here[path[-1]] = wrong
    (tmp_path / "plan.json").write_text(json.dumps(written))
    with pytest.raises(InputError, match=fault):
        read_plan(tmp_path / "plan.json")


def test_names_keep_their_letters():
    assert '"name": "Böden ⅜″"' in plan_to_json(
        replace(shelves(), job=replace(JOB, name="Böden ⅜″"))
    )


def test_equal_plans_give_equal_texts_and_marks():
    assert plan_to_json(shelves()) == plan_to_json(shelves())
    mark = plan_mark(plan_to_json(shelves()))
    other = plan_mark(plan_to_json(replace(shelves(), warnings=())))
    assert len(mark) == 6
    assert mark.isalpha()
    assert mark.isupper()
    assert mark != other


# --- the published schemas --------------------------------------------------------------------
# Reference: JSON Schema draft 2020-12, as the library jsonschema reads it.


@settings(max_examples=15)
@given(plans())
def test_every_plan_fits_the_published_schema(plan: Plan):
    schema("plan.schema.json").validate(data(plan))


@settings(max_examples=15)
@given(jobs())
def test_every_job_in_a_plan_fits_the_published_schema(job: Job):
    plan = Plan(job, Settings(), (), (), Totals(0, 0, 0, False, 0, 0))
    schema("plan.schema.json").validate(data(plan))


def test_the_schema_of_plans_refuses_what_is_missing_strange_or_of_another_kind():
    checks = schema("plan.schema.json")
    for path in ("parts.0.qty", "pieces.0.layout.second.kind", "materials.0.shares.kerf"):
        for spoil in (None, "strange", "missing"):
            plan = here = data(shelves())
            *before, last = [int(key) if key.isdigit() else key for key in path.split(".")]
            for key in before:
                here = here[key]
            if spoil == "missing":
                del here[last]
            else:
                here[last] = spoil
            assert not checks.is_valid(plan), (path, spoil)
    assert not checks.is_valid(data(shelves()) | {"more": 1})


@pytest.mark.parametrize(
    "job", sorted(ROOT.glob("sample_jobs/*/job.toml")), ids=lambda p: p.parent.name
)
def test_every_sample_job_fits_the_published_schema(job: Path):
    schema("job.schema.json").validate(tomllib.loads(job.read_text(encoding="utf-8")))


def test_the_schema_of_jobs_has_the_keys_that_are_read():
    published = schema("job.schema.json").schema
    tables = {"": published, **published["$defs"]}
    assert {name: set(tables[name]["properties"]) for name in KEYS} == {
        name: set(keys) for name, keys in KEYS.items()
    }


@pytest.mark.parametrize(
    "text",
    [
        'unit = "inch"',
        'units = "feet"',
        "budget = [1, 2, 3]",
        "[store]\nrough = 'yes'",
        "[store]\nfree_cuts = -1",
        "[carry]\nlength = 'long'",
        "[[shop.saws]]\nname = 'no kind'",
        "[shop]\nsmallest_offcut = ['12in']",
        "[[openings]]\ngroup = 'Door'\nfree_area = '40 sq in'",
        "[[openings]]\ngroup = 'Door'\nfree_area = '40'\ngrille = 'open'",
    ],
)
def test_the_schema_of_jobs_refuses(text: str):
    assert not schema("job.schema.json").is_valid(tomllib.loads(text))
