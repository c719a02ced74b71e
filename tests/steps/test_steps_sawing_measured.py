"""A measured board sawn: parts where they may begin, leftovers that say where they are bad."""

from __future__ import annotations

from dataclasses import replace
from random import Random

import pytest

from cutopt.check.replay import check_plan
from cutopt.model.job import Grain, Job, Kind, Material, Part, Saw, SawKind, Shop, Stock
from cutopt.model.plan import Offcut, PartPiece, Plan, StockPiece, walk
from cutopt.pipeline import make_plan
from cutopt.solve.params import Search, Unwatched
from cutopt.steps.boards import board_sections
from cutopt.steps.buy import buy_list
from cutopt.steps.labels import offcut_labels
from cutopt.units import Ticks, Units, inches

PINE = Material("pine", Kind.BOARD, inches(0, 3, 4), "1x4")
WIDE = inches(3, 1, 2)
MITRE = Saw("mitre saw", SawKind.MITRE, inches(0, 3, 32), crosscut_capacity=inches(12))
NEW = Stock("pine 1x4 8 ft", PINE, inches(96), WIDE, 648, grain=Grain.LENGTH)


def part(number: int, length: Ticks, qty: int = 1, *, knots_ok: bool = False) -> Part:
    name = f"Part {number}"
    return Part(
        f"P{number}", name, qty, length, WIDE, PINE.thickness, length, WIDE, PINE, knots_ok=knots_ok
    )


def measured(name: str, length: Ticks, *bad: tuple[Ticks, Ticks], trim: int = 0) -> Stock:
    return replace(
        NEW, name=name, length=length, price_cents=0, available=1, owned=True, bad=bad,
        trim=Ticks(trim),
    )  # fmt: skip


def plan_of(parts: list[Part], *stock: Stock, saws: tuple[Saw, ...] = (MITRE,)) -> Plan:
    shop = Shop(inches(0, 1, 8), (inches(12), inches(3)), saws)
    return make_plan(
        Job("rack", Units.INCH, tuple(parts), (NEW, *stock), shop), Search(), Unwatched()
    )


def ends(piece: StockPiece) -> list[tuple[Ticks, Ticks]]:
    return [
        (placed.x, Ticks(placed.x + placed.node.length))
        for placed in walk(piece.layout)
        if isinstance(placed.node, PartPiece)
    ]


def test_the_first_mark_is_where_a_part_begins_behind_a_bad_span():
    board = measured("A", inches(60), (Ticks(0), inches(3)), (inches(33), inches(35)))
    plan = plan_of([part(1, inches(30)), part(2, inches(20))], board)
    (piece,) = plan.pieces
    assert ends(piece) == [(inches(3), inches(33)), (inches(35), inches(55))]
    (section,) = board_sections(plan)
    assert [(mark.at, mark.start) for mark in section.rows[0].marks] == [
        (inches(3), True),
        (inches(33), False),
        (inches(35), True),
        (inches(55), False),
    ]
    assert section.rows[0].mark == "A"
    assert [row.answer for row in buy_list(plan).cheaper] == [("No more boards needed.",)]


def test_a_bad_span_in_a_leftover_worth_keeping_is_told_from_its_own_left_end():
    board = measured("A", inches(90), (inches(60), inches(62)))
    plan = plan_of([part(1, inches(40))], board)
    (offcut,) = [p.node for p in walk(plan.pieces[0].layout) if isinstance(p.node, Offcut)]
    left = inches(40) + MITRE.kerf
    assert (offcut.length, offcut.label) == (
        inches(90) - left,
        'Keep L1-a, bad 19-29/32" to 21-29/32"',
    )
    (label,) = offcut_labels(plan)
    assert label.bad == ((inches(60) - left, inches(62) - left),)


def test_trimmed_ends_count_from_the_raw_end():
    board = measured("A", inches(60), (inches(20), inches(22)), trim=inches(1))
    plan = plan_of([part(1, inches(37)), part(2, inches(19))], board)
    assert ends(plan.pieces[0]) == [(inches(1), inches(20)), (inches(22), inches(59))]


def random_plan(random: Random) -> Plan:
    parts = [
        part(n, Ticks(random.randint(1000, 9000) * 30), random.randint(1, 2), knots_ok=bool(n % 2))
        for n in range(1, random.randint(2, 6))
    ]
    boards = []
    for name in "ABC"[: random.randint(1, 3)]:
        length = random.randint(15_000, 26_000) * 30
        at = sorted(random.sample(range(0, length, 7), 2 * random.randint(1, 3)))
        bad = [
            (Ticks(start), Ticks(min(end, start + random.choice([7, 500, 30_000]))))
            for start, end in zip(at[::2], at[1::2], strict=True)
        ]
        boards.append(measured(name, Ticks(length), *bad, trim=random.choice([0, 2000])))
    other = Saw("hand saw", SawKind.HAND, inches(0, 1, 16))
    saws = random.choice([(), (MITRE,), (MITRE, other), (other,)])
    return plan_of(parts, *boards, saws=saws)


@pytest.mark.parametrize("seed", range(12))
def test_random_measured_boards_can_be_sawn(seed: int):
    assert check_plan(random_plan(Random(seed))) == ()


def test_wider_boards_with_bad_spans_are_left_alone_where_strips_are_ripped():
    narrow = part(1, inches(20))
    narrow = replace(narrow, width=inches(1), blank_width=inches(1))
    rippable = replace(NEW, rip=True)
    board = replace(measured("A", inches(60), (inches(20), inches(22))), rip=True)
    job = Job("rack", Units.INCH, (narrow,), (rippable, board), Shop())
    plan = make_plan(job, Search(), Unwatched())
    assert [piece.stock.name for piece in plan.pieces] == [NEW.name]
