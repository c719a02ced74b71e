"""What a cut leaves: sizes, and a blade that runs off an edge."""

from __future__ import annotations

from dataclasses import replace

from bench_plan import BOARD, EIGHTH, PINE, SHEET, blank, told
from handmade import REST, Spec, crosscut, finish, grow, part, rip

from cutopt.model.job import (
    Job,
    Shop,
)
from cutopt.model.plan import (
    Waste,
    walk,
)
from cutopt.units import Units, inches


def trimmed(spec: Spec) -> str:
    strip = blank("P1", "Strip", 1, SHEET.length, inches(47))
    job = Job("Strip", Units.INCH, (strip,), (SHEET,), Shop(EIGHTH))
    return told(finish(job, [grow(job, SHEET, spec)]))


def test_a_blade_may_run_off_an_edge_and_remove_less_than_its_kerf():
    less = inches(0, 1, 16)
    rest = rip(inches(47), part("P1"), REST)
    assert trimmed(rip(0, REST, rest, kerf=less)) == ""
    assert "removes 3/16" in trimmed(rip(0, REST, rest, kerf=inches(0, 3, 16)))
    assert "removes 1/16" in trimmed(rip(inches(47), part("P1"), REST, kerf=less))


def test_a_cut_takes_something_off_and_leaves_something():
    assert "S1, cut 1 takes nothing off" in trimmed(rip(0, REST, part("P1"), kerf=0))
    job = Job("Sliver", Units.INCH, (), (replace(SHEET, width=EIGHTH),), Shop(EIGHTH))
    sawdust = finish(job, [grow(job, job.stock[0], rip(0, REST, REST))])
    assert "S1, cut 1 leaves nothing but sawdust" in told(sawdust)


def test_a_part_as_long_as_the_board_needs_no_cut_and_one_kerf_shorter_leaves_no_waste():
    for length in (BOARD.length, BOARD.length - EIGHTH):
        rail = blank("P1", "Rail", 1, length, BOARD.width, material=PINE)
        job = Job("Rail", Units.INCH, (rail,), (BOARD,), Shop(EIGHTH))
        whole = length == BOARD.length
        spec = part("P1") if whole else crosscut(length, part("P1"), REST)
        plan = finish(job, [grow(job, BOARD, spec, "L1")])
        assert told(plan) == ""
        assert not any(isinstance(placed.node, Waste) for placed in walk(plan.pieces[0].layout))
