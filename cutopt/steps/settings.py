"""From one cut to one setting of a saw: which side is measured, what the cut is called."""

from __future__ import annotations

from dataclasses import dataclass

from cutopt.model.job import Saw, SawKind
from cutopt.model.layout import Direction
from cutopt.model.plan import Cut, Node, Offcut, Waste
from cutopt.steps.pieces import across, holds_part, parts_of
from cutopt.units import Ticks, inches

LEAST_FENCE = inches(0, 1, 2)
"""Least distance of a table saw's fence from the blade that anything is cut with."""

_KINDS = {
    SawKind.TABLE: "fence",
    SawKind.BAND: "fence",
    SawKind.MITRE: "stop",
    SawKind.PANEL: "stop",
}
_DONE = {Direction.CROSSCUT: "to length", Direction.RIP: "to width"}


@dataclass(frozen=True, slots=True)
class CutSetting:
    """How a saw is set for one cut.

    Attributes:
        size: of the side that is measured, ticks.
        other: size of the other side, ticks; 0 where nothing is left.
        kind: "fence", "stop", "mark" or "sled stop".
        measure_first: what the other side must come out, where this cut gives a part its
            size but only waste or a piece to be cut again can be measured; else None.
        action: "rip", "crosscut" or "trim", as it is done at that saw.
        done: "edge clean", "to length", "to width" where one side only goes on, else "".
    """

    size: Ticks
    other: Ticks
    kind: str
    measure_first: Ticks | None
    action: str
    done: str


def setting_of(cut: Cut, saw: Saw | None) -> CutSetting:
    """Give the setting for a cut; ``saw`` is None where any will do.

    A setting is measured on a side that holds a part. At a table saw that side must lie
    between blade and fence, so it may be waste or a piece to be cut again; a part on the
    other side is then only as true as the stock, which is measured first.
    """
    whole = across(cut, cut.direction)
    sides = ((cut.first, cut.at), (cut.second, Ticks(whole - cut.at - cut.kerf)))
    with_part = [i for i, (node, _) in enumerate(sides) if holds_part(node)]
    kept = with_part or [i for i, (node, _) in enumerate(sides) if isinstance(node, Offcut | Cut)]
    candidates = kept or [i for i, (node, _) in enumerate(sides) if node is not None] or [0]
    can = [i for i in candidates if _can_measure(sides[i][1], saw)]
    measured = min(can or candidates, key=lambda i: (not _is_final(*sides[i], cut.direction), i))
    other = 1 - measured
    if not can and _can_measure(sides[other][1], saw) and sides[other][0] is not None:
        measured, other = other, measured
    blind = _is_final(*sides[other], cut.direction) and not _is_final(
        *sides[measured], cut.direction
    )
    size = sides[measured][1]
    kind = _KINDS.get(saw.kind, "mark") if saw is not None else "mark"
    if kind == "fence" and across(cut, cut.direction.other) < size:
        kind = "sled stop"
    # A mitre saw and a sled only crosscut, also a strip that lay across the sheet.
    across_it = kind == "sled stop" or (saw is not None and saw.kind is SawKind.MITRE)
    action, done = _named(cut, Direction.CROSSCUT if across_it else cut.direction)
    return CutSetting(size, sides[other][1], kind, sides[other][1] if blind else None, action, done)


def _can_measure(size: int, saw: Saw | None) -> bool:
    """Say whether a side of this size can lie against the saw's fence or stop."""
    if saw is None or saw.kind is not SawKind.TABLE:
        return True
    return size >= LEAST_FENCE and (saw.rip_capacity is None or size <= saw.rip_capacity)


def _is_final(node: Node | None, size: Ticks, direction: Direction) -> bool:
    """Say whether some part already has its size across this cut on this side."""
    return node is not None and any(across(part, direction) == size for part in parts_of(node))


def _named(cut: Cut, said: Direction) -> tuple[str, str]:
    """Give (action, what is done to the one piece that goes on), the cut said as ``said``."""
    kept = [side for side in (cut.first, cut.second) if side is not None]
    kept = [side for side in kept if not isinstance(side, Waste)]
    if len(kept) != 1 or not isinstance(kept[0], Cut):
        return said.value, ""
    if _is_final(kept[0], across(kept[0], cut.direction), cut.direction):
        return said.value, _DONE[said]
    return "trim", "edge clean"
