"""Where the finished part lies in its blank: bands are glued on later, extras come off on site."""

from __future__ import annotations

from cutopt.model.job import Edge, Part
from cutopt.steps.hands import hand_of
from cutopt.steps.phrase import Phrase
from cutopt.units import Ticks


def finished_in_blank(part: Part, copy: int = 1) -> tuple[Ticks, Ticks]:
    """Give the finished part's left front corner, in ticks from the blank's, as it is made.

    Negative by the band on a banded edge. What is left on the blank for fitting lies at the
    right end and along the back edge; at the left end of the right hand of a pair, which is a
    mirror image.

    Args:
        part: as this copy is made: the mirror image where it is the right hand of a pair.
        copy: number of the copy, from 1.
    """
    left = -_band(part, Edge.LEFT, Edge.RIGHT) if Edge.LEFT in part.band else 0
    front = -_band(part, Edge.FRONT, Edge.BACK) if Edge.FRONT in part.band else 0
    if hand_of(part, copy) == "right":
        left += part.extra_length
    return Ticks(left), Ticks(front)


def _band(part: Part, one: Edge, other: Edge) -> int:
    """Give the thickness of the band on one of two edges, ticks, from what the blank lacks."""
    edges = (one in part.band) + (other in part.band)
    if one in {Edge.LEFT, Edge.RIGHT}:
        lacks = part.length + part.extra_length - part.blank_length
    else:
        lacks = part.width + part.extra_width - part.blank_width
    return lacks // edges if edges else 0


def extra_phrase(part: Part) -> Phrase:
    """Give how much is left on the blank for fitting, and where it lies; () where nothing is."""
    words: list[str | int] = []
    if part.extra_length:
        mirrored = " (left end of right ones)" if part.handed else ""
        words += [part.extra_length, f" over at the right end{mirrored}"]
    if part.extra_width:
        words += [" and " if words else "", part.extra_width, " over along the back edge"]
    return (*(word for word in words if word != ""), ", to fit on site") if words else ()
