"""Reading plan.json: the very plan again, or every fault with its path."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from handmade import REST, crosscut, finish, grow, part
from hypothesis import given, settings
from strategies import jobs, plans

from cutopt.errors import InputError
from cutopt.model.job import Job, Kind, Material, Part, Saw, SawKind, Shop, Stock
from cutopt.model.plan import Plan, Settings, Totals
from cutopt.read.plan_json import read_plan
from cutopt.units import Units, inches
from cutopt.write.plan_json import plan_to_json

PINE = Material("pine", Kind.BOARD, inches(0, 3, 4), "1x4")
BOARD = Stock("pine 1x4 8 ft", PINE, inches(96), inches(3, 1, 2), 648)
CLEAT = Part(
    "P1", "Cleat", 2, inches(14), BOARD.width, PINE.thickness, inches(14), BOARD.width, PINE
)
JOB = Job(
    "Potting bench",
    Units.INCH,
    (CLEAT,),
    (BOARD,),
    Shop(saws=(Saw("mitre saw", SawKind.MITRE, inches(0, 1, 8), None, inches(12)),)),
)


def good_plan() -> Plan:
    spec = crosscut(
        inches(14),
        part("P1", 1),
        crosscut(inches(14), part("P1", 2), REST, "mitre saw"),
        "mitre saw",
    )
    return finish(JOB, [grow(JOB, BOARD, spec, "L1")])


def written(tmp_path: Path, text: str) -> Path:
    path = tmp_path / "plan.json"
    path.write_text(text, encoding="utf-8")
    return path


def faults_of(tmp_path: Path, data: object) -> list[str]:
    with pytest.raises(InputError) as caught:
        read_plan(written(tmp_path, json.dumps(data)))
    return [fault.text for fault in caught.value.faults]


def test_a_plan_comes_back_as_it_was_written(tmp_path: Path):
    assert read_plan(written(tmp_path, plan_to_json(good_plan()))) == good_plan()


@settings(max_examples=60)
@given(plans())
def test_every_plan_comes_back_as_it_was_written(tmp_path: Path, plan: Plan):
    assert read_plan(written(tmp_path, plan_to_json(plan))) == plan


@settings(max_examples=60)
@given(jobs())
def test_every_field_of_a_job_comes_back(tmp_path: Path, job: Job):
    plan = Plan(job, Settings(), (), (), Totals(0, 0, 0, False, 0, 0))
    assert read_plan(written(tmp_path, plan_to_json(plan))) == plan


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("", "is not JSON: Expecting value at line 1, column 1"),
        ('{"format": "cutopt-plan",\n}', "line 2, column 1"),
        ("[1, 2]", 'is not a plan: no "format": "cutopt-plan"'),
        ('{"format": "other"}', 'is not a plan: no "format": "cutopt-plan"'),
        ('{"format": "cutopt-plan", "version": 2}', "is a plan of version 2, this program reads 1"),
        ('{"format": "cutopt-plan", "format": "x"}', "the key 'format' stands twice"),
        ('{"format": NaN}', "NaN is not a number"),
        ('{"layout": ' + '{"first": ' * 100_000, "is nested too deeply"),
        ("1" * 5000, "is not JSON"),
    ],
)
def test_what_is_no_plan_is_refused(tmp_path: Path, text: str, told: str):
    with pytest.raises(InputError) as caught:
        read_plan(written(tmp_path, text))
    (fault,) = caught.value.faults
    assert fault.file == "plan.json"
    assert told in fault.text


def test_a_file_that_is_not_there_or_not_text_is_refused(tmp_path: Path):
    with pytest.raises(InputError, match=r"plan.json: cannot be read"):
        read_plan(tmp_path / "plan.json")
    (tmp_path / "plan.json").write_bytes(b'{"format": "\xff"}')
    with pytest.raises(InputError, match="is not a text in UTF-8"):
        read_plan(tmp_path / "plan.json")


def change(path: str, value: object) -> dict[str, object]:
    """Give the good plan's data with one value changed; DROP takes the key out."""
    data = json.loads(plan_to_json(good_plan()))
    here = data
    *before, last = [int(key) if key.isdigit() else key for key in path.split(".")]
    for key in before:
        here = here[key]
    if value is DROP:
        del here[last]
    else:
        here[last] = value
    return data


DROP = object()


