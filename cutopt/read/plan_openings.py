"""Openings in plan.json, read strictly: what is said twice has to agree."""

from __future__ import annotations

from cutopt.model.job import OpeningNeed, Part
from cutopt.model.openings import FREE_SHARES, open_area
from cutopt.read.areas import area_of
from cutopt.read.cells import ValueFault
from cutopt.read.json_value import Value
from cutopt.units import TICKS_PER_MM


def square_centimetres(square_ticks: float) -> float:
    """Give square centimetres, to four decimals."""
    return round(square_ticks / (10 * TICKS_PER_MM) ** 2, 4)


def check_open_area(value: Value, part: Part) -> None:
    """Note a fault where a part says of itself another open area than its cutouts have."""
    if value.has("open_area_cm2"):
        said = value["open_area_cm2"]
        said.agrees(float(said.number()), square_centimetres(open_area(part)), "the cutouts")


def read_openings(values: Value) -> tuple[OpeningNeed, ...]:
    """Give what the job asks of its openings."""
    return tuple(_need(value) for value in values.items())


def _need(value: Value) -> OpeningNeed:
    asked, share = value["free_area"].text(), value["free_share"].or_none(Value.share)
    least, grille = 1, value["grille"].text()
    try:
        least = area_of(asked)
    except ValueFault as fault:
        value["free_area"].fault(fault.problem, fault.help)
    if share is None:
        known = ", ".join(FREE_SHARES)
        value["grille"].should_be(f"one of {known}, or free_share given", grille in FREE_SHARES)
    else:
        value["free_share"].should_be("more than 0", share > 0)
    need = OpeningNeed(value["group"].text(), asked, least, grille, share)
    if value.has("found"):
        _found(value["found"], least)
    value.no_more_keys()
    return need


def _found(value: Value, least: int) -> None:
    """Look over what the openings come to; the parts say it again."""
    said = value["least_cm2"]
    said.agrees(float(said.number()), square_centimetres(least), "free_area")
    cut_out, free = value["cut_out_cm2"].number(), value["free_cm2"]
    share = value["share"].share()
    apart = abs(float(free.number()) - float(cut_out) * share)
    free.should_be("cut_out_cm2 times share", apart < 0.001)
    value["met"].flag()
    value["text"].text()
    value.no_more_keys()
