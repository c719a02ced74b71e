"""The check is tested first: good plans pass, and every way of spoiling one is caught."""

from __future__ import annotations

from dataclasses import replace

import pytest
from bench_plan import (
    BOARD,
    EIGHTH,
    JOB,
    PINE,
    SHEET,
    bench,
    blank,
    boards,
    change,
    sheet_cuts,
    told,
    with_job,
    with_result,
)
from handmade import REST, Spec, crosscut, finish, grow, part, rip
from hypothesis import given, settings
from spoiled_plans import SPOILED
from strategies import plans

from cutopt.model.job import (
    Job,
    Shop,
)
from cutopt.model.plan import (
    Measure,
    Plan,
)
from cutopt.units import Ticks, Units, inches, millimetres


def test_a_plan_that_can_be_sawn_has_no_fault():
    assert told(bench()) == ""


def test_one_piece_a_part_and_no_cut_is_a_plan():
    door = blank("P1", "Door", 1, SHEET.length, SHEET.width)
    job = Job("Door", Units.INCH, (door,), (SHEET,))
    assert told(finish(job, [grow(job, SHEET, part("P1"))])) == ""


def test_unpriced_material_is_planned_by_amount():
    sheet = replace(SHEET, price_cents=None)
    board = replace(BOARD, price_cents=None)
    job = replace(JOB, stock=(sheet, board))
    pieces = [grow(job, sheet, sheet_cuts(), "S1")]
    pieces += [replace(boards(job), stock=board)]
    plan = finish(job, pieces)
    assert [result.measure for result in plan.materials] == [Measure.AREA, Measure.LENGTH]
    assert told(plan) == ""
    assert "is planned by price, it should be by area" in told(
        with_result(plan, measure=Measure.PRICE, cost=0, lower_bound=0)
    )


@settings(max_examples=80)
@given(plans())
def test_random_cuts_that_can_be_made_have_no_fault(plan: Plan):
    assert told(plan) == ""


# Common shop arithmetic, no published source: n parts side by side use n - 1 kerfs, so four
# equal rips of a 48 in sheet with a 1/8 in blade are (48 - 3/8) / 4 = 11-29/32 in each.


def rips_of_four(width: int) -> Plan:
    strip = blank("P1", "Strip", 4, SHEET.length, width)
    job = Job("Strips", Units.INCH, (strip,), (SHEET,), Shop(EIGHTH))
    spec: Spec = part("P1", 4)
    for copy in (3, 2, 1):
        spec = rip(width, part("P1", copy), spec)
    return finish(job, [grow(job, SHEET, spec)])


def test_four_equal_rips_of_a_four_foot_sheet_are_eleven_and_29_32():
    assert told(rips_of_four(inches(11, 29, 32))) == ""
    assert "Strip, 4 of 4 is cut" in told(rips_of_four(inches(11, 29, 32) + 1))


def sticks(count: int, kerf: int) -> Plan:
    stick = blank("P1", "Stick", count, inches(24), BOARD.width, material=PINE)
    job = Job("Sticks", Units.INCH, (stick,), (BOARD,), Shop(Ticks(kerf)))
    spec: Spec = part("P1", count) if count == 4 else REST
    for copy in range(min(count, 3), 0, -1):
        spec = crosscut(inches(24), part("P1", copy), spec)
    return finish(job, [grow(job, BOARD, spec, "L1")])


def test_an_eight_foot_board_gives_four_two_foot_sticks_only_to_a_blade_of_no_kerf():
    assert told(sticks(3, EIGHTH)) == ""
    assert told(sticks(4, 0)) == ""
    assert "Stick, 4 of 4 is cut" in told(sticks(4, EIGHTH))
    # The same plan with sizes that pretend: the replay tells the cut that cannot give them.
    pretended = replace(sticks(4, 0), job=sticks(4, EIGHTH).job)
    assert told(pretended).count("but the kerf of the saws at the shop is 1/8") == 3


@pytest.mark.parametrize("way", SPOILED)
def test_a_spoiled_plan_is_caught(way: str):
    spoil, fault = SPOILED[way]
    spoiled = spoil(bench())
    assert spoiled != bench()
    assert fault in told(spoiled)


def test_a_millimetre_job_is_told_in_millimetres():
    plan = change(with_job(bench(), units=Units.MM), 1, "", at=millimetres(600))
    assert "should measure 600 mm x 88.9 mm, the plan says 609.6 mm x 88.9 mm" in told(plan)
