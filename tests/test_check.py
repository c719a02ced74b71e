"""The check is tested first: good plans pass, and every way of spoiling one is caught."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from itertools import combinations

import pytest
from handmade import REST, Spec, crosscut, finish, grow, part, rip
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely.geometry import box
from strategies import plans

from cutopt.check.replay import check_plan
from cutopt.model.job import (
    Budget,
    Carry,
    Edge,
    Extra,
    Grain,
    Job,
    Kind,
    Material,
    Pack,
    Part,
    PlanWarning,
    Saw,
    SawKind,
    Shop,
    Stock,
    Store,
)
from cutopt.model.layout import Direction
from cutopt.model.plan import (
    STORE_SAW,
    Cut,
    Maker,
    Measure,
    Node,
    Offcut,
    PartPiece,
    Plan,
    StockPiece,
    Waste,
    walk,
)
from cutopt.units import Ticks, Units, inches, millimetres

# --- an invented job: a potting bench of plywood and pine ------------------------------------

EIGHTH, QUARTER = inches(0, 1, 8), inches(0, 1, 4)
THIN = inches(0, 3, 32)
PLY = Material("birch ply", Kind.SHEET, inches(0, 3, 4))
PINE = Material("pine", Kind.BOARD, inches(0, 3, 4), "1x4")
SHEET = Stock("birch 8x4", PLY, inches(96), inches(48), 6200, grain=Grain.LENGTH)
OWN_SHEET = Stock("birch, half", PLY, inches(48), inches(48), 0, 1, owned=True, grain=Grain.LENGTH)
BOARD = Stock("pine 1x4 8 ft", PINE, inches(96), inches(3, 1, 2), 648, grain=Grain.LENGTH)


def blank(part_id: str, name: str, qty: int, length: int, width: int, **more: object) -> Part:
    size = (Ticks(length), Ticks(width))
    material = more.pop("material", PLY)
    return Part(part_id, name, qty, *size, material.thickness, *size, material, **more)


SHELF = blank("P1", "Shelf", 2, inches(39, 1, 2), inches(9), grain=Grain.LENGTH)
BACK = blank("P2", "Back", 1, inches(39, 1, 2), inches(24))
TRAY = blank("P3", "Tray", 1, inches(10), inches(14), grain=Grain.WIDTH)
CLEAT = blank("P4", "Cleat", 3, inches(24), inches(3, 1, 2), material=PINE)
TABLE = Saw("table saw", SawKind.TABLE, THIN, rip_capacity=inches(30))
MITRE = Saw("mitre saw", SawKind.MITRE, EIGHTH, crosscut_capacity=inches(12))
TRACK = Saw("track saw", SawKind.TRACK, inches(0, 1, 16), cut_length=inches(55))
JIGSAW = Saw("jigsaw", SawKind.JIGSAW, inches(0, 1, 16))
STORE = Store(
    EIGHTH,
    accuracy=EIGHTH,
    free_cuts=1,
    fee_per_cut_cents=50,
    most_cuts=4,
    smallest_piece=inches(12),
    rough=True,
    allowance=QUARTER,
)
JOB = Job(
    "Potting bench",
    Units.INCH,
    (SHELF, BACK, TRAY, CLEAT),
    (SHEET, OWN_SHEET, BOARD),
    Shop(EIGHTH, saws=(TABLE, MITRE, TRACK)),
    STORE,
    Carry(inches(72), inches(48), inches(96)),
    Budget(0, 18000),
)


def boards(job: Job) -> StockPiece:
    """Three cleats from one board, the rest kept."""
    rest = crosscut(inches(24), part("P4", 3), REST, "mitre saw")
    rest = crosscut(inches(24), part("P4", 2), rest, "mitre saw")
    return grow(job, BOARD, crosscut(inches(24), part("P4", 1), rest, "mitre saw"), "L1")


def sheet_cuts() -> Spec:
    """The store halves the sheet and rips one half; at home its rough edges come off first.

    The tray's grain runs across it, so it lies turned: 14 in along the sheet.
    """
    back = rip(inches(24), part("P2"), REST, "table saw")
    near_strip = crosscut(inches(39, 1, 2), back, REST, "track saw")
    shelves = rip(
        inches(9), part("P1", 1), rip(inches(9), part("P1", 2), REST, "table saw"), "table saw"
    )
    edge_off = rip(QUARTER - THIN, REST, shelves, "table saw")
    far_strip = crosscut(inches(39, 1, 2), edge_off, REST, "track saw")
    tray = crosscut(inches(14), part("P3", turned=True), REST, "mitre saw")
    right_half = crosscut(
        QUARTER - TRACK.kerf, REST, rip(inches(10), tray, REST, "table saw"), "track saw"
    )
    left_half = rip(inches(25), near_strip, far_strip, STORE_SAW)
    return crosscut(inches(40), left_half, right_half, STORE_SAW)


def bench(job: Job = JOB) -> Plan:
    return finish(job, [grow(job, SHEET, sheet_cuts(), "S1"), boards(job)], bounds={PINE: 500})


def told(plan: Plan) -> str:
    """Give everything the check says, a line a fault."""
    return "\n".join(str(fault) for fault in check_plan(plan))


def at(plan: Plan, piece: int, path: str) -> Node | None:
    node: Node | None = plan.pieces[piece].layout
    for side in path.split():
        node = getattr(node, side)
    return node


def put(plan: Plan, piece: int, path: str, node: Node | None) -> Plan:
    """Give the plan with one node replaced."""

    def rebuilt(here: Node, sides: list[str]) -> Node | None:
        if not sides:
            return node
        return replace(here, **{sides[0]: rebuilt(getattr(here, sides[0]), sides[1:])})

    spoiled = replace(plan.pieces[piece], layout=rebuilt(plan.pieces[piece].layout, path.split()))
    pieces = [*plan.pieces]
    pieces[piece] = spoiled
    return replace(plan, pieces=tuple(pieces))


def change(plan: Plan, piece: int, path: str, **changes: object) -> Plan:
    return put(plan, piece, path, replace(at(plan, piece, path), **changes))


def swap(plan: Plan, piece: int, one: str, other: str) -> Plan:
    swapped = put(plan, piece, one, at(plan, piece, other))
    return put(swapped, piece, other, at(plan, piece, one))


def with_job(plan: Plan, **changes: object) -> Plan:
    return replace(plan, job=replace(plan.job, **changes))


def with_stock(plan: Plan, old: Stock, **changes: object) -> Plan:
    """Change a stock row everywhere it stands."""
    new = replace(old, **changes)
    rows = tuple(new if row == old else row for row in plan.job.stock)
    pieces = tuple(
        replace(piece, stock=new) if piece.stock == old else piece for piece in plan.pieces
    )
    return replace(with_job(plan, stock=rows), pieces=pieces)


def with_part(plan: Plan, old: Part, **changes: object) -> Plan:
    rows = tuple(replace(row, **changes) if row is old else row for row in plan.job.parts)
    return with_job(plan, parts=rows)


def with_store(plan: Plan, **changes: object) -> Plan:
    return with_job(plan, store=replace(plan.job.store, **changes))


def with_result(plan: Plan, **changes: object) -> Plan:
    """Change the result of the first material, plywood."""
    first, *rest = plan.materials
    return replace(plan, materials=(replace(first, **changes), *rest))


def with_totals(plan: Plan, **changes: object) -> Plan:
    return replace(plan, totals=replace(plan.totals, **changes))


# --- good plans ------------------------------------------------------------------------------


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


# --- against sums anybody can do -------------------------------------------------------------
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


# --- every way to spoil a plan ---------------------------------------------------------------

BACK_AT = "first first first first"
SHELF_AT = "first second first second first"
SHELF_2_AT = "first second first second second first"
KEPT_AT = "first second first second second second"
EDGE_OFF_AT = "first second first first"
TRAY_AT = "second second first first"

Spoil = Callable[[Plan], Plan]

SPOILED: dict[str, tuple[Spoil, str]] = {
    # sizes and kerfs
    "a cut moved by one tick": (
        lambda plan: change(plan, 1, "", at=inches(24) + 1),
        'what L1, cut 1 leaves should measure 24.0001" x 3-1/2", the plan says 24" x 3-1/2"',
    ),
    "a cut moved the other way, its sides with it": (
        lambda plan: put(plan, 1, "", crosscut_of(BOARD, inches(24) - 1, at(plan, 1, ""))),
        "L1: Cleat, 1 of 3 is cut 23.9999",
    ),
    "a part a tick too wide": (
        lambda plan: change(plan, 0, BACK_AT, width=inches(24) + 1),
        "what S1, cut 4 leaves should measure",
    ),
    "a leftover said larger than it is": (
        lambda plan: change(plan, 0, KEPT_AT, width=inches(5)),
        "what S1, cut 8 leaves should measure",
    ),
    "a layout smaller than its sheet": (
        lambda plan: with_stock(plan, SHEET, length=inches(97)),
        'S1 should measure 97" x 48", the plan says 96" x 48"',
    ),
    "a kerf thinner than the saw's": (
        lambda plan: change(plan, 1, "", kerf=THIN),
        'L1, cut 1 removes 3/32", but the kerf of the mitre saw is 1/8"',
    ),
    "a kerf wider than the saw's": (
        lambda plan: change(plan, 0, EDGE_OFF_AT.rsplit(" ", 1)[0], kerf=QUARTER),
        "but the kerf of the table saw is 3/32",
    ),
    "another blade in the saw": (
        lambda plan: with_job(
            plan, shop=replace(plan.job.shop, saws=(replace(TABLE, kerf=EIGHTH), MITRE, TRACK))
        ),
        'but the kerf of the table saw is 1/8"',
    ),
    "a cut beyond the piece": (
        lambda plan: change(plan, 1, "", at=inches(97)),
        "more than the piece's 96",
    ),
    "a side left out": (
        lambda plan: put(plan, 0, EDGE_OFF_AT, None),
        'S1, cut 6: a first side of 5/32" is said wrongly',
    ),
    "a side where the blade ran off": (
        lambda plan: change(plan, 1, "", at=0),
        'L1, cut 1: a first side of 0" is said wrongly',
    ),
    "a side that is not there": (
        lambda plan: put(plan, 1, "second second second", None),
        'L1, cut 3: a second side of 23-5/8" is said wrongly',
    ),
    "a piece of no size": (
        lambda plan: change(plan, 1, "first", length=0),
        "what L1, cut 1 leaves has a side of nothing",
    ),
    # steps
    "two steps swapped": (
        lambda plan: change(change(plan, 1, "", step=2), 1, "second", step=1),
        "L1, cut 1 is made in a piece that only cut 2 sets free",
    ),
    "a step missing": (
        lambda plan: change(plan, 1, "second second", step=4),
        "L1: its 3 cuts are not numbered 1 to 3",
    ),
    "a step twice": (
        lambda plan: change(plan, 1, "second second", step=2),
        "L1: its 3 cuts are not numbered 1 to 3",
    ),
    "a cut at home before the store's last": (
        lambda plan: change(change(plan, 0, "first", step=9), 0, "second", step=2),
        "S1, cut 2 is made at home before the store's cut 9",
    ),
    "a store cut inside a piece sawn at home": (
        lambda plan: change(plan, 0, "second second", by=Maker.STORE, saw=STORE_SAW),
        "is the store's, in a piece cut 9 makes at home",
    ),
    # parts
    "two parts swapped": (
        lambda plan: swap(plan, 0, BACK_AT, SHELF_AT),
        "what S1, cut 4 leaves should measure",
    ),
    "two parts' names swapped": (
        lambda plan: change(
            change(plan, 0, BACK_AT, part="P1", copy=1), 0, SHELF_AT, part="P2", copy=1
        ),
        'S1: Shelf, 1 of 2 is cut 39-1/2" x 24", its blank is 39-1/2" x 9"',
    ),
    "a part doubled": (
        lambda plan: change(plan, 0, SHELF_2_AT, copy=1),
        "Shelf, 1 of 2 is cut 2 times",
    ),
    "a part dropped": (
        lambda plan: put(plan, 0, SHELF_2_AT, Offcut(inches(39, 1, 2), inches(9), "S1-z")),
        "Shelf: of 2 wanted, number 2 is not cut",
    ),
    "one more wanted": (
        lambda plan: with_part(plan, SHELF, qty=3),
        "Shelf: of 3 wanted, number 3 is not cut",
    ),
    "one fewer wanted": (
        lambda plan: with_part(plan, SHELF, qty=1),
        "Shelf: 1 wanted, but a number 2 is cut",
    ),
    "a part nobody asked for": (
        lambda plan: change(plan, 0, BACK_AT, part="P9"),
        "S1 holds a part 'P9' the job has not",
    ),
    "two parts with one id": (
        lambda plan: with_part(plan, BACK, id="P1"),
        "two parts of the job have one id",
    ),
    "a blank that forgets a band": (
        lambda plan: with_stock(with_part(plan, BACK, band=(Edge.FRONT,)), SHEET, band=Ticks(320)),
        "Back: its blank should be",
    ),
    "a blank that forgets what is left for fitting": (
        lambda plan: with_part(plan, BACK, extra_length=Ticks(320)),
        "Back: its blank should be",
    ),
    "bands of two thicknesses on one material": (
        lambda plan: with_stock(
            with_stock(plan, SHEET, band=Ticks(320)), OWN_SHEET, band=Ticks(640)
        ),
        "birch ply: its stock names bands of several thicknesses",
    ),
    "the grain along that should go across": (
        lambda plan: with_part(plan, TRAY, grain=Grain.LENGTH),
        "S1: Tray, 1 of 1 lies with its grain the wrong way",
    ),
    "the grain across that should go along": (
        lambda plan: with_part(plan, SHELF, grain=Grain.WIDTH),
        "S1: Shelf, 1 of 2 lies with its grain the wrong way",
    ),
    "a turned part said not to be": (
        lambda plan: change(plan, 0, TRAY_AT, turned=False),
        'S1: Tray, 1 of 1 is cut 14" x 10", its blank is 10" x 14"',
    ),
    "a part from another material": (
        lambda plan: with_part(plan, BACK, material=PINE),
        "S1: Back, 1 of 1 is cut from birch 8x4, which is not its material",
    ),
    "a part on a raw edge that is to be trimmed": (
        lambda plan: with_stock(plan, SHEET, trim=Ticks(1)),
        'S1: Back, 1 of 1 lies 0" from a raw edge',
    ),
    "a board's end that is to be trimmed": (
        lambda plan: with_stock(plan, BOARD, trim=inches(1)),
        'L1: Cleat, 1 of 3 lies 0" from a raw edge, 1" is to be trimmed',
    ),
    # stock
    "more sheets than there are": (
        lambda plan: with_stock(plan, SHEET, available=0),
        "birch 8x4: 1 are cut, there are 0",
    ),
    "stock nobody sells": (
        lambda plan: with_job(plan, stock=(OWN_SHEET, BOARD)),
        "S1 is cut from birch 8x4, which the stock list has not got so",
    ),
    "stock at another price": (
        lambda plan: with_job(plan, stock=(replace(SHEET, price_cents=1), OWN_SHEET, BOARD)),
        "S1 is cut from birch 8x4, which the stock list has not got so",
    ),
    "two pieces with one name": (
        lambda plan: replace(plan, pieces=(*plan.pieces, plan.pieces[1])),
        "several pieces of stock are named L1",
    ),
    "two offcuts with one name": (
        lambda plan: change(plan, 0, KEPT_AT, id="L1-a"),
        "several offcuts are named L1-a",
    ),
    "a piece that makes no part": (
        lambda plan: replace(plan, pieces=(*plan.pieces, grow(JOB, SHEET, REST, "S2"))),
        "S2 holds no part",
    ),
    "an offcut called waste": (
        lambda plan: put(plan, 0, KEPT_AT, Waste(*size_of(at(plan, 0, KEPT_AT)))),
        "is worth keeping, not waste",
    ),
    "waste called an offcut": (
        lambda plan: put(plan, 0, EDGE_OFF_AT, Offcut(*size_of(at(plan, 0, EDGE_OFF_AT)), "S1-z")),
        "is waste, too small to keep",
    ),
    "another least size for offcuts": (
        lambda plan: with_job(
            plan, shop=replace(plan.job.shop, smallest_offcut=(inches(60), inches(40)))
        ),
        "is waste, too small to keep",
    ),
    "a board ripped that is not to be": (
        lambda plan: change(plan, 1, "second second", direction=Direction.RIP, at=inches(1)),
        "L1, cut 3 rips a board that is not to be ripped",
    ),
    # saws
    "a saw nobody has": (
        lambda plan: change(plan, 1, "", saw="radial saw"),
        "L1, cut 1: there is no shop saw named 'radial saw'",
    ),
    "the store's saw at home": (
        lambda plan: change(plan, 1, "", saw=STORE_SAW),
        "L1, cut 1: there is no shop saw named 'store saw'",
    ),
    "a saw from home at the store": (
        lambda plan: change(plan, 0, "", saw="track saw"),
        "S1, cut 1: there is no store saw named 'track saw'",
    ),
    "any saw where one is named": (
        lambda plan: change(plan, 1, "", saw="any"),
        "L1, cut 1 is left to any saw, but the table saw can make it",
    ),
    "a cut too long for the mitre saw": (
        lambda plan: change(plan, 0, "first first", saw="mitre saw", kerf=EIGHTH),
        'S1, cut 3: the mitre saw cannot make this crosscut 25" long',
    ),
    "a cut too long for the track saw": (
        lambda plan: with_saws(plan, TABLE, MITRE, replace(TRACK, cut_length=inches(24))),
        'S1, cut 3: the track saw cannot make this crosscut 25" long',
    ),
    "a rip too wide for the fence": (
        lambda plan: with_saws(plan, replace(TABLE, rip_capacity=inches(9) - 1), MITRE, TRACK),
        "S1, cut 8: the table saw cannot make this rip",
    ),
    # store
    "no store": (
        lambda plan: with_job(plan, store=None),
        "S1, cut 1: there is no store saw named 'store saw'",
    ),
    "a cut too many for the store": (
        lambda plan: with_store(plan, most_cuts=1),
        "S1: 2 cuts at the store, it makes 1 a piece",
    ),
    "a piece too small for the store": (
        lambda plan: with_store(plan, smallest_piece=inches(23)),
        'S1, cut 2 leaves a piece 40" x 22-7/8", the store cuts nothing under 23"',
    ),
    "your own sheet cut at the store": (
        lambda plan: with_stock(plan, SHEET, owned=True),
        "S1 is your own: the store cuts what it sold",
    ),
    "a board cut at a store that cuts none": (
        lambda plan: change(plan, 1, "", by=Maker.STORE, saw=STORE_SAW),
        "L1, cut 1: the store cuts no boards",
    ),
    "a board ripped at the store": (
        lambda plan: with_store(
            change(plan, 1, "", by=Maker.STORE, saw=STORE_SAW, direction=Direction.RIP),
            crosscuts_boards=True,
        ),
        "L1, cut 1: the store rips no boards",
    ),
    "a rough edge left": (
        lambda plan: with_store(plan, allowance=QUARTER + 1),
        'S1: Shelf, 1 of 2 has an edge 1/4" from one sawn at the store, 0.2501" is to come off',
    ),
    "a piece too large for the car": (
        lambda plan: with_job(plan, carry=Carry(width=inches(40))),
        'S1: a piece 55-7/8" x 48" leaves the store, does not fit the car, and no warning says so',
    ),
    "a board too long for the car": (
        lambda plan: with_job(plan, carry=Carry(boards=inches(72))),
        'L1: a piece 96" x 3-1/2" leaves the store',
    ),
    # money
    "a cost that is not the pieces' price": (
        lambda plan: with_result(plan, cost=6100, lower_bound=6100),
        "birch ply: its cost comes to 6200, the plan says 6100",
    ),
    "a bound over the cost": (
        lambda plan: with_result(plan, lower_bound=6300),
        "birch ply: it costs 6200, so it cannot cost at least 6300",
    ),
    "a bound under nothing": (
        lambda plan: with_result(plan, lower_bound=-1),
        "birch ply: it costs 6200, so it cannot cost at least -1",
    ),
    "a piece bought and not counted": (
        lambda plan: with_result(plan, bought=2),
        "1 bought and 0 of your own are cut, the plan says 2 and 0",
    ),
    "a piece owned and not counted": (
        lambda plan: with_result(plan, owned_used=1),
        "the plan says 1 and 1",
    ),
    "planned by area where there is a price": (
        lambda plan: with_result(plan, measure=Measure.AREA),
        "birch ply is planned by area, it should be by price",
    ),
    "a material without a result": (
        lambda plan: replace(plan, materials=plan.materials[1:]),
        "birch ply is cut, and has 0 results, not one",
    ),
    "a material with two results": (
        lambda plan: replace(plan, materials=(*plan.materials, plan.materials[0])),
        "birch ply is cut, and has 2 results, not one",
    ),
    "a result without its material": (
        lambda plan: with_result(plan, material=replace(PLY, name="oak")),
        "oak has a result, but none of it is cut",
    ),
    "shares that flatter": (
        lambda plan: with_result(plan, shares=moved_share(plan, 0.001)),
        "birch ply: parts are",
    ),
    "shares that do not add up": (
        lambda plan: with_result(plan, shares=replace(plan.materials[0].shares, kerf=0.000001)),
        "birch ply: its shares add to",
    ),
    "the stock's sum": (
        lambda plan: with_totals(plan, stock_cents=0),
        "all together: stock come to 6848, the plan says 0",
    ),
    "a store cut too many for free": (
        lambda plan: with_totals(plan, store_fees_cents=0),
        "all together: store fees come to 50, the plan says 0",
    ),
    "extras forgotten": (
        lambda plan: with_job(plan, extras=(SCREWS,)),
        "all together: extras come to 1300, the plan says 0",
    ),
    "cuts not counted": (
        lambda plan: with_totals(plan, store_cuts=1, shop_cuts=12),
        "all together: store cuts come to 2, the plan says 1",
    ),
    "cuts at home not counted": (
        lambda plan: with_totals(plan, shop_cuts=3),
        "all together: cuts at home come to 12, the plan says 3",
    ),
    "a price missing and not said": (
        lambda plan: with_job(plan, extras=(Extra("Hinge", 2, (Pack(1, None),)),)),
        "something bought has no price, and the plan does not say so",
    ),
    "a price said to be missing": (
        lambda plan: with_totals(plan, unpriced=True),
        "the plan says something has no price, everything has",
    ),
}

# Cheapest cover of 110 screws from 50 for 5.00 and 100 for 8.00: one of each, 13.00.
SCREWS = Extra("Screws", 110, (Pack(50, 500), Pack(100, 800)))


def size_of(node: Node) -> tuple[Ticks, Ticks]:
    return node.length, node.width


def crosscut_of(stock: Stock, measure: int, cut: Cut) -> Cut:
    """Move a crosscut and let both sides follow, as one who gets every sum right would."""
    first = replace(cut.first, length=Ticks(measure))
    longer = Ticks(stock.length - measure - cut.kerf)
    second = replace(cut.second, length=longer)
    inner = replace(second.second, length=Ticks(longer - second.at - second.kerf))
    rest = Ticks(inner.length - inner.at - inner.kerf)
    inner = replace(inner, second=replace(inner.second, length=rest))
    return replace(cut, at=Ticks(measure), first=first, second=replace(second, second=inner))


def with_saws(plan: Plan, *saws: Saw) -> Plan:
    return with_job(plan, shop=replace(plan.job.shop, saws=saws))


def moved_share(plan: Plan, share: float) -> object:
    shares = plan.materials[0].shares
    return replace(
        shares, parts=round(shares.parts + share, 6), offcuts=round(shares.offcuts - share, 6)
    )


@pytest.mark.parametrize("way", SPOILED)
def test_a_spoiled_plan_is_caught(way: str):
    spoil, fault = SPOILED[way]
    spoiled = spoil(bench())
    assert spoiled != bench()
    assert fault in told(spoiled)


# --- limits are kept when they are just met --------------------------------------------------


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


# --- a blade that runs off an edge ------------------------------------------------------------


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


# --- saws -------------------------------------------------------------------------------------


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


# --- store and car ----------------------------------------------------------------------------


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


# --- money ------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("qty", "packs", "cents"),
    [
        (110, ((50, 500), (100, 800)), 1300),
        (100, ((50, 500), (100, 800)), 800),
        (101, ((50, 300), (100, 800)), 900),
        (1, ((50, 500), (1, 20)), 20),
        (0, ((50, 500),), 0),
        (7, ((3, 100), (5, None)), 300),
        (0, ((5, None),), 0),
        (2, ((0, 1), (1, 30)), 60),
    ],
)
def test_extras_cost_what_the_cheapest_packs_cost(
    qty: int, packs: tuple[tuple[int, int | None], ...], cents: int
):
    extra = Extra("Screws", qty, tuple(Pack(*pack) for pack in packs))
    plan = with_totals(with_job(bench(), extras=(extra,)), extras_cents=cents)
    assert told(plan) == ""
    assert f"extras come to {cents}" in told(with_totals(plan, extras_cents=cents + 1))


def test_free_cuts_are_counted_a_piece_and_not_pooled():
    """Two sheets of three and one store cuts, two free each: one cut is paid."""
    store = Store(EIGHTH, free_cuts=2, fee_per_cut_cents=75)
    strip = blank("P1", "Strip", 6, SHEET.length, inches(10))
    job = Job("Strips", Units.INCH, (strip,), (SHEET,), Shop(EIGHTH), store)
    third = rip(inches(10), part("P1", 3), part_and_rest(4), STORE_SAW)
    four = rip(
        inches(10), part("P1", 1), rip(inches(10), part("P1", 2), third, STORE_SAW), STORE_SAW
    )
    two = rip(inches(10), part("P1", 5), part_and_rest(6), STORE_SAW)
    plan = finish(job, [grow(job, SHEET, four, "S1"), grow(job, SHEET, two, "S2")])
    assert plan.totals.store_fees_cents == 75
    assert told(plan) == ""


def part_and_rest(copy: int) -> Spec:
    return rip(inches(10), part("P1", copy), REST)


# --- random plans, spoiled --------------------------------------------------------------------


def paths(plan: Plan, kind: type) -> list[tuple[int, str]]:
    """Give where nodes of a kind are: (piece, sides from the root)."""
    found = []
    waiting = [(number, "", piece.layout) for number, piece in enumerate(plan.pieces)]
    while waiting:
        number, path, node = waiting.pop()
        if isinstance(node, kind):
            found.append((number, path))
        if isinstance(node, Cut):
            sides = [("first", node.first), ("second", node.second)]
            waiting += [(number, f"{path} {side}".strip(), n) for side, n in sides if n]
    return found


def drawn(data: st.DataObject, places: list[tuple[int, str]]) -> tuple[int, str]:
    return data.draw(st.sampled_from(sorted(places)))


@settings(max_examples=60)
@given(plans(), st.data())
def test_any_cut_moved_or_made_thicker_by_a_tick_is_caught(plan: Plan, data: st.DataObject):
    places = paths(plan, Cut)
    if places:
        place = drawn(data, places)
        field = data.draw(st.sampled_from(["at", "kerf"]))
        moved = data.draw(st.sampled_from([-1, 1]))
        value = getattr(at(plan, *place), field) + moved
        assert told(change(plan, *place, **{field: Ticks(value)}))


@settings(max_examples=50)
@given(plans(), st.data())
def test_any_part_dropped_doubled_or_resized_is_caught(plan: Plan, data: st.DataObject):
    places = paths(plan, PartPiece)
    place = drawn(data, places)
    node = at(plan, *place)
    stock = plan.pieces[place[0]].stock
    keeps = plan.job.shop.keeps(node.length, node.width, stock)
    leftover = Offcut(*size_of(node), "x") if keeps else Waste(*size_of(node))
    assert told(put(plan, *place, leftover))
    assert told(change(plan, *place, copy=node.copy + 1))
    assert told(change(plan, *place, length=Ticks(node.length - 1)))
    for other in places:
        there = at(plan, *other)
        if size_of(there) != size_of(node):
            assert told(swap_names(plan, place, other))


def swap_names(plan: Plan, one: tuple[int, str], other: tuple[int, str]) -> Plan:
    def name(node: PartPiece) -> dict[str, object]:
        return {"part": node.part, "copy": node.copy, "turned": node.turned}

    here, there = at(plan, *one), at(plan, *other)
    return change(change(plan, *one, **name(there)), *other, **name(here))


@settings(max_examples=50)
@given(plans(), st.data())
def test_any_two_steps_of_a_cut_and_one_inside_it_swapped_are_caught(
    plan: Plan, data: st.DataObject
):
    inner = [place for place in paths(plan, Cut) if place[1]]
    if inner:
        number, path = drawn(data, inner)
        outer = path.rpartition(" ")[0]
        steps = at(plan, number, path).step, at(plan, number, outer).step
        swapped = change(change(plan, number, path, step=steps[1]), number, outer, step=steps[0])
        assert "sets free" in told(swapped)


@settings(max_examples=50)
@given(plans(), st.data())
def test_any_leftover_called_the_other_thing_is_caught(plan: Plan, data: st.DataObject):
    places = paths(plan, Offcut) + paths(plan, Waste)
    if places:
        place = drawn(data, places)
        node = at(plan, *place)
        kept = isinstance(node, Offcut)
        other = Waste(*size_of(node)) if kept else Offcut(*size_of(node), "x")
        assert ("not waste" if kept else "too small to keep") in told(put(plan, *place, other))


# --- an independent geometry ------------------------------------------------------------------


@settings(max_examples=60)
@given(plans())
def test_parts_of_a_good_plan_lie_inside_and_a_kerf_apart_by_shapely(plan: Plan):
    """Reference: shapely (GEOS) places the parts as rectangles and measures between them."""
    for piece in plan.pieces:
        whole = box(0, 0, piece.stock.length, piece.stock.width)
        # A blade that runs off an edge removes less, but then parts nothing from anything.
        parting = [cut.kerf for cut in piece.cuts() if cut.first and cut.second]
        parts = [
            box(spot.x, spot.y, spot.x + spot.node.length, spot.y + spot.node.width)
            for spot in walk(piece.layout)
            if isinstance(spot.node, PartPiece)
        ]
        assert all(whole.covers(one) for one in parts)
        for one, other in combinations(parts, 2):
            assert one.intersection(other).area == 0
            # GEOS measures in floats, the parts lie on whole ticks: half a tick is no tick.
            assert one.distance(other) > min(parting) - 0.5


def test_a_millimetre_job_is_told_in_millimetres():
    plan = change(with_job(bench(), units=Units.MM), 1, "", at=millimetres(600))
    assert "should measure 600 mm x 88.9 mm, the plan says 609.6 mm x 88.9 mm" in told(plan)


# --- measured boards --------------------------------------------------------------------------


def with_bad(*spans: tuple[int, int], knots_ok: bool = False) -> Plan:
    """Give the bench with bad spans on its board, its cleats clear or not."""
    plan = with_part(bench(), CLEAT, knots_ok=knots_ok)
    bad = tuple((Ticks(start), Ticks(end)) for start, end in spans)
    return with_stock(plan, BOARD, bad=bad)


def cleat_ends() -> list[tuple[int, int]]:
    board = next(piece for piece in bench().pieces if piece.stock == BOARD)
    found = [(p.x, p.x + p.node.length) for p in walk(board.layout)
             if isinstance(p.node, PartPiece)]  # fmt: skip
    return sorted(found)


def test_bad_spans_may_touch_a_clear_part_and_not_reach_into_it():
    (_, end), (start, _), *_ = cleat_ends()
    between = (end, start)
    assert check_plan(with_bad(between)) == ()
    for moved in ((end - 1, start), (end, start + 1)):
        assert "must be clear, it lies on the bad span" in told(with_bad(moved))
        assert check_plan(with_bad(moved, knots_ok=True)) == ()


@pytest.mark.parametrize(
    "spans", [[(5, 5)], [(9, 5)], [(50, 60), (10, 20)], [(5, 10), (10, 20)], [(0, 10**7)]]
)
def test_bad_spans_that_make_no_sense_are_told(spans: list[tuple[int, int]]):
    assert "bad spans are not in order" in told(with_bad(*spans, knots_ok=True))
