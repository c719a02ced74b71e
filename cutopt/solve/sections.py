"""Boards of one material in several widths: where else a part could come from."""

from __future__ import annotations

from cutopt.model.job import Job, Kind, Material, Part, SawKind, Shop, Stock
from cutopt.units import inches

LEAST_RIP = inches(0, 1, 2)
"""Parts narrower than this are not ripped from wider boards: a table saw's fence is to hold
1/2 in at least."""

_NO_RIPPING = (SawKind.MITRE, SawKind.JIGSAW, SawKind.HAND)
"""Saws that boards are not ripped with all along; of the last two, our own choice."""


def other_sections(job: Job, part: Part) -> tuple[Material, ...]:
    """Give the other boards of a part's material that could give the part too.

    They are as thick, and hold it: as wide as the part, or wider where they may be ripped and a
    saw at home can do it. A part whose section the job names comes from no other.
    """
    if part.material.kind is not Kind.BOARD or part.section_named:
        return ()
    return tuple(
        dict.fromkeys(
            stock.material
            for stock in job.stock
            if stock.material != part.material
            and is_kin(stock.material, part.material)
            and stock.available != 0
            and stock.length - 2 * stock.trim >= part.blank_length
            and gives(job.shop, stock, part)
        )
    )


def is_kin(material: Material, other: Material) -> bool:
    """Say whether two materials are boards of one lumber: all but the section is the same."""
    return (material.kind, material.name, material.thickness) == (
        Kind.BOARD,
        other.name,
        other.thickness,
    ) and other.kind is Kind.BOARD


def gives(shop: Shop, stock: Stock, part: Part) -> bool:
    """Say whether a board of a part's lumber gives the part: as wide, or wider and ripped."""
    if stock.width == part.blank_width:
        return True
    return stock.rip and stock.width > part.blank_width >= LEAST_RIP and _can_rip(shop, stock, part)


def _can_rip(shop: Shop, stock: Stock, part: Part) -> bool:
    """Say whether a saw at home can rip a part from a whole board."""
    if not shop.saws:
        return True
    return any(
        saw.kind not in _NO_RIPPING
        and (saw.rip_capacity is None or part.blank_width <= saw.rip_capacity)
        and (saw.cut_length is None or stock.length <= saw.cut_length)
        for saw in shop.saws
    )
