"""Left and right: which copy of a handed pair is which, and what its mirror image looks like."""

from __future__ import annotations

from dataclasses import replace

from cutopt.model.job import Edge, Part
from cutopt.units import Ticks

_OTHER = {Edge.LEFT: Edge.RIGHT, Edge.RIGHT: Edge.LEFT}


def hand_of(part: Part, copy: int) -> str:
    """Give "left" or "right" for a copy of a handed pair (left first), else ""."""
    if part.handed is not True:
        return ""
    return "left" if part.number(copy) % 2 else "right"


def mirror_image(part: Part) -> Part:
    """Give the part as its mirror image: left for right in bands and cutouts."""
    mirrored = {_OTHER.get(edge, edge) for edge in part.band}
    return replace(
        part,
        band=tuple(edge for edge in Edge if edge in mirrored),
        cutouts=tuple(
            replace(c, from_left=Ticks(part.length - c.from_left - c.length)) for c in part.cutouts
        ),
    )


def as_made(part: Part, copy: int) -> Part:
    """Give what this copy looks like: the part itself, or its mirror image for a right hand."""
    return mirror_image(part) if hand_of(part, copy) == "right" else part


def differs_mirrored(part: Part) -> bool:
    """Say whether the cutouts of a part lie elsewhere in its mirror image."""

    def places(of: Part) -> list[tuple[str, int, int, int, int]]:
        return sorted(
            (c.kind.value, c.length, c.width, c.from_left, c.from_front) for c in of.cutouts
        )

    return places(part) != places(mirror_image(part))
