"""A part as it lies on the stock: outline, bands, cutouts, and what they leave free."""

from __future__ import annotations

import math
from collections.abc import Sequence

from cutopt.draw import marks
from cutopt.draw.scene import BLACK, WHITE, Circle, Drawing, Outline
from cutopt.draw.space import Rect, free_rects
from cutopt.model.job import Cutout, CutoutKind, Edge, Part
from cutopt.model.plan import PartPiece
from cutopt.steps.blanks import finished_in_blank

BAND_STRIPE = 2.2
BAND_INSET = 1.8


def part_weight(rect: Rect) -> float:
    """Give the weight of a part's outline: thinner on thin parts."""
    return min(marks.PART_OUTLINE, min(rect.width, rect.height) / 12)


def draw_part(drawing: Drawing, rect: Rect, piece: PartPiece, part: Part) -> None:
    """Draw a part's outline with its bands and cutouts, as it lies on the stock."""
    weight = part_weight(rect)
    own = rect.grown(-0.3 - weight / 2)
    drawing.rectangle(own.x0, own.y0, own.width, own.height, weight, WHITE)
    for stripe in band_stripes(rect, piece, part):
        drawing.rectangle(stripe.x0, stripe.y0, stripe.width, stripe.height, 0, fill=BLACK)
    for cutout in part.cutouts:
        _draw_cutout(drawing, cutout_rect(rect, piece, part, cutout), cutout, rect)


_TURNED = {
    Edge.FRONT: Edge.RIGHT,
    Edge.BACK: Edge.LEFT,
    Edge.LEFT: Edge.FRONT,
    Edge.RIGHT: Edge.BACK,
}


def band_stripes(rect: Rect, piece: PartPiece, part: Part) -> tuple[Rect, ...]:
    """Give the stripes of the banded edges; a turned part lies with its front to the right."""
    breadth = min(rect.width, rect.height)
    thick, inset = min(BAND_STRIPE, breadth / 6), min(BAND_INSET, breadth / 7)
    own = rect.grown(-inset)
    stripes = []
    for edge in part.band:
        at = _TURNED[edge] if piece.turned else edge
        if at is Edge.FRONT:
            stripes.append(Rect(own.x0, own.y0, own.x1, own.y0 + thick))
        elif at is Edge.BACK:
            stripes.append(Rect(own.x0, own.y1 - thick, own.x1, own.y1))
        elif at is Edge.LEFT:
            stripes.append(Rect(own.x0, own.y0, own.x0 + thick, own.y1))
        else:
            stripes.append(Rect(own.x1 - thick, own.y0, own.x1, own.y1))
    return tuple(stripes)


def cutout_rect(rect: Rect, piece: PartPiece, part: Part, cutout: Cutout) -> Rect:
    """Give the room of a cutout as the part lies; a turned part is turned anticlockwise.

    It sits at its place on the finished part, wherever that lies in the blank.
    """
    left, front = finished_in_blank(part, piece.copy)
    u0, u1 = _within(left + cutout.from_left, cutout.length, part.blank_length)
    v0, v1 = _within(front + cutout.from_front, cutout.width, part.blank_width)
    if piece.turned:
        u0, u1, v0, v1 = 1 - v1, 1 - v0, u0, u1
    return Rect(
        rect.x0 + u0 * rect.width,
        rect.y0 + v0 * rect.height,
        rect.x0 + u1 * rect.width,
        rect.y0 + v1 * rect.height,
    )


def _within(start: int, size: int, whole: int) -> tuple[float, float]:
    """Give from where to where in a blank, as shares of it; what is off it is band."""
    return max(0.0, start / whole), min(1.0, (start + size) / whole)


def _draw_cutout(drawing: Drawing, own: Rect, cutout: Cutout, rect: Rect) -> None:
    dash = (2.0, 1.5)
    if cutout.kind is CutoutKind.ROUNDED_CORNER:
        left = own.middle[0] < rect.middle[0]
        low = own.middle[1] < rect.middle[1]
        # The arc runs around the corner of its square that lies farthest inside the part.
        cx, cy = (own.x1 if left else own.x0), (own.y1 if low else own.y0)
        sx, sy = (-1 if left else 1), (-1 if low else 1)
        arc = tuple(
            (
                cx + sx * own.width * math.cos(math.pi * step / 24),
                cy + sy * own.height * math.sin(math.pi * step / 24),
            )
            for step in range(13)
        )
        drawing.add(Outline(arc, 0.7, dash=dash))
    elif cutout.kind in (CutoutKind.HOLE, CutoutKind.DISC):
        mx, my = own.middle
        radius = min(own.width, own.height) / 2
        if radius < 4:
            drawing.add(Circle(mx, my, max(radius, 0.8), 0.7))
            return
        ring = tuple(
            (
                mx + own.width / 2 * math.cos(math.pi * step / 24),
                my + own.height / 2 * math.sin(math.pi * step / 24),
            )
            for step in range(48)
        )
        drawing.add(Outline(ring, 0.7, closed=True, dash=dash))
    else:
        drawing.rectangle(own.x0, own.y0, own.width, own.height, 0.7, dash=dash)


def free_in_part(
    rect: Rect, piece: PartPiece, part: Part, flags: Sequence[Rect]
) -> tuple[Rect, ...]:
    """Give the free rectangles of a part for words: clear of bands, cutouts and flags."""
    inside = rect.grown(-part_weight(rect) - 0.3)
    taken = [
        *(stripe.grown(0.6) for stripe in band_stripes(rect, piece, part)),
        *(
            room
            for cutout in part.cutouts
            for room in _covered(cutout_rect(rect, piece, part, cutout), cutout)
        ),
        *(flag.grown(0.8) for flag in flags),
    ]
    return free_rects(inside, taken)


def _covered(own: Rect, cutout: Cutout) -> tuple[Rect, ...]:
    """Give what a cutout keeps words off: its room, but a disc is what stays, so its rim only."""
    if cutout.kind is not CutoutKind.DISC:
        return (own.grown(0.8),)
    mx, my = own.middle
    half_x, half_y = own.width / math.sqrt(8), own.height / math.sqrt(8)
    return (
        Rect(own.x0, own.y0, mx - half_x, own.y1),
        Rect(mx + half_x, own.y0, own.x1, own.y1),
        Rect(own.x0, own.y0, own.x1, my - half_y),
        Rect(own.x0, my + half_y, own.x1, own.y1),
    )
