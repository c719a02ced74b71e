"""Which width of board narrower parts are cut from, weighed over the whole purchase."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import replace

from cutopt.errors import CannotPlanError
from cutopt.model.cost import measure_of
from cutopt.model.job import Job, Material, SawKind
from cutopt.model.plan import Measure
from cutopt.solve.material import Room, plan_material
from cutopt.solve.params import Search, Unwatched
from cutopt.solve.sections import other_sections

LEAST_SAVING_PERCENT = 10
"""Ripping is work, so it has to save at least this much; our own choice."""


def choose_widths(job: Job, room_of: Callable[[Job, Material], Room]) -> Job:
    """Give the job with narrower board parts moved to wider boards where that saves enough.

    For each wider board that may be ripped, all parts that it could give are moved at once, and
    the whole purchase of that lumber is planned quickly both ways. Only money is compared.

    Args:
        job: with each part on the boards that suit it alone.
        room_of: gives what cuts take from a material of a job.
    """
    if job.shop.saws and all(saw.kind is SawKind.MITRE for saw in job.shop.saws):
        return job  # nothing here rips
    wanted = [target for part in job.parts for target in other_sections(job, part)]
    for target in dict.fromkeys(wanted):
        moved = _moved(job, target)
        if _all_priced(job, target) and _is_cheaper(moved, job, target, room_of):
            job = replace(moved, notes=(*job.notes, _note(job, target)))
    return job


def _moved(job: Job, target: Material) -> Job:
    """Give the job with every part on a board that it may come from."""
    parts = tuple(
        replace(part, material=target) if target in other_sections(job, part) else part
        for part in job.parts
    )
    return replace(job, parts=parts)


def _note(job: Job, target: Material) -> str:
    names = dict.fromkeys(part.name for part in job.parts if target in other_sections(job, part))
    listed = ", ".join(f'"{name}"' for name in names)
    return f"narrower parts come from {target.name} {target.section} too, for less: {listed}"


def _all_priced(job: Job, target: Material) -> bool:
    kin = {row.material for row in job.stock if _is_kin(row.material, target)}
    return all(measure_of(job, material) is Measure.PRICE for material in kin)


def _is_kin(material: Material, other: Material) -> bool:
    """Say whether two materials differ in nothing but their section."""
    return replace(material, section=None) == replace(other, section=None)


def _is_cheaper(
    moved: Job, job: Job, target: Material, room_of: Callable[[Job, Material], Room]
) -> bool:
    def cost(tried: Job) -> float:
        try:
            return sum(_costs(tried, target, room_of))
        except CannotPlanError:
            return float("inf")

    return 100 * cost(moved) <= (100 - LEAST_SAVING_PERCENT) * cost(job)


def _costs(job: Job, target: Material, room_of: Callable[[Job, Material], Room]) -> Iterator[int]:
    """Yield what each board of a lumber costs, planned quickly."""
    for material in job.materials:
        if _is_kin(material, target):
            room = room_of(job, material)
            yield plan_material(job, material, room, Search(effort=0), Unwatched()).cost
