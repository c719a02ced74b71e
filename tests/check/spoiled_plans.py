"""Ways to spoil the plan of the potting bench, each with what the check says of it."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

from bench_plan import (
    BACK,
    BOARD,
    EIGHTH,
    JOB,
    MITRE,
    OWN_SHEET,
    PINE,
    PLY,
    QUARTER,
    SHEET,
    SHELF,
    TABLE,
    THIN,
    TRACK,
    TRAY,
    at,
    change,
    put,
    swap,
    with_job,
    with_part,
    with_result,
    with_stock,
    with_store,
    with_totals,
)
from handmade import REST, grow

from cutopt.model.job import (
    Carry,
    Edge,
    Extra,
    Grain,
    Pack,
    Saw,
    Stock,
)
from cutopt.model.layout import Direction
from cutopt.model.plan import (
    STORE_SAW,
    Cut,
    Maker,
    Measure,
    Node,
    Offcut,
    Plan,
    Waste,
)
from cutopt.units import Ticks, inches

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
