"""Which saw can make which cut."""

from __future__ import annotations

from bench_plan import EIGHTH, SHEET, blank, told
from handmade import REST, finish, grow, part, rip

from cutopt.model.job import (
    Job,
    PlanWarning,
    Saw,
    SawKind,
    Shop,
)
from cutopt.units import Units, inches


def one_rip(measure: int, saw: str, *saws: Saw, wanted: bool = True, about: str = "") -> str:
    """Rip one part from a sheet 48 in wide; ``wanted``: the first side is the part."""
    part_width = measure if wanted else SHEET.width - measure - EIGHTH
    strip = blank("P1", "Strip", 1, SHEET.length, part_width)
    job = Job("Strip", Units.INCH, (strip,), (SHEET,), Shop(EIGHTH, saws=saws))
    spec = rip(measure, part("P1"), REST, saw) if wanted else rip(measure, REST, part("P1"), saw)
    warnings = (PlanWarning("saw", about),) if about else ()
    return told(finish(job, [grow(job, SHEET, spec)], warnings=warnings))


FENCE = Saw("table saw", SawKind.TABLE, EIGHTH, rip_capacity=inches(24))
GUIDED = Saw("track saw", SawKind.TRACK, EIGHTH, cut_length=inches(50))
FRET = Saw("jigsaw", SawKind.JIGSAW, EIGHTH)
CANNOT = "S1, cut 1: the table saw cannot make this rip"


def test_a_table_saw_takes_what_lies_between_half_an_inch_and_the_fence_s_reach():
    assert one_rip(inches(24), "table saw", FENCE) == ""
    assert CANNOT in one_rip(inches(24) + 1, "table saw", FENCE)
    assert one_rip(inches(0, 1, 2), "table saw", FENCE) == ""
    assert CANNOT in one_rip(inches(0, 1, 2) - 1, "table saw", FENCE)


def test_a_fence_is_set_on_the_side_that_holds_a_part():
    assert CANNOT in one_rip(inches(12), "table saw", FENCE, wanted=False)
    assert one_rip(inches(24), "table saw", FENCE, wanted=False) == ""


def test_a_fence_is_set_on_either_side_where_neither_holds_a_part():
    """The last cut frees an offcut from a strip; nothing on it is wanted any more."""
    strip = blank("P1", "Strip", 1, SHEET.length, inches(10))
    job = Job("Strip", Units.INCH, (strip,), (SHEET,), Shop(EIGHTH, saws=(FENCE,)))
    rest = rip(inches(20), REST, REST, "table saw")
    plan = finish(job, [grow(job, SHEET, rip(inches(10), part("P1"), rest, "table saw"))])
    assert told(plan) == ""


def test_a_jigsaw_makes_a_straight_cut_only_where_no_better_saw_can():
    assert "but the table saw can make it" in one_rip(inches(20), "jigsaw", FENCE, FRET)
    assert one_rip(inches(40), "jigsaw", FENCE, GUIDED, FRET, wanted=False) != ""
    assert one_rip(inches(30), "jigsaw", FENCE, GUIDED, FRET) == ""


def test_a_cut_no_saw_can_make_is_left_to_any_saw_with_a_warning_that_names_it():
    unsaid = one_rip(inches(30), "any", FENCE, GUIDED)
    assert "S1, cut 1: no saw at home can make it, and no warning says so" in unsaid
    assert unsaid == one_rip(inches(30), "any", FENCE, GUIDED, about="cut 1 of S11: no saw")
    assert unsaid == one_rip(inches(30), "any", FENCE, GUIDED, about="cut 2 of S1: no saw")
    assert one_rip(inches(30), "any", FENCE, GUIDED, about="cut 1 of S1: no saw") == ""
    assert "but the jigsaw can make it" in one_rip(inches(30), "any", FENCE, GUIDED, FRET)


def test_a_panel_saw_and_saws_without_limits_make_every_cut():
    for kind in SawKind:
        if kind is not SawKind.TABLE:
            assert one_rip(inches(30), "my saw", Saw("my saw", kind, EIGHTH)) == ""
