"""The plan in a few lines, for the terminal: what to buy, what it costs, how good that is."""

from __future__ import annotations

from dataclasses import dataclass

from cutopt.model.job import PlanWarning
from cutopt.model.plan import Offcut, Plan, walk
from cutopt.steps.buy import BuyList, buy_list, cheaper_words
from cutopt.steps.limits import limit_words
from cutopt.steps.materials import cost_words, material_words
from cutopt.steps.phrase import Phrase
from cutopt.steps.store_reasons import store_reasons


@dataclass(frozen=True, slots=True)
class MaterialLine:
    """One material: what is bought of it, what that costs, whether it can be had cheaper.

    Attributes:
        cost: "$124.00", or an amount where there are no prices: "64.0 sq ft".
        answer: "No cheaper purchase exists." or what could be saved at best.
        why: where the bound comes from and what limits cost, or "".
        limits: what each limit of the car, the store and the saws adds to the cost.
    """

    material: Phrase
    bought: int
    owned_used: int
    cost: str
    answer: Phrase
    proven: bool
    why: str = ""
    limits: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class OffcutLine:
    """An offcut to keep and what it is of."""

    id: str
    material: Phrase
    size: Phrase


@dataclass(frozen=True, slots=True)
class Overview:
    """What a builder wants to know first.

    Attributes:
        pieces: sheets and boards used.
        store_reasons: why the store makes its cuts, a line for pieces with the same reasons.
        largest_offcut: None where nothing is left worth keeping.
    """

    job: str
    buy: BuyList
    materials: tuple[MaterialLine, ...]
    pieces: int
    store_cuts: int
    shop_cuts: int
    store_reasons: tuple[str, ...]
    largest_offcut: OffcutLine | None
    warnings: tuple[PlanWarning, ...]


def overview(plan: Plan) -> Overview:
    """Give a plan's overview."""
    return Overview(
        job=plan.job.name,
        buy=buy_list(plan),
        materials=_materials(plan),
        pieces=len(plan.pieces),
        store_cuts=plan.totals.store_cuts,
        shop_cuts=plan.totals.shop_cuts,
        store_reasons=store_reasons(plan),
        largest_offcut=_largest_offcut(plan),
        warnings=plan.warnings,
    )


def _materials(plan: Plan) -> tuple[MaterialLine, ...]:
    units, currency = plan.job.units, plan.job.currency
    return tuple(
        MaterialLine(
            material=material_words(result.material),
            bought=result.bought,
            owned_used=result.owned_used,
            cost=cost_words(result.cost, result.measure, units, currency),
            answer=cheaper_words(plan.job, result),
            proven=result.proven,
            why=result.why,
            limits=limit_words(plan.job, result),
        )
        for result in plan.materials
    )


def _largest_offcut(plan: Plan) -> OffcutLine | None:
    """Give the offcut with the most area, the first of equals."""
    found = [
        (placed.node, piece.stock.material)
        for piece in plan.pieces
        for placed in walk(piece.layout)
        if isinstance(placed.node, Offcut)
    ]
    if not found:
        return None
    offcut, material = max(found, key=lambda one: one[0].length * one[0].width)
    size = (offcut.length, " × ", offcut.width)
    return OffcutLine(offcut.id, material_words(material), size)
