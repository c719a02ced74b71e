"""Openings: how much of a part is cut out, how much of that lets air through, is it enough.

Areas are square ticks. Source of the free shares: NFPA 54 (National Fuel Gas Code) takes 25 % of
a wood louvre and 75 % of a metal louvre or grille where the maker's figure is unknown; for mesh
and screen a field guide of the building trade asks for 1.00 (1/4 in mesh), 1.25 (1/8 in mesh) and
2.00 (insect screen, 16 wires to the inch) times the area that is to be free.
"""

from __future__ import annotations

import math
from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

from cutopt.model.job import Cutout, CutoutKind, OpeningNeed, Part
from cutopt.units import EIGHTH, MILLIMETRE, Ticks, Units

FREE_SHARES: Mapping[str, float] = {
    "open": 1.0,
    "wood louvre": 0.25,
    "metal louvre": 0.75,
    "metal grille": 0.75,
    "1/4 in mesh": 1 / 1.00,
    "1/8 in mesh": 1 / 1.25,
    "insect screen": 1 / 2.00,
    # The field guide's factors with a louvre (2.00, 2.25, 3.00) would call more free than NFPA 54
    # calls free of the louvre alone: the lower figure is taken.
    "wood louvre with mesh": 0.25,
}
"""Free share of an opening by what covers it."""

_ROUND = frozenset({CutoutKind.HOLE, CutoutKind.DISC})
CUT_OUT = frozenset({CutoutKind.NOTCH, CutoutKind.OPENING, *_ROUND})
"""What takes area out of a part: all but rounded corners."""
FOR_AIR = frozenset({CutoutKind.OPENING, CutoutKind.HOLE})
"""What counts where air is to get through: notches fit around something, discs are pieces."""


@dataclass(frozen=True, slots=True)
class Grown:
    """A cutout as large as it would have to be, on each of ``count`` copies of its part."""

    part: Part
    before: Cutout
    after: Cutout
    count: int


@dataclass(frozen=True, slots=True)
class OpeningCheck:
    """What one group's openings come to; areas in square ticks.

    Attributes:
        cut_out: of all its openings and holes, whatever covers them.
        openings, holes: how many there are, copies of parts counted.
        share: of that, what lets air through, 0 to 1.
        grown: one way to have enough; None where there is enough, or no one opening can grow.
    """

    need: OpeningNeed
    cut_out: float
    openings: int
    holes: int
    share: float
    grown: Grown | None = None

    @property
    def free(self) -> float:
        """What lets air through, square ticks."""
        return self.cut_out * self.share

    @property
    def met(self) -> bool:
        """Say whether that is at least what is asked for; a millionth is rounding."""
        return self.free >= self.need.least * (1 - 1e-9)


def open_area(part: Part, kinds: Collection[CutoutKind] = CUT_OUT) -> float:
    """Give the area that cutouts of these kinds take out of one part, square ticks.

    What two cutouts both take is counted once; of round ones that reach into another cutout only
    one is counted, which is less than there is, never more.
    """
    counted = [cutout for cutout in part.cutouts if cutout.kind in kinds]
    square = [cutout for cutout in counted if cutout.kind not in _ROUND]
    total: float = _joined(square)
    taken: list[Cutout] = []
    for one in sorted((c for c in counted if c.kind in _ROUND), key=lambda c: -c.length):
        if not any(_reach(one, other) for other in (*square, *taken)):
            taken.append(one)
            total += math.pi * one.length**2 / 4
    return total


def _joined(boxes: Sequence[Cutout]) -> int:
    """Give the area that rectangles cover together, square ticks."""
    edges = sorted({x for box in boxes for x in (box.from_left, box.from_left + box.length)})
    total = 0
    for left, right in pairwise(edges):
        spans = sorted(
            (box.from_front, box.from_front + box.width)
            for box in boxes
            if box.from_left <= left and box.from_left + box.length >= right
        )
        reached = 0
        for low, high in spans:
            total += (right - left) * max(0, high - max(low, reached))
            reached = max(reached, high)
    return total


def _reach(ring: Cutout, other: Cutout) -> bool:
    """Say whether a circle reaches into another cutout."""
    radius = ring.length / 2
    x, y = ring.from_left + radius, ring.from_front + radius
    if other.kind in _ROUND:
        far = other.length / 2
        apart = math.hypot(other.from_left + far - x, other.from_front + far - y)
        return apart < radius + far
    near_x = min(max(x, other.from_left), other.from_left + other.length)
    near_y = min(max(y, other.from_front), other.from_front + other.width)
    return math.hypot(near_x - x, near_y - y) < radius


def check_openings(
    needs: Iterable[OpeningNeed], parts: Sequence[Part], units: Units
) -> tuple[OpeningCheck, ...]:
    """Give what each group asked about comes to; sizes that would do in ``units``' steps."""
    return tuple(_check(need, parts, units) for need in needs)


def _check(need: OpeningNeed, parts: Sequence[Part], units: Units) -> OpeningCheck:
    own = [part for part in parts if part.group.casefold() == need.group.casefold()]
    share = need.free_share if need.free_share is not None else FREE_SHARES[need.grille]
    check = OpeningCheck(
        need,
        sum(part.qty * open_area(part, FOR_AIR) for part in own),
        _count(own, CutoutKind.OPENING),
        _count(own, CutoutKind.HOLE),
        share,
    )
    if check.met:
        return check
    return replace(check, grown=_grow(own, need.least / share - check.cut_out, units))


def _count(parts: Iterable[Part], kind: CutoutKind) -> int:
    return sum(part.qty * sum(cutout.kind is kind for cutout in part.cutouts) for part in parts)


def _grow(parts: Sequence[Part], missing: float, units: Units) -> Grown | None:
    """Give the largest cutout that can take up all that is missing, or None."""
    found = [(part, cutout) for part in parts for cutout in part.cutouts if cutout.kind in FOR_AIR]
    step = EIGHTH if units is Units.INCH else MILLIMETRE
    for part, cutout in sorted(found, key=lambda one: -one[1].length * one[1].width):
        wanted = open_area(part, FOR_AIR) + missing / part.qty
        for after in _larger(part, cutout, missing / part.qty, step):
            kept = tuple(after if other is cutout else other for other in part.cutouts)
            if open_area(replace(part, cutouts=kept), FOR_AIR) >= wanted * (1 - 1e-9):
                return Grown(part, cutout, after, part.qty)
    return None


def _larger(part: Part, cutout: Cutout, missing: float, step: int) -> list[Cutout]:
    """Give the cutout longer, then wider, in whole steps, wherever the part still holds it."""
    if cutout.kind in _ROUND:
        size = _up(math.sqrt(cutout.length**2 + 4 * missing / math.pi), step)
        sizes = [(size, size)]
    else:
        sizes = [
            (_up(cutout.length + missing / cutout.width, step), cutout.width),
            (cutout.length, _up(cutout.width + missing / cutout.length, step)),
        ]
    return [
        replace(
            cutout,
            length=Ticks(length),
            width=Ticks(width),
            from_left=Ticks(min(cutout.from_left, part.length - length)),
            from_front=Ticks(min(cutout.from_front, part.width - width)),
        )
        for length, width in sizes
        if length < part.length and width < part.width
    ]


def _up(size: float, step: int) -> int:
    """Give the whole number of steps that is at least this size, ticks."""
    return math.ceil(size / step - 1e-9) * step
