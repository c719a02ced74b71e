"""What a test shows of a plan: its trees as nested tuples."""

from __future__ import annotations

from cutopt.model.plan import Cut, Node, Offcut, PartPiece, Plan
from cutopt.units import to_mm

Tree = tuple[object, ...] | None


def serialize(node: Node | None) -> Tree:
    """Give a cut tree as nested tuples, lengths in millimetres.

    A cut is (direction, at, kerf, saw, step, first, second); a part (id, copy, length,
    width), with "turned" behind it where it is; leftovers are ("offcut", id, length, width)
    and ("waste", length, width); a side the blade took is None.
    """
    if node is None:
        return None
    size = (to_mm(node.length), to_mm(node.width))
    if isinstance(node, Cut):
        how = (node.direction.value, to_mm(node.at), to_mm(node.kerf), node.saw, node.step)
        return (*how, serialize(node.first), serialize(node.second))
    if isinstance(node, PartPiece):
        return (node.part, node.copy, *size, *(("turned",) if node.turned else ()))
    if isinstance(node, Offcut):
        return ("offcut", node.id, *size)
    return ("waste", *size)


def serialize_plan(plan: Plan) -> tuple[tuple[str, str, Tree], ...]:
    """Give every piece of a plan as (id, stock, tree)."""
    return tuple((piece.id, piece.stock.name, serialize(piece.layout)) for piece in plan.pieces)
