"""True shapes in millimetres: what a cutout takes out of a part, and what the part's outline is.

x runs along the part's length from its left end, y across it from its front edge.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from itertools import combinations

from cutopt.model.job import Cutout, CutoutKind, Part
from cutopt.units import to_mm

QUARTER = math.tan(math.pi / 8)
"""Bulge of a quarter of a circle: the tangent of a quarter of its angle."""

Corner = tuple[float, float, float]
"""x, y and the bulge of the side that starts there: 0 straight, positive anticlockwise."""


@dataclass(frozen=True, slots=True)
class Path:
    """A line from corner to corner, millimetres."""

    corners: tuple[Corner, ...]
    closed: bool = True


@dataclass(frozen=True, slots=True)
class Ring:
    """A circle, millimetres."""

    x: float
    y: float
    radius: float


Shape = Path | Ring


def box(x: float, y: float, length: float, width: float) -> Path:
    """Give a rectangle by its lower left corner and size."""
    return Path(((x, y, 0), (x + length, y, 0), (x + length, y + width, 0), (x, y + width, 0)))


def moved(shape: Shape, x: float, y: float) -> Shape:
    """Give a shape moved right and up."""
    if isinstance(shape, Ring):
        return Ring(shape.x + x, shape.y + y, shape.radius)
    return Path(tuple((a + x, b + y, bulge) for a, b, bulge in shape.corners), shape.closed)


def turned(shape: Shape, height: float) -> Shape:
    """Give a shape turned anticlockwise with the room of this height it lies in."""
    if isinstance(shape, Ring):
        return Ring(height - shape.y, shape.x, shape.radius)
    return Path(tuple((height - b, a, bulge) for a, b, bulge in shape.corners), shape.closed)


def area(shape: Shape) -> float:
    """Give the area within a closed shape, square millimetres."""
    if isinstance(shape, Ring):
        return math.pi * shape.radius**2
    total = 0.0
    for (x0, y0, bulge), (x1, y1, _) in zip(
        shape.corners, (*shape.corners[1:], shape.corners[0]), strict=True
    ):
        total += (x0 * y1 - x1 * y0) / 2
        if bulge:
            angle = 4 * math.atan(bulge)
            chord = math.hypot(x1 - x0, y1 - y0)
            radius = chord / (2 * math.sin(angle / 2))
            total += radius**2 * (angle - math.sin(angle)) / 2
    return abs(total)


def cutout_shape(cutout: Cutout, part: Part) -> Shape:
    """Give what a cutout takes away; of a disc, the disc."""
    x, y = to_mm(cutout.from_left), to_mm(cutout.from_front)
    length, width = to_mm(cutout.length), to_mm(cutout.width)
    if cutout.kind in {CutoutKind.HOLE, CutoutKind.DISC}:
        return Ring(x + length / 2, y + width / 2, length / 2)
    if cutout.kind is not CutoutKind.ROUNDED_CORNER:
        return box(x, y, length, width)
    left = 2 * cutout.from_left + cutout.length <= part.length
    front = 2 * cutout.from_front + cutout.width <= part.width
    corner_x, corner_y = (x if left else x + length), (y if front else y + width)
    right, up = (1 if left else -1), (1 if front else -1)
    return Path(
        (
            (corner_x, corner_y, 0),
            (corner_x + right * length, corner_y, -QUARTER * right * up),
            (corner_x, corner_y + up * width, 0),
        )
    )


def contour(part: Part) -> Path | None:
    """Give the finished part's outline, notches and rounded corners taken off it.

    None where they meet each other or reach more than one edge without being at a corner: then
    the outline is for whoever draws to decide.
    """
    changing = [cutout for cutout in part.cutouts if _at_edge(cutout, part)]
    if any(_meet(a, b) for a, b in combinations(changing, 2)):
        return None
    corners: dict[tuple[bool, bool], Cutout] = {}
    sides: dict[str, list[Cutout]] = {"front": [], "right": [], "back": [], "left": []}
    for cutout in changing:
        edges = _edges(cutout, part)
        if len(edges) == 1 and cutout.kind is not CutoutKind.ROUNDED_CORNER:
            sides[edges[0]].append(cutout)
        elif len(edges) == 2 and set(edges) not in ({"left", "right"}, {"front", "back"}):
            corners["right" in edges, "back" in edges] = cutout
        else:
            return None
    length, width = to_mm(part.length), to_mm(part.width)
    points: list[Corner] = []
    for right, back, side in (
        (False, False, "front"),
        (True, False, "right"),
        (True, True, "back"),
        (False, True, "left"),
    ):
        x, y = (length if right else 0.0), (width if back else 0.0)
        points += _corner(corners.get((right, back)), x, y, right=right, back=back)
        points += _side(sides[side], side, part)
    return Path(tuple(points))


def _at_edge(cutout: Cutout, part: Part) -> bool:
    """Say whether a cutout changes the outline of its part."""
    if cutout.kind in {CutoutKind.HOLE, CutoutKind.DISC}:
        return False
    return cutout.kind is CutoutKind.ROUNDED_CORNER or bool(_edges(cutout, part))


def _edges(cutout: Cutout, part: Part) -> tuple[str, ...]:
    reached = {
        "front": cutout.from_front == 0,
        "back": cutout.from_front + cutout.width == part.width,
        "left": cutout.from_left == 0,
        "right": cutout.from_left + cutout.length == part.length,
    }
    return tuple(edge for edge, yes in reached.items() if yes)


def _meet(a: Cutout, b: Cutout) -> bool:
    return (
        a.from_left <= b.from_left + b.length
        and b.from_left <= a.from_left + a.length
        and a.from_front <= b.from_front + b.width
        and b.from_front <= a.from_front + a.width
    )


def _corner(
    cutout: Cutout | None, x: float, y: float, *, right: bool, back: bool
) -> Sequence[Corner]:
    """Give the corners of the outline where two edges meet, in anticlockwise order."""
    if cutout is None:
        return ((x, y, 0),)
    along = (x + (-1 if right else 1) * to_mm(cutout.length), y)
    beside = (x, y + (-1 if back else 1) * to_mm(cutout.width))
    # Front left and back right are reached along the left and right edges.
    first, last = (beside, along) if right == back else (along, beside)
    if cutout.kind is CutoutKind.ROUNDED_CORNER:
        return ((*first, QUARTER), (*last, 0))
    return ((*first, 0), (along[0], beside[1], 0), (*last, 0))


def _side(cutouts: Iterable[Cutout], side: str, part: Part) -> Sequence[Corner]:
    """Give the corners of the notches along one edge, in anticlockwise order."""
    points: list[Corner] = []
    level, forward = side in {"front", "back"}, side in {"front", "right"}
    edge = {"front": 0.0, "left": 0.0, "right": to_mm(part.length), "back": to_mm(part.width)}[side]
    for cutout in sorted(
        cutouts, key=lambda c: c.from_left if level else c.from_front, reverse=not forward
    ):
        start, size, deep = (
            (cutout.from_left, cutout.length, to_mm(cutout.width))
            if level
            else (cutout.from_front, cutout.width, to_mm(cutout.length))
        )
        ends = (to_mm(start), to_mm(start + size))
        enter, leave = ends if forward else ends[::-1]
        inner = edge + (deep if side in {"front", "left"} else -deep)
        for along, across in ((enter, edge), (enter, inner), (leave, inner), (leave, edge)):
            points.append((along, across, 0) if level else (across, along, 0))
    return points
