"""Plans made by hand: say the cuts, and the sizes, steps and sums are worked out."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from cutopt.model.job import Job, Kind, Material, PlanWarning, Stock
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
    walk,
)
from cutopt.units import Ticks


@dataclass(frozen=True)
class Sawn:
    """A cut to make; ``kerf`` only where the blade runs off the near or left edge."""

    direction: Direction
    at: int
    first: Spec
    second: Spec
    saw: str
    kerf: int | None = None


@dataclass(frozen=True)
class Wanted:
    """A part to come from a piece."""

    part: str
    copy: int
    turned: bool


Spec = Sawn | Wanted | None


def crosscut(
    at: int, first: Spec, second: Spec, saw: str = ANY_SAW, kerf: int | None = None
) -> Sawn:
    return Sawn(Direction.CROSSCUT, at, first, second, saw, kerf)


def rip(at: int, first: Spec, second: Spec, saw: str = ANY_SAW, kerf: int | None = None) -> Sawn:
    return Sawn(Direction.RIP, at, first, second, saw, kerf)


def part(part_id: str, copy: int = 1, *, turned: bool = False) -> Wanted:
    return Wanted(part_id, copy, turned)


REST = None
"""What is left over: kept or not by its size, and nothing at all where no wood is left."""


def saw_kerf(job: Job, saw: str) -> int:
    """Give the kerf of a named saw, the store's, or any."""
    if saw == STORE_SAW:
        return job.store.kerf
    kerfs = {one.name: one.kerf for one in job.shop.saws}
    return kerfs.get(saw, job.shop.kerf)


def grow(job: Job, stock: Stock, spec: Spec, piece_id: str = "S1") -> StockPiece:
    """Give a piece of stock with its cut tree."""
    letters = (f"{piece_id}-{letter}" for letter in "abcdefghijklmnopqrstuvwxyz")
    tree = _node(job, stock, spec, (stock.length, stock.width), letters)
    piece = StockPiece(piece_id, stock, tree)
    cuts = [placed.node for placed in walk(tree) if isinstance(placed.node, Cut)]
    order = sorted(range(len(cuts)), key=lambda i: cuts[i].by is Maker.SHOP)
    steps = iter([order.index(i) + 1 for i in range(len(cuts))])
    return replace(piece, layout=_number(tree, steps))


def _node(
    job: Job, stock: Stock, spec: Spec, size: tuple[int, int], letters: Iterator[str]
) -> Node | None:
    length, width = Ticks(size[0]), Ticks(size[1])
    if min(size) <= 0:
        return None
    if isinstance(spec, Wanted):
        return PartPiece(length, width, spec.part, spec.copy, spec.turned)
    if spec is None:
        if job.shop.keeps(length, width, stock):
            return Offcut(length, width, next(letters))
        return Waste(length, width)
    crosscuts = spec.direction is Direction.CROSSCUT
    along = length if crosscuts else width
    kerf = saw_kerf(job, spec.saw) if spec.kerf is None else spec.kerf
    kerf = min(kerf, along - spec.at)
    left = along - spec.at - kerf
    sizes = [(spec.at, width), (left, width)] if crosscuts else [(length, spec.at), (length, left)]
    return Cut(
        length,
        width,
        spec.direction,
        Ticks(spec.at),
        Ticks(kerf),
        Maker.STORE if spec.saw == STORE_SAW else Maker.SHOP,
        spec.saw,
        0,
        _node(job, stock, spec.first, sizes[0], letters),
        _node(job, stock, spec.second, sizes[1], letters),
    )


def _number(node: Node | None, steps: Iterator[int]) -> Node | None:
    if not isinstance(node, Cut):
        return node
    step = next(steps)
    first = _number(node.first, steps)
    return replace(node, step=step, first=first, second=_number(node.second, steps))


def finish(
    job: Job,
    pieces: Sequence[StockPiece],
    *,
    bounds: dict[Material, int] | None = None,
    extras_cents: int = 0,
    warnings: tuple[PlanWarning, ...] = (),
) -> Plan:
    """Give the plan of these pieces with its costs and sums; proven where no bound is given."""
    results = []
    for material in dict.fromkeys(piece.stock.material for piece in pieces):
        own = [piece for piece in pieces if piece.stock.material == material]
        results.append(_result(own, (bounds or {}).get(material)))
    bought = [piece for piece in pieces if not piece.stock.owned]
    store = [sum(cut.by is Maker.STORE for cut in piece.cuts()) for piece in pieces]
    free, fee = (job.store.free_cuts, job.store.fee_per_cut_cents) if job.store else (0, 0)
    totals = Totals(
        stock_cents=sum(piece.stock.price_cents or 0 for piece in bought),
        store_fees_cents=sum(fee * max(0, count - free) for count in store),
        extras_cents=extras_cents,
        unpriced=any(piece.stock.price_cents is None for piece in bought),
        store_cuts=sum(store),
        shop_cuts=sum(len(piece.cuts()) for piece in pieces) - sum(store),
    )
    return Plan(job, Settings(), tuple(pieces), tuple(results), totals, warnings)


def _result(pieces: list[StockPiece], bound: int | None) -> MaterialResult:
    bought = [piece.stock for piece in pieces if not piece.stock.owned]
    material = pieces[0].stock.material
    if all(stock.price_cents is not None for stock in bought):
        measure, cost = Measure.PRICE, sum(stock.price_cents for stock in bought)
    elif material.kind is Kind.SHEET:
        measure, cost = Measure.AREA, sum(stock.length * stock.width for stock in bought)
    else:
        measure, cost = Measure.LENGTH, sum(stock.length for stock in bought)
    return MaterialResult(
        material,
        measure,
        cost,
        cost if bound is None else bound,
        len(bought),
        len(pieces) - len(bought),
        shares_of(pieces),
    )


def shares_of(pieces: Sequence[StockPiece]) -> Shares:
    """Give shares to six decimals; what rounding leaves goes to the largest."""
    areas = dict.fromkeys((PartPiece, Offcut, Cut, Waste), 0)
    for piece in pieces:
        areas[Cut] += piece.stock.length * piece.stock.width
        for placed in walk(piece.layout):
            node = placed.node
            if not isinstance(node, Cut):
                areas[type(node)] += node.length * node.width
                areas[Cut] -= node.length * node.width
    whole = sum(areas.values())
    millionths = {kind: area * 1_000_000 // whole for kind, area in areas.items()}
    largest = max(millionths, key=lambda kind: areas[kind])
    millionths[largest] += 1_000_000 - sum(millionths.values())
    return Shares(*(count / 1_000_000 for count in millionths.values()))
