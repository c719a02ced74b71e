"""Openings in plan.json: what is asked of them, what they come to."""

from __future__ import annotations

from cutopt.model.job import OpeningNeed, Part
from cutopt.model.opening_words import opening_words
from cutopt.model.openings import OpeningCheck, check_openings, open_area
from cutopt.model.plan import Plan
from cutopt.read.plan_openings import square_centimetres

Held = str | int | float | bool | None | list["Held"] | dict[str, "Held"]


def openings_of(plan: Plan) -> list[Held]:
    """Give each need; what it comes to only where all parts are still in the plan."""
    job = plan.job
    if plan.replans is not None:
        return [_need(need) for need in job.openings]
    return [
        {**_need(check.need), "found": _found(check, opening_words(check, job.units))}
        for check in check_openings(job.openings, job.parts, job.units)
    ]


def _need(need: OpeningNeed) -> dict[str, Held]:
    return {
        "group": need.group,
        "free_area": need.asked,
        "grille": need.grille,
        "free_share": need.free_share,
    }


def _found(check: OpeningCheck, text: str) -> dict[str, Held]:
    return {
        "least_cm2": square_centimetres(check.need.least),
        "cut_out_cm2": square_centimetres(check.cut_out),
        "share": check.share,
        "free_cm2": square_centimetres(check.free),
        "met": check.met,
        "text": text,
    }


def open_area_of(part: Part) -> dict[str, float]:
    """Give the key for what is cut out of one part; nothing where nothing is."""
    area = square_centimetres(open_area(part))
    return {"open_area_cm2": area} if area else {}
