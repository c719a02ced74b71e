"""From layouts to sawn pieces of the whole job: materials one after the other, then numbered."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Sequence
from dataclasses import dataclass

from cutopt.model.job import Job, Kind, Material, PlanWarning
from cutopt.model.layout import MaterialLayout
from cutopt.model.plan import StockPiece
from cutopt.steps.joint_planner import MOST_PROMISING, Planner, SawnMaterial
from cutopt.steps.joint_ways import Solve
from cutopt.steps.limits import without_limits
from cutopt.steps.packs import cheapest_packs
from cutopt.steps.sawing_measured import tell_bad_spans
from cutopt.steps.sawing_numbers import Counts, number
from cutopt.steps.sawing_warnings import sawing_warnings


@dataclass(frozen=True, slots=True)
class SawnJob:
    """Every piece of stock sawn, the layouts it comes from, and what the builder must know."""

    layouts: tuple[MaterialLayout, ...]
    pieces: tuple[StockPiece, ...]
    warnings: tuple[PlanWarning, ...] = ()


def saw_job(job: Job, solve: Solve, stopped: Callable[[], bool] = lambda: False) -> SawnJob:
    """Give the whole job sawn: sheets first, materials in the order of the bill of parts.

    Args:
        job: as read.
        solve: lays the materials out.
        stopped: says whether to plan nothing again and end with what there is.

    Raises:
        CannotPlanError: from ``solve``: a part fits no stock, or stock runs out.
    """
    materials = sorted(job.materials, key=lambda material: material.kind is Kind.BOARD)
    planner = Planner(job, solve, stopped, MOST_PROMISING)
    firsts = [planner.first(material) for material in materials]
    left = _left_of_budget(job, firsts)
    best: list[SawnMaterial] = []
    remedies: dict[tuple[Material, str], str] = {}
    for first in firsts:
        sawn, tried = planner.improved(first, left)
        best.append(sawn)
        remedies |= planner.remedies(first, sawn, tried)
        if left is not None:
            left -= sawn.money - first.money
    best = [
        planner.priced(first, sawn, without_limits(job, first.layout.material))
        for first, sawn in zip(firsts, best, strict=True)
    ]
    pieces = _numbered(job, best)
    return SawnJob(
        tuple(sawn.layout for sawn in best),
        pieces,
        tuple(sawing_warnings(job, pieces, remedies)),
    )


def _numbered(job: Job, materials: Sequence[SawnMaterial]) -> tuple[StockPiece, ...]:
    copies: Counter[str] = Counter()
    for part in job.parts:  # one whose copies come from several widths of board stands there twice
        copies[part.id] += part.qty
    counts = Counts(
        copies,
        {part.id: part.name for part in job.parts},
        {},
        frozenset(part.id for part in job.parts if part.match),
    )
    pieces: list[StockPiece] = []
    numbers = {Kind.SHEET: 0, Kind.BOARD: 0}
    for sawn in materials:
        for piece in sawn.pieces:
            kind = piece.stock.kind
            numbers[kind] += 1
            piece_id = f"{'S' if kind is Kind.SHEET else 'L'}{numbers[kind]}"
            layout = number(piece_id, piece.layout, counts)
            layout = tell_bad_spans(layout, piece.stock, job.units)
            pieces.append(StockPiece(piece_id, piece.stock, layout))
    return tuple(pieces)


def _left_of_budget(job: Job, firsts: Sequence[SawnMaterial]) -> int | None:
    """Give what the first plan leaves of the budget, cents; None where that sets no limit."""
    if job.budget is None:
        return None
    extras = sum(cheapest_packs(extra).price_cents or 0 for extra in job.extras)
    left = job.budget.high_cents - extras - sum(sawn.money for sawn in firsts)
    return left if left >= 0 else None
