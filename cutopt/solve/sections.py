"""Boards of one material in several widths: where else a part could come from."""

from __future__ import annotations

from cutopt.model.job import Job, Kind, Material, Part


def other_sections(job: Job, part: Part) -> tuple[Material, ...]:
    """Give the other boards of a part's material that could give the part too.

    They are as thick, and hold it: as wide as the part, or wider and may be ripped. A part
    whose section the job names comes from no other.
    """
    if part.material.kind is not Kind.BOARD or part.section_named:
        return ()
    return tuple(
        dict.fromkeys(
            stock.material
            for stock in job.stock
            if stock.material != part.material
            and stock.material.name == part.material.name
            and stock.kind is Kind.BOARD
            and stock.thickness == part.material.thickness
            and stock.available != 0
            and stock.length - 2 * stock.trim >= part.blank_length
            and (stock.width == part.blank_width or (stock.rip and stock.width > part.blank_width))
        )
    )