@pytest.mark.parametrize(
    ("path", "value", "told"),
    [
        ("job.units", "feet", "job.units: should be one of inch, mm"),
        ("job.unit", "inch", "job: has an unknown key 'unit'"),
        ("job.budget", [1.0], "job.budget: should be a list of two"),
        ("job.budget", [0, 1.005], "job.budget[1]: should be an amount in whole cents"),
        ("job.name", 7, "job.name: should be a text"),
        ("job.name", "\ud800", "job.name: should be a text"),
        ("shop", None, "shop: should be an object"),
        ("shop.saws.0.kind", "axe", "shop.saws[0].kind: should be one of table saw, mitre saw"),
        ("shop.saws.0.kerf", -1, "shop.saws[0].kerf: should be a number from 0 on"),
        ("shop.saws.0.kerf", True, "shop.saws[0].kerf: should be a number from 0 on"),
        ("parts.0.qty", 0, "parts[0].qty: should be a whole number from 1 on"),
        ("parts.0.qty", 2.0, "parts[0].qty: should be a whole number from 1 on"),
        ("parts.0.last", "no", "parts[0].last: should be true or false"),
        ("parts.0.blank_length", DROP, "parts[0].blank_length: is missing"),
        ("parts.0.length", 355.601, "parts[0].length: should be millimetres up to 100 m"),
        ("parts.0.length", 1e12, "parts[0].length: should be millimetres up to 100 m"),
        ("parts", {}, "parts: should be a list"),
        ("stock.0.bad", [[3.2, 6.4], [6.4, 9.6]], "stock[0].bad[1]: should be from-to, after the"),
        ("stock.0.bad", [[0, 99999]], "stock[0].bad[0]: should be from-to, after the one before"),
        ("stock.0.bad", [[6.4, 3.2]], "stock[0].bad[0]: should be from-to, after the one before"),
        ("stock.0.bad", [[6.4]], "stock[0].bad[0]: should be a list of two"),
        ("pieces.0.stock", "oak", "pieces[0].stock: should be the name of one row"),
        ("pieces.0.price", 6.5, "pieces[0].price: does not agree with pine 1x4 8 ft"),
        ("pieces.0.layout.second.by", "me", "pieces[0].layout.second.by: should be one of store"),
        ("pieces.0.layout.first.kind", "bit", "pieces[0].layout.first.kind: should be one of cut"),
        ("pieces.0.layout.first.part", DROP, "pieces[0].layout.first.part: is missing"),
        ("materials.0.cost", 6.0, "materials[0].cost: does not agree with exact.cost"),
        ("materials.0.proven", False, "materials[0].proven: does not agree with cost and bound"),
        ("materials.0.shares.kerf", 1.2, "materials[0].shares.kerf: should be a share"),
        ("totals.grand_total", 9.0, "totals.grand_total: does not agree with stock"),
        ("totals.stock", 10**30, "totals.stock: should be a number from 0 on"),
    ],
)
def test_a_fault_is_told_once_with_its_path(tmp_path: Path, path: str, value: object, told: str):
    faults = faults_of(tmp_path, change(path, value))
    assert [fault for fault in faults if told in fault]
    assert len([fault for fault in faults if fault.startswith(told.split(":", maxsplit=1)[0])]) == 1


def test_all_faults_are_told_at_once(tmp_path: Path):
    data = change("job.units", "feet")
    del data["extras"]
    data["pieces"][0]["layout"]["step"] = "1"
    assert len(faults_of(tmp_path, data)) == 3


def test_a_near_miss_of_a_key_is_named(tmp_path: Path):
    data = change("totals.store_fees", DROP)
    data["totals"]["store_fee"] = 0
    with pytest.raises(InputError, match="did you mean 'store_fees'"):
        read_plan(written(tmp_path, json.dumps(data)))


def test_numbers_beyond_reason_do_not_hang_the_reader(tmp_path: Path):
    text = plan_to_json(good_plan()).replace('"version": 1', '"version": 1, "x": 1e99999999')
    with pytest.raises(InputError, match="unknown key 'x'"):
        read_plan(written(tmp_path, text))
    text = plan_to_json(good_plan()).replace('"stock": 6.48', '"stock": 1e99999999')
    with pytest.raises(InputError, match=r"totals\.stock: should be a number"):
        read_plan(written(tmp_path, text))


def test_a_tree_deeper_than_any_board_is_cut_is_refused(tmp_path: Path):
    waste = '{"kind": "waste", "length": 1, "width": 1}'
    opening = (
        '{"kind": "cut", "length": 1, "width": 1, "direction": "rip", "at": 0, "kerf": 1, '
        '"by": "shop", "saw": "any", "step": 1, "second": null, "first": '
    )
    data = json.loads(plan_to_json(good_plan()))
    data["pieces"][0]["layout"] = "HERE"
    text = json.dumps(data).replace('"HERE"', opening * 900 + waste + "}" * 900)
    with pytest.raises(InputError, match="is nested too deeply"):
        read_plan(written(tmp_path, text))
