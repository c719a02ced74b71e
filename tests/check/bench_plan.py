"""A plan made by hand for an invented potting bench, and ways to change one thing in it."""

from __future__ import annotations

from dataclasses import replace

from handmade import REST, Spec, crosscut, finish, grow, part, rip

from cutopt.check.replay import check_plan
from cutopt.model.job import (
    Budget,
    Carry,
    Grain,
    Job,
    Kind,
    Material,
    Part,
    Saw,
    SawKind,
    Shop,
    Stock,
    Store,
)
from cutopt.model.plan import (
    STORE_SAW,
    Node,
    Plan,
    StockPiece,
)
from cutopt.units import Ticks, Units, inches

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
