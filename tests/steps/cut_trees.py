"""Cut trees built by hand, in inches, for the tests of the lists and pages.

A tree is written as it is sawn: ``rip(15.25, first, second)`` on a piece whose size the
builder works out from above; steps are numbered store first, then depth first.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace

from cutopt.model.job import Grain, Job, Kind, Material, Part, Shop, Stock
from cutopt.model.layout import Direction
from cutopt.model.plan import (
    ANY_SAW,
    STORE_SAW,
    Cut,
    Maker,
    MaterialResult,
    Measure,
    Node,
    Offcut,
    PartPiece,
    Plan,
    Settings,
    Shares,
    StockPiece,
    Totals,
    Waste,
)
from cutopt.units import TICKS_PER_INCH, Ticks, Units


def inch(value: float) -> Ticks:
    """Ticks for inches; the halves, eighths and thirty-seconds used here are exact."""
    return Ticks(round(value * TICKS_PER_INCH))


KERF = inch(1 / 8)
PLY = Material("birch ply", Kind.SHEET, inch(0.75))
PINE = Material("pine", Kind.BOARD, inch(0.75), "1x4")
SHEET = Stock("birch ply 4x8", PLY, inch(96), inch(48), 6800, grain=Grain.LENGTH)
BOARD = Stock("pine 1x4 8 ft", PINE, inch(96), inch(3.5), 648, grain=Grain.LENGTH)

Builder = Callable[[Ticks, Ticks], Node]


def part(name: str, copy: int = 1) -> Builder:
    """A blank as large as the piece it comes from."""
    return lambda length, width: PartPiece(length, width, name, copy)


def keep(offcut_id: str) -> Builder:
    return lambda length, width: Offcut(length, width, offcut_id)


def waste() -> Builder:
    return lambda length, width: Waste(length, width)  # noqa: PLW0108 - keeps the type


def _cut(
    direction: Direction,
    at: float,
    first: Builder | None,
    second: Builder | None,
    by: Maker,
    saw: str,
    kerf: Ticks,
) -> Builder:
    def build(length: Ticks, width: Ticks) -> Cut:
        whole = length if direction is Direction.CROSSCUT else width
        near = inch(at)
        far = Ticks(whole - near - kerf)
        removed = kerf if far > 0 else Ticks(whole - near)

        def side(builder: Builder | None, size: Ticks) -> Node | None:
            if builder is None or size <= 0:
                return None
            if direction is Direction.CROSSCUT:
                return builder(size, width)
            return builder(length, size)

        return Cut(
            length,
            width,
            direction,
            near,
            removed,
            by,
            saw,
            0,
            side(first, near),
            side(second, far),
        )

    return build


def rip(
    at: float,
    first: Builder | None,
    second: Builder | None = None,
    *,
    saw: str = "table saw",
    kerf: Ticks = KERF,
) -> Builder:
    return _cut(Direction.RIP, at, first, second or waste(), Maker.SHOP, saw, kerf)


def crosscut(
    at: float,
    first: Builder | None,
    second: Builder | None = None,
    *,
    saw: str = "mitre saw",
    kerf: Ticks = KERF,
) -> Builder:
    return _cut(Direction.CROSSCUT, at, first, second or waste(), Maker.SHOP, saw, kerf)


def store_rip(at: float, first: Builder | None, second: Builder | None = None) -> Builder:
    return _cut(Direction.RIP, at, first, second or waste(), Maker.STORE, STORE_SAW, KERF)


def store_crosscut(at: float, first: Builder | None, second: Builder | None = None) -> Builder:
    return _cut(Direction.CROSSCUT, at, first, second or waste(), Maker.STORE, STORE_SAW, KERF)


def _numbered(root: Node) -> Node:
    """Number the cuts: the store's before all others, parents before what they part."""
    order: list[tuple[bool, tuple[int, ...]]] = []

    def gather(node: Node | None, path: tuple[int, ...]) -> None:
        if isinstance(node, Cut):
            order.append((node.by is not Maker.STORE, path))
            gather(node.first, (*path, 0))
            gather(node.second, (*path, 1))

    gather(root, ())
    step = {path: number for number, (_, path) in enumerate(sorted(order, key=lambda o: o[0]), 1)}

    def renumber(node: Node, path: tuple[int, ...]) -> Node:
        if not isinstance(node, Cut):
            return node
        first = renumber(node.first, (*path, 0)) if node.first is not None else None
        second = renumber(node.second, (*path, 1)) if node.second is not None else None
        return replace(node, step=step[path], first=first, second=second)

    return renumber(root, ())


def piece(piece_id: str, tree: Builder, stock: Stock = SHEET) -> StockPiece:
    return StockPiece(piece_id, stock, _numbered(tree(stock.length, stock.width)))


def bill(
    name: str,
    qty: int,
    length: float,
    width: float,
    material: Material = PLY,
    part_id: str = "",
) -> Part:
    """A part whose id is its name unless given, so that trees read like a bill of parts."""
    return Part(
        part_id or name,
        name,
        qty,
        inch(length),
        inch(width),
        material.thickness,
        inch(length),
        inch(width),
        material,
    )


@dataclass(frozen=True)
class Result:
    """Money of one material, for ``plan``."""

    material: Material
    cost: int
    lower_bound: int
    measure: Measure = Measure.PRICE
    why: str = ""
    next_best: str = ""


def plan(job: Job, pieces: tuple[StockPiece, ...], results: tuple[Result, ...] = ()) -> Plan:
    bought = [p for p in pieces if not p.stock.owned]
    fees = sum(
        max(0, sum(c.by is Maker.STORE for c in p.cuts()) - job.store.free_cuts)
        * job.store.fee_per_cut_cents
        for p in pieces
        if job.store is not None
    )
    rows = tuple(
        MaterialResult(
            r.material,
            r.measure,
            r.cost,
            r.lower_bound,
            sum(p.stock.material == r.material for p in bought),
            sum(p.stock.material == r.material and p.stock.owned for p in pieces),
            Shares(1.0, 0.0, 0.0, 0.0),
            r.why,
            r.next_best,
        )
        for r in results
    )
    cuts = [c for p in pieces for c in p.cuts()]
    totals = Totals(
        sum(p.stock.price_cents or 0 for p in bought),
        fees,
        0,
        any(p.stock.price_cents is None for p in bought),
        sum(c.by is Maker.STORE for c in cuts),
        sum(c.by is not Maker.STORE for c in cuts),
    )
    return Plan(job, Settings(), pieces, rows, totals)


def job(parts: tuple[Part, ...] = (), **more: object) -> Job:
    base = Job("Mudroom locker (invented)", Units.INCH, parts, (SHEET, BOARD), Shop(kerf=KERF))
    return replace(base, **more)  # type: ignore[arg-type]


ANY = ANY_SAW
