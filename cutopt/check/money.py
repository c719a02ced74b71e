"""Costs, bounds, shares and sums, worked out again from the pieces and the price list."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence
from decimal import Decimal
from fractions import Fraction

from cutopt.check.tree import Replayed
from cutopt.errors import Fault
from cutopt.model.job import Extra, Job, Kind, Material
from cutopt.model.plan import (
    Maker,
    MaterialResult,
    Measure,
    Offcut,
    PartPiece,
    Plan,
    Shares,
    StockPiece,
    Waste,
)

SHARE_TOLERANCE = Fraction(1, 20_000)  # half of the fourth decimal


def money_faults(plan: Plan, pieces: Sequence[Replayed]) -> Iterator[Fault]:
    """Yield what is wrong with the results of the materials and with the totals."""
    by_material: dict[Material, list[Replayed]] = {}
    for replayed in pieces:
        by_material.setdefault(replayed.piece.stock.material, []).append(replayed)
    rows = Counter(result.material for result in plan.materials)
    for material in by_material:
        if rows[material] != 1:
            yield Fault(f"{material.name} is cut, and has {rows[material]} results, not one")
    for result in plan.materials:
        if result.material in by_material:
            yield from _result_faults(plan.job, result, by_material[result.material])
        else:
            yield Fault(f"{result.material.name} has a result, but none of it is cut")
    yield from _total_faults(plan, pieces)


def _result_faults(job: Job, result: MaterialResult, pieces: list[Replayed]) -> Iterator[Fault]:
    name = result.material.name
    used = [replayed.piece for replayed in pieces]
    bought = [piece for piece in used if not piece.stock.owned]
    measures = _measures(job, result.material)
    if result.measure not in measures:
        yield Fault(f"{name} is planned by {result.measure}, it should be by {measures[0]}")
    cost = sum(_cost(piece, result.measure) for piece in bought)
    if result.cost != cost:
        yield Fault(f"{name}: its cost comes to {cost}, the plan says {result.cost}")
    if not 0 <= result.lower_bound <= result.cost:
        yield Fault(
            f"{name}: it costs {result.cost}, so it cannot cost at least {result.lower_bound}"
        )
    counts = (len(bought), len(used) - len(bought))
    if (result.bought, result.owned_used) != counts:
        yield Fault(
            f"{name}: {counts[0]} bought and {counts[1]} of your own are cut, "
            f"the plan says {result.bought} and {result.owned_used}"
        )
    yield from _share_faults(name, result.shares, pieces)


def _measures(job: Job, material: Material) -> list[Measure]:
    """Give what a material may be measured by: its price, or its amount where it has none."""
    amount = Measure.AREA if material.kind is Kind.SHEET else Measure.LENGTH
    priced = [
        row.price_cents is not None
        for row in job.stock
        if row.material == material and not row.owned
    ]
    if not priced:
        return [Measure.PRICE, amount]
    return [Measure.PRICE] if all(priced) else [amount]


def _cost(piece: StockPiece, measure: Measure) -> int:
    stock = piece.stock
    if measure is Measure.PRICE:
        return stock.price_cents or 0
    return stock.length * stock.width if measure is Measure.AREA else stock.length


def _share_faults(name: str, shares: Shares, pieces: list[Replayed]) -> Iterator[Fault]:
    area: Counter[type] = Counter()
    whole = 0
    for replayed in pieces:
        whole += replayed.piece.stock.length * replayed.piece.stock.width
        for spot in replayed.lying:
            area[type(spot.node)] += spot.length * spot.width
    left = {"parts": area[PartPiece], "offcuts": area[Offcut], "waste": area[Waste]}
    left["kerf"] = whole - sum(left.values())
    said = {
        "parts": shares.parts,
        "offcuts": shares.offcuts,
        "kerf": shares.kerf,
        "waste": shares.waste,
    }
    for what, share in said.items():
        true = Fraction(left[what], whole) if whole else Fraction(0)
        if abs(Fraction(share) - true) > SHARE_TOLERANCE:
            yield Fault(f"{name}: {what} are {float(true):.4f} of it, the plan says {share:.4f}")
    # As written: decimal figures that a reader can add up.
    together = sum(Decimal(repr(share)) for share in said.values())
    if together != 1:
        yield Fault(f"{name}: its shares add to {together}, not to 1")


def _total_faults(plan: Plan, pieces: Sequence[Replayed]) -> Iterator[Fault]:
    job, totals = plan.job, plan.totals
    bought = [r for r in pieces if not r.piece.stock.owned]
    store_cuts = [sum(cut.by is Maker.STORE for cut in r.cuts) for r in pieces]
    all_cuts = sum(len(r.cuts) for r in pieces)
    fees = 0
    if job.store is not None:
        paid = sum(max(0, count - job.store.free_cuts) for count in store_cuts)
        fees = paid * job.store.fee_per_cut_cents
    extras = [_cheapest(extra) for extra in job.extras]
    sums = (
        ("stock", sum(r.piece.stock.price_cents or 0 for r in bought), totals.stock_cents),
        ("store fees", fees, totals.store_fees_cents),
        ("extras", sum(price or 0 for price in extras), totals.extras_cents),
        ("store cuts", sum(store_cuts), totals.store_cuts),
        ("cuts at home", all_cuts - sum(store_cuts), totals.shop_cuts),
    )
    for what, true, said in sums:
        if true != said:
            yield Fault(f"all together: {what} come to {true}, the plan says {said}")
    unpriced = any(r.piece.stock.price_cents is None for r in bought) or None in extras
    if totals.unpriced is not unpriced:
        yield Fault(
            "all together: something bought has no price, and the plan does not say so"
            if unpriced
            else "all together: the plan says something has no price, everything has"
        )


def _cheapest(extra: Extra) -> int | None:
    """Give the least price (cents) of packs that cover an extra; None where none has a price."""
    if extra.qty <= 0:
        return 0
    packs = [(pack.size, pack.price_cents) for pack in extra.packs if pack.size > 0]
    if not any(price is not None for _, price in packs):
        return None
    least = [0]
    for wanted in range(1, extra.qty + 1):
        least.append(
            min(least[max(0, wanted - size)] + price for size, price in packs if price is not None)
        )
    return least[-1]
