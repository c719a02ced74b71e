"""What a sawn job costs and how well its stock is used: the plan put together."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence

from cutopt.model.cost import cost_of, measure_of
from cutopt.model.job import Job
from cutopt.model.layout import Direction, MaterialLayout
from cutopt.model.plan import (
    Cut,
    Maker,
    MaterialResult,
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
from cutopt.steps.joint import SawnJob
from cutopt.steps.packs import cheapest_packs
from cutopt.steps.sawing_fees import store_fee

SHARE_STEPS = 1_000_000
"""Shares are whole millionths, so that those printed add to 1."""


def summarise(job: Job, settings: Settings, sawn: SawnJob) -> Plan:
    """Give the plan of a sawn job: pieces, costs and bounds per material, totals, warnings."""
    return Plan(
        job,
        settings,
        sawn.pieces,
        tuple(_result(job, layout, sawn.pieces) for layout in sawn.layouts),
        _totals(job, sawn.pieces),
        (*job.warnings, *sawn.warnings),
    )


def _result(job: Job, layout: MaterialLayout, all_pieces: Sequence[StockPiece]) -> MaterialResult:
    pieces = [piece for piece in all_pieces if piece.stock.material == layout.material]
    measure = measure_of(job, layout.material)
    bought = sum(not piece.stock.owned for piece in pieces)
    return MaterialResult(
        layout.material,
        measure,
        sum(cost_of(piece.stock, measure) for piece in pieces),
        layout.lower_bound,
        bought,
        len(pieces) - bought,
        _shares(pieces),
        layout.why,
        layout.next_best,
        layout.limits,
    )


def _shares(pieces: Sequence[StockPiece]) -> Shares:
    area: Counter[str] = Counter()
    for piece in pieces:
        for placed in walk(piece.layout):
            node = placed.node
            if isinstance(node, Cut):
                line = node.width if node.direction is Direction.CROSSCUT else node.length
                area["kerf"] += line * node.kerf
            elif isinstance(node, PartPiece):
                area["parts"] += node.length * node.width
            elif isinstance(node, Offcut):
                area["offcuts"] += node.length * node.width
            elif isinstance(node, Waste):
                area["waste"] += node.length * node.width
    names = ("parts", "offcuts", "kerf", "waste")
    whole = sum(area.values())
    if not whole:
        return Shares(0.0, 0.0, 0.0, 1.0)
    # Largest remainders: each share is at most one millionth off, and they add to 1.
    steps = {name: SHARE_STEPS * area[name] // whole for name in names}
    remainders = sorted(names, key=lambda name: -(SHARE_STEPS * area[name] % whole))
    for name in remainders[: SHARE_STEPS - sum(steps.values())]:
        steps[name] += 1
    return Shares(*(steps[name] / SHARE_STEPS for name in names))


def _totals(job: Job, pieces: Sequence[StockPiece]) -> Totals:
    bought = [piece.stock for piece in pieces if not piece.stock.owned]
    mixes = [cheapest_packs(extra) for extra in job.extras]
    store_cuts = [sum(cut.by is Maker.STORE for cut in piece.cuts()) for piece in pieces]
    return Totals(
        stock_cents=sum(stock.price_cents or 0 for stock in bought),
        store_fees_cents=sum(store_fee(job, cuts) for cuts in store_cuts),
        extras_cents=sum(mix.price_cents or 0 for mix in mixes),
        unpriced=any(stock.price_cents is None for stock in bought)
        or any(mix.price_cents is None for mix in mixes),
        store_cuts=sum(store_cuts),
        shop_cuts=sum(len(piece.cuts()) for piece in pieces) - sum(store_cuts),
    )
