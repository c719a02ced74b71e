"""What the store may cut and what the car must take."""

from __future__ import annotations

from dataclasses import replace

from bench_plan import BOARD, CLEAT, EIGHTH, JOB, OWN_SHEET, SHEET, blank, told
from handmade import REST, crosscut, finish, grow, part

from cutopt.model.job import (
    Carry,
    Grain,
    Job,
    PlanWarning,
    Shop,
    Store,
)
from cutopt.model.plan import (
    STORE_SAW,
)
from cutopt.units import Ticks, Units, inches


def halves(
    store: Store, carry: Carry | None = None, *, text: str = "", about: str = "carry"
) -> str:
    """The store parts a sheet into two equal doors, which keep its edge."""
    door = blank("P1", "Door", 2, (SHEET.length - EIGHTH) // 2, SHEET.width)
    job = Job("Doors", Units.INCH, (door,), (SHEET,), Shop(EIGHTH), store, carry)
    spec = crosscut(door.length, part("P1", 1), part("P1", 2), STORE_SAW)
    warnings = (PlanWarning(about, text),) if text else ()
    return told(finish(job, [grow(job, SHEET, spec)], warnings=warnings))


def test_a_part_may_keep_the_store_s_edge_unless_it_is_rough():
    assert halves(Store(EIGHTH)) == ""
    for allowance in (Ticks(0), EIGHTH):
        rough = halves(Store(EIGHTH, rough=True, allowance=allowance))
        assert 'Door, 1 of 2 has an edge 0" from one sawn at the store' in rough
        assert 'Door, 2 of 2 has an edge 0" from one sawn at the store' in rough


def test_a_part_that_keeps_an_edge_from_a_store_that_is_not_accurate_needs_a_warning():
    store = Store(EIGHTH, accuracy=EIGHTH)
    assert halves(store).count("keeps an edge sawn at the store, and no warning says so") == 2
    assert halves(store, text="Door: 2 ends are true within 1/8 in only", about="store") == ""


def test_what_does_not_fit_the_car_needs_a_warning_that_names_it():
    small = Carry(length=inches(40))
    assert halves(Store(EIGHTH), Carry(inches(48), inches(48))) == ""
    assert halves(Store(EIGHTH), small).count("does not fit the car") == 2
    assert halves(Store(EIGHTH), small, text="have S1 delivered") == ""
    assert halves(Store(EIGHTH), small, text="have S2 delivered") != ""


def test_your_own_sheet_and_waste_need_not_fit_the_car():
    panel = blank("P1", "Panel", 1, inches(40), inches(48))
    own = replace(OWN_SHEET, grain=Grain.NONE)
    job = Job("Panel", Units.INCH, (panel,), (own,), Shop(EIGHTH), carry=Carry(inches(24)))
    assert told(finish(job, [grow(job, own, crosscut(inches(40), part("P1"), REST))])) == ""
    shop = Shop(EIGHTH, smallest_offcut=(inches(90), inches(90)))
    job = replace(job, stock=(SHEET,), shop=shop, store=Store(EIGHTH), carry=Carry(inches(48)))
    spec = crosscut(inches(40), part("P1"), REST, STORE_SAW)
    assert told(finish(job, [grow(job, SHEET, spec)])) == ""


def test_the_store_crosscuts_a_board_for_the_car_where_it_cuts_boards():
    store = Store(EIGHTH, smallest_piece=inches(12), crosscuts_boards=True)
    job = replace(JOB, parts=(CLEAT,), store=store, carry=Carry(boards=inches(72)))
    inner = crosscut(inches(24), part("P4", 2), REST, "mitre saw")
    rest = crosscut(inches(24), part("P4", 3), REST, "mitre saw")
    cut = crosscut(inches(24), part("P4", 1), inner, "mitre saw")
    spec = crosscut(inches(60), cut, rest, STORE_SAW)
    assert told(finish(job, [grow(job, BOARD, spec, "L1")])) == ""
