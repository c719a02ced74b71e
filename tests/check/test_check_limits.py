"""Limits of the store, the saws, the trim and the stock are kept when they are just met."""

from __future__ import annotations

from dataclasses import replace

from bench_plan import (
    BOARD,
    EIGHTH,
    MITRE,
    OWN_SHEET,
    PLY,
    SHEET,
    TABLE,
    TRACK,
    bench,
    blank,
    told,
    with_result,
    with_stock,
    with_store,
)
from handmade import REST, crosscut, finish, grow, part, rip
from spoiled_plans import with_saws

from cutopt.model.job import (
    Edge,
    Job,
    Kind,
    Shop,
)
from cutopt.model.plan import (
    Measure,
)
from cutopt.units import Units, inches, millimetres


def test_a_store_makes_its_most_cuts_and_its_smallest_piece():
    least = inches(48) - inches(25) - EIGHTH
    assert told(with_store(bench(), most_cuts=2, smallest_piece=least)) == ""
    assert "the store cuts nothing under" in told(with_store(bench(), smallest_piece=least + 1))


def test_a_saw_reaches_as_far_as_it_says():
    mitre = replace(MITRE, crosscut_capacity=inches(10))
    track = replace(TRACK, cut_length=inches(48))
    assert told(with_saws(bench(), TABLE, mitre, track)) == ""
    short = replace(mitre, crosscut_capacity=inches(10) - 1)
    assert "the mitre saw cannot make" in told(with_saws(bench(), TABLE, short, track))


def test_a_sheet_is_trimmed_all_round_and_a_board_at_its_ends():
    trim = inches(0, 1, 2)
    for stock in (replace(SHEET, trim=trim), replace(BOARD, trim=trim)):
        board = stock is not SHEET and stock.kind is Kind.BOARD
        width = stock.width if board else stock.width - 2 * trim
        panel = blank("P1", "Panel", 1, stock.length - 2 * trim, width, material=stock.material)
        job = Job("Panel", Units.INCH, (panel,), (stock,), Shop(EIGHTH))
        middle = crosscut(panel.length, part("P1"), REST)
        if not board:
            middle = rip(trim - EIGHTH, REST, rip(panel.width, middle, REST))
        spec = crosscut(trim - EIGHTH, REST, middle)
        assert told(finish(job, [grow(job, stock, spec)])) == ""
    unripped = crosscut(trim - EIGHTH, REST, crosscut(inches(95), part("P1"), REST))
    whole_width = replace(panel, blank_width=SHEET.width, width=SHEET.width, material=PLY)
    job = Job("Panel", Units.INCH, (whole_width,), (replace(SHEET, trim=trim),), Shop(EIGHTH))
    plan = finish(job, [grow(job, job.stock[0], unripped)])
    assert 'S1: Panel, 1 of 1 lies 0" from a raw edge' in told(plan)


def test_a_blank_is_the_finished_size_less_bands_plus_what_is_left_for_fitting():
    stock = replace(SHEET, band=millimetres(2))
    door = blank("P1", "Door", 1, millimetres(600), millimetres(300))
    door = replace(
        door,
        band=tuple(Edge),
        extra_width=millimetres(10),
        blank_length=millimetres(600 - 2 - 2),
        blank_width=millimetres(300 - 2 - 2 + 10),
    )
    job = Job("Door", Units.MM, (door,), (stock,), Shop(EIGHTH))
    spec = rip(door.blank_width, crosscut(door.blank_length, part("P1"), REST), REST)
    assert told(finish(job, [grow(job, stock, spec)])) == ""


def test_owned_stock_is_there_once_unless_it_says_how_often():
    own = replace(OWN_SHEET, available=None)
    top = blank("P1", "Top", 2, own.length, own.width)
    job = Job("Tops", Units.INCH, (top,), (own,))
    plan = finish(job, [grow(job, own, part("P1", n), f"S{n}") for n in (1, 2)])
    assert "birch, half: 2 are cut, there are 1" in told(plan)
    assert told(with_stock(plan, own, available=2)) == ""


def test_what_is_only_owned_may_be_counted_by_price_or_amount():
    board = replace(BOARD, price_cents=None)
    top = blank("P1", "Top", 1, OWN_SHEET.length, OWN_SHEET.width)
    job = Job("Top", Units.INCH, (top,), (OWN_SHEET, board))
    plan = finish(job, [grow(job, OWN_SHEET, part("P1"))])
    assert told(plan) == ""
    assert told(with_result(plan, measure=Measure.AREA)) == ""
    assert "should be by price" in told(with_result(plan, measure=Measure.LENGTH))
