"""From layouts to sawn pieces of the whole job."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from cutopt.model.job import Job, Kind, Material, PlanWarning
from cutopt.model.layout import MaterialLayout
from cutopt.model.plan import StockPiece
from cutopt.steps.sawing import saw_piece
from cutopt.steps.sawing_numbers import Counts, number
from cutopt.steps.sawing_saws import kerfs
from cutopt.steps.sawing_warnings import sawing_warnings
from cutopt.units import Ticks

__all__ = ["SawnJob", "Solve", "kerfs", "saw_job"]

Solve = Callable[[Material, Ticks, Ticks], MaterialLayout]
"""(material, reserve of length, reserve of width) -> layouts that leave the reserve free on
every bought piece."""


@dataclass(frozen=True, slots=True)
class SawnJob:
    """Every piece of stock sawn, the layouts it comes from, and what the builder must know."""

    layouts: tuple[MaterialLayout, ...]
    pieces: tuple[StockPiece, ...]
    warnings: tuple[PlanWarning, ...] = ()


def saw_job(job: Job, solve: Solve) -> SawnJob:
    """Give the whole job sawn: sheets first, materials in the order of the bill of parts.

    Raises:
        CannotPlanError: from ``solve``: a part fits no stock, or stock runs out.
    """
    materials = sorted(job.materials, key=lambda material: material.kind is Kind.BOARD)
    layouts = [solve(material, Ticks(0), Ticks(0)) for material in materials]
    counts = Counts(
        {part.id: part.qty for part in job.parts}, {part.id: part.name for part in job.parts}, {}
    )
    pieces: list[StockPiece] = []
    numbers = {Kind.SHEET: 0, Kind.BOARD: 0}
    for layout in layouts:
        largest_kerf = kerfs(job, layout.material)[0]
        for laid in layout.pieces:
            numbers[laid.stock.kind] += 1
            piece_id = f"{'S' if laid.stock.kind is Kind.SHEET else 'L'}{numbers[laid.stock.kind]}"
            node = saw_piece(job, laid, largest_kerf).node
            pieces.append(StockPiece(piece_id, laid.stock, number(piece_id, node, counts)))
    return SawnJob(tuple(layouts), tuple(pieces), tuple(sawing_warnings(job, pieces)))
