"""What stock costs, in money or, where prices are missing, by its amount."""

from __future__ import annotations

from cutopt.model.job import Job, Kind, Material, Stock
from cutopt.model.plan import Measure


def measure_of(job: Job, material: Material) -> Measure:
    """Give what a material's cost is counted in: money, or its amount where prices are missing."""
    bought = [row for row in job.stock if row.material == material and not row.owned]
    if all(row.price_cents is not None for row in bought):
        return Measure.PRICE
    return Measure.AREA if material.kind is Kind.SHEET else Measure.LENGTH


def cost_of(stock: Stock, measure: Measure) -> int:
    """Give what one piece of stock costs, in the measure's unit; owned stock costs nothing."""
    if stock.owned:
        return 0
    if measure is Measure.PRICE:
        return stock.price_cents or 0
    return stock.length * stock.width if measure is Measure.AREA else int(stock.length)
