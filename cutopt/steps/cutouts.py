"""Cutouts in words, so that they can be marked out without a drawing."""

from __future__ import annotations

from collections.abc import Sequence

from cutopt.model.job import Cutout, CutoutKind, Part
from cutopt.steps.phrase import Phrase, listed
from cutopt.units import Ticks

_ROUND = {CutoutKind.HOLE, CutoutKind.DISC}


def cutout_phrases(part: Part) -> tuple[Phrase, ...]:
    """Give each cutout of a part in words; corners rounded alike share one line."""
    found: dict[object, list[Cutout]] = {}
    for number, cutout in enumerate(part.cutouts):
        rounded = cutout.kind is CutoutKind.ROUNDED_CORNER
        found.setdefault((cutout.length, cutout.note) if rounded else number, []).append(cutout)
    return tuple(_phrase(part, same) for same in found.values())


def _phrase(part: Part, same: Sequence[Cutout]) -> Phrase:
    cutout = same[0]
    note = f": {cutout.note}" if cutout.note else ""
    if cutout.kind is CutoutKind.ROUNDED_CORNER:
        corners = [" ".join(_edges(part, one)) for one in same]
        return (f"rounded: {_corners(corners)}, ", cutout.length, f" radius{note}")
    if cutout.kind in _ROUND:
        middle = _middle(cutout.from_left, cutout.length), _middle(cutout.from_front, cutout.width)
        return (
            f"{cutout.kind.value} ", cutout.length, " across, middle ",
            middle[0], " from left, ", middle[1], f" from front{note}",
        )  # fmt: skip
    size: Phrase = (f"{cutout.kind.value} ", cutout.length, " × ", cutout.width)
    edges = _edges(part, cutout)
    if len(edges) == 2 and cutout.kind is CutoutKind.NOTCH:
        return (*size, f" at the {' '.join(edges)} corner{note}")
    return (
        *size, ", ", cutout.from_left, " from left, ", cutout.from_front, f" from front{note}",
    )  # fmt: skip


def _middle(start: Ticks, size: Ticks) -> Ticks:
    return Ticks(start + size // 2)


def _edges(part: Part, cutout: Cutout) -> list[str]:
    """Give the edges a cutout reaches, front or back before left or right."""
    width = cutout.length if cutout.kind is CutoutKind.ROUNDED_CORNER else cutout.width
    reached = {
        "front": cutout.from_front == 0,
        "back": cutout.from_front + width == part.width,
        "left": cutout.from_left == 0,
        "right": cutout.from_left + cutout.length == part.length,
    }
    return [edge for edge, yes in reached.items() if yes]


def _corners(corners: Sequence[str]) -> str:
    """Give "front left corner", "both front corners", "all corners"."""
    if len(corners) == 4:
        return "all corners"
    if len(corners) == 2:
        for edge in ("front", "back", "left", "right"):
            if all(edge in corner.split() for corner in corners):
                return f"both {edge} corners"
    if len(corners) == 1:
        return f"{corners[0]} corner"
    return f"{listed(corners)} corners"
