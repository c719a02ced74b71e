"""Strips that came from a sheet, planned again from boards: the other stock that gives them."""

from __future__ import annotations

from dataclasses import replace

from cutopt.model.job import Material, Part
from cutopt.model.plan import Plan
from cutopt.model.sources import board_gives, boards_among, from_either, same_wood
from cutopt.steps.floor import Floor

NOT_PROVED = "not proved: what is cheapest for sheets and boards together"


def from_boards(plan: Plan, floor: Floor) -> tuple[Plan, Floor] | None:
    """Give the plan and the floor with what is missing of sheets on boards, where boards give it.

    The boards are those that cost least. None where nothing missing may come from boards.
    """
    parts = {part.id: part for part in plan.job.parts}
    boards: dict[str, Material] = {}
    missing = []
    for one in floor.missing:
        board = _board(plan, parts[one.part], one.material)
        if board is not None:
            boards[one.part] = board
            missing.append(replace(one, material=board))
        else:
            missing.append(one)
    if not boards:
        return None
    told = tuple(
        replace(part, material=boards.get(part.id, part.material)) for part in plan.job.parts
    )
    return (
        replace(plan, job=replace(plan.job, parts=told)),
        replace(floor, missing=tuple(missing)),
    )


def only_shared(plan: Plan) -> Plan:
    """Give a plan made again that claims no more than it knows where parts come from either.

    What is proved of sheets alone, or of boards alone, holds for neither where parts could have
    gone over to the other.
    """
    woods = [part.material for part in plan.job.parts if from_either(plan.job.stock, part)]
    return replace(
        plan,
        materials=tuple(
            replace(result, lower_bound=0, why=NOT_PROVED, next_best="")
            if result.cost and any(same_wood(result.material, wood) for wood in woods)
            else result
            for result in plan.materials
        ),
    )


def _board(plan: Plan, part: Part, material: Material) -> Material | None:
    """Give the boards that a part missing of a sheet comes from at least money, or None."""
    if material.section is not None or not from_either(plan.job.stock, part):
        return None
    rows = [
        row
        for row in boards_among(plan.job.stock)
        if same_wood(row.material, part.material)
        and board_gives(row, part.blank_length, part.blank_width)
    ]
    return min(rows, key=lambda row: (row.price_cents or 0, row.width, row.name)).material
