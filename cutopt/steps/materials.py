"""How materials and amounts of them are said on the lists."""

from __future__ import annotations

from cutopt.model.job import Job, Kind, Material, Stock
from cutopt.model.plan import Measure
from cutopt.steps.money import format_money
from cutopt.steps.phrase import Phrase
from cutopt.units import TICKS_PER_INCH, TICKS_PER_MM, Ticks, Units, format_length

_FOOT = 12 * TICKS_PER_INCH
_METRE = 1000 * TICKS_PER_MM


def material_name(material: Material) -> str:
    """Give a material as a shopper says it: "Birch ply", "Pine 1x4"."""
    section = material.section
    name = material.name
    if section and section.casefold() not in name.casefold():
        name = f"{name} {section}"
    return name[:1].upper() + name[1:]


def material_words(material: Material) -> Phrase:
    """Give a material with what tells it from its kin: a sheet's thickness, a board's section."""
    name = material_name(material)
    said = {format_length(material.thickness, units) for units in Units}
    if material.kind is Kind.BOARD or any(size in name for size in said):
        return (name,)
    return (f"{name} ", material.thickness)


def written_on(stock: Stock, job: Job) -> str:
    """Give what the builder wrote on a board that lies measured in the shop, else ""."""
    measured = stock.owned and any(row.bad for row in job.stock if row.material == stock.material)
    return stock.name if measured and stock.kind is Kind.BOARD else ""


def board_length(length: Ticks, units: Units) -> Phrase:
    """Give the length a board is sold by: "8 ft" where it is whole feet, else the length."""
    if units is Units.INCH and length % _FOOT == 0:
        return (f"{length // _FOOT} ft",)
    return (length,)


def run_words(length: int, units: Units) -> str:
    """Give a run of band or board, rounded up: "32 ft", "9.8 m"."""
    if units is Units.INCH:
        return f"{-(-length // _FOOT)} ft"
    return f"{-(-length * 10 // _METRE) / 10:.1f} m"


def area_words(area: int, units: Units) -> str:
    """Give an area (square ticks), rounded up: "3.2 sq ft", "0.31 m²"."""
    if units is Units.INCH:
        return f"{-(-area * 10 // _FOOT**2) / 10:.1f} sq ft"
    return f"{-(-area * 100 // _METRE**2) / 100:.2f} m²"


def cost_words(cost: int, measure: Measure, units: Units, currency: str) -> str:
    """Give a cost in its measure: "$124.00", or "64.0 sq ft", "9.8 m" where prices are missing."""
    if measure is Measure.PRICE:
        return format_money(cost, currency)
    return area_words(cost, units) if measure is Measure.AREA else run_words(cost, units)
