"""The drawing on a shop sheet: stock pulled apart at the store's cuts, with parts and flags."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from cutopt.draw import marks
from cutopt.draw.flags import GAP, RimFlag, draw_rim_flag, flag_extent, flag_rect, rim_flags
from cutopt.draw.marks import Points
from cutopt.draw.regions import Corner, Region, Spread
from cutopt.draw.scene import BLACK, LIGHT, MIDDLE, WHITE, Circle, Drawing, Hatch, Outline, Style
from cutopt.draw.sheet import Needs, PieceFrame
from cutopt.draw.space import Rect, free_rects, meets_any
from cutopt.draw.typeset import NARROWEST, as_text, set_line, size_pieces, width_of
from cutopt.model.job import Cutout, CutoutKind, Edge, Part
from cutopt.model.layout import Direction
from cutopt.model.plan import Cut, Maker, Offcut, PartPiece, Placed, Waste
from cutopt.steps.shop import ShopSheet
from cutopt.units import Units

FLAG = 8.0
INNER_FLAG = 6.5
SMALLEST_FLAG = 6.5
FEW = 8
"""Flags at one rim that stand close to it."""
LETTER = 14.0
SIZE = 8.0
SLIVER = 2.5
"""Points under which waste is a grey line, and a cut beyond it still reaches the rim."""
OFFCUT_INSET = 3.0
BAND_STRIPE = 2.2
BAND_INSET = 1.8
CORNER = 15.0
CORNER_WEIGHT = 3.0
MOST_SCALE = 0.0018
"""Points per tick: about 14.6 an inch, so that small stock is not blown up."""

MOST_PARTS = 90
"""Parts in one drawing; more are drawn in several."""
LEAST_SHARE = 0.65
"""Of the scale a sheet would have without gaps and flags."""


@dataclass(frozen=True, slots=True)
class InnerFlag:
    """A white flag on the start of a cut within a piece."""

    number: int
    x: float
    y: float
    points: Points

    @property
    def rect(self) -> Rect:
        """What it covers."""
        return flag_rect(self.x, self.y, self.number, INNER_FLAG, self.points)


@dataclass(frozen=True, slots=True)
class SheetView:
    """A sheet laid out on paper: where its pieces lie and where the flags stand."""

    sheet: ShopSheet
    spread: Spread
    frames: Mapping[Corner, PieceFrame]
    rim: Mapping[Corner, tuple[RimFlag, ...]]
    inner: Mapping[Corner, tuple[InnerFlag, ...]]

    def pieces(self) -> Sequence[tuple[Region, PieceFrame]]:
        """Give what is drawn, each with its frame."""
        return [(region, self.frames[region.at]) for region in self.spread.regions]

    @property
    def scale(self) -> float:
        """Points per tick."""
        return next(iter(self.frames.values())).scale

    @property
    def lowest(self) -> float:
        """The lowest ink of the drawing."""
        return min(
            min(frame.rect.y0 - 6, *(flag.rect.y0 for flag in self.rim[piece.at]), 1e9)
            for piece, frame in self.pieces()
        )


@dataclass(frozen=True, slots=True)
class _Sides:
    """Cuts of one piece by the rim their flags stand at, and those within; places in ticks."""

    top: tuple[tuple[int, int], ...]
    bottom: tuple[tuple[int, int], ...]
    left: tuple[tuple[int, int], ...]
    right: tuple[tuple[int, int], ...]
    within: tuple[Placed, ...]


def lay_sheet(
    sheet: ShopSheet, spread: Spread, room: Rect, beside: float = 0.0, *, inner: bool = True
) -> SheetView:
    """Lay a drawing out in a room; ``beside`` points stay free right of each piece for leaders."""
    # How much room flags need depends on the scale, and the scale on that room: three rounds.
    scale = min(room.width / spread.tree.length, room.height / spread.tree.width, MOST_SCALE)
    sides = {region.at: _sides(region, 1.3 * SLIVER / scale) for region in spread.regions}
    frames: dict[Corner, PieceFrame] = {}
    for _ in range(3):
        needs = {
            region.at: _needs(sides[region.at], beside, region.length * scale, region.width * scale)
            for region in spread.regions
        }
        frames = spread.lay(room, needs, MOST_SCALE)
        scale = next(iter(frames.values())).scale
    return SheetView(
        sheet,
        spread,
        frames,
        {at: _rim(sides[at], frame) for at, frame in frames.items()},
        {at: _inner(sides[at], frame) if inner else () for at, frame in frames.items()},
    )


def is_too_full(view: SheetView, room: Rect) -> bool:
    """Say whether a drawing is to be parted: too many parts, or too little left of its scale."""
    tree = view.spread.tree
    plain = min(room.width / tree.length, room.height / tree.width, MOST_SCALE)
    return view.spread.parts > MOST_PARTS or view.scale < LEAST_SHARE * plain


def _sides(piece: Region, near: float) -> _Sides:
    """Sort the cuts of a piece by where their flags stand; ``near`` ticks count as the rim."""
    top, bottom, left, right, within = [], [], [], [], []
    x1, y1 = piece.x + piece.length, piece.y + piece.width
    for placed in piece.placed:
        cut = placed.node
        if not isinstance(cut, Cut) or cut.by is not Maker.SHOP:
            continue
        middle = cut.at + cut.kerf // 2
        if cut.direction is Direction.CROSSCUT:
            if y1 - placed.y - cut.width <= near:
                top.append((cut.step, placed.x + middle))
            elif placed.y - piece.y <= near:
                bottom.append((cut.step, placed.x + middle))
            else:
                within.append(placed)
        elif placed.x - piece.x <= near:
            left.append((cut.step, placed.y + middle))
        elif x1 - placed.x - cut.length <= near:
            right.append((cut.step, placed.y + middle))
        else:
            within.append(placed)
    return _Sides(tuple(top), tuple(bottom), tuple(left), tuple(right), tuple(within))


def _needs(sides: _Sides, beside: float, width: float, height: float) -> Needs:
    """Give the room for flags around a piece of about that size on paper."""
    widest = max((step for step, _ in (*sides.left, *sides.right)), default=0)
    across, _ = flag_extent(widest, FLAG, Points.RIGHT)
    _, up = flag_extent(1, FLAG, Points.DOWN)
    # Flags that a short rim cannot hold stand out at both of its ends.
    out = max(0.0, _run(max(sides.top, sides.bottom, key=len)) - width) / 2
    over = max(0.0, _run(max(sides.left, sides.right, key=len)) - height) / 2
    return Needs(
        left=max(out, across + _stand_off(sides.left) + 1 if sides.left else 5.0),
        right=max(out, across + _stand_off(sides.right) + 1 if sides.right else 4.0) + beside,
        bottom=max(over, up + _stand_off(sides.bottom) + 1 if sides.bottom else 5.0),
        top=max(over, 22.0, up + _stand_off(sides.top) + 1),
    )


def _run(cuts: Sequence[tuple[int, int]]) -> float:
    """Give the least length of a row of flags, points."""
    return len(cuts) * SMALLEST_FLAG * 1.9


def _stand_off(cuts: Sequence[tuple[int, int]]) -> float:
    """Give how far the flags of a rim stand off it: further where many are pushed apart."""
    return GAP if len(cuts) <= FEW else 2.5 * GAP


def _rim(sides: _Sides, frame: PieceFrame) -> tuple[RimFlag, ...]:
    rect = frame.rect
    rims = (
        (sides.top, True, rect.y1, Points.DOWN),
        (sides.bottom, True, rect.y0, Points.UP),
        (sides.left, False, rect.x0, Points.RIGHT),
        (sides.right, False, rect.x1, Points.LEFT),
    )
    placed: list[RimFlag] = []
    for cuts, level, rim, points in rims:
        span = (rect.x0, rect.x1) if level else (rect.y0, rect.y1)
        # Many flags are set a little smaller before they are pushed past the ends.
        size = min(FLAG, max(SMALLEST_FLAG, (span[1] - span[0]) / (1.6 * max(1, len(cuts)))))
        at = [(step, frame.across(place) if level else frame.up(place)) for step, place in cuts]
        placed.extend(rim_flags(at, rim, points, size, _stand_off(cuts), span))
    return tuple(placed)


def _inner(sides: _Sides, frame: PieceFrame) -> tuple[InnerFlag, ...]:
    """Place white flags on the start of their lines, further along where one stands already."""
    placed: list[InnerFlag] = []
    for found in sorted(sides.within, key=lambda f: f.node.step if isinstance(f.node, Cut) else 0):
        cut = found.node
        if not isinstance(cut, Cut):
            continue
        rect = frame.rect_of(found.x, found.y, cut.length, cut.width)
        middle = (cut.at + cut.kerf / 2) * frame.scale
        wide, _ = flag_extent(cut.step, INNER_FLAG, Points.RIGHT)
        _, high = flag_extent(cut.step, INNER_FLAG, Points.DOWN)
        crosscut = cut.direction is Direction.CROSSCUT
        along = rect.height if crosscut else rect.width
        reach = high if crosscut else wide
        slide = 0.0
        while slide == 0.0 or slide + reach <= along:
            if crosscut:
                flag = InnerFlag(cut.step, rect.x0 + middle, rect.y1 - reach - slide, Points.DOWN)
            else:
                flag = InnerFlag(cut.step, rect.x0 + reach + slide, rect.y0 + middle, Points.RIGHT)
            if not meets_any(flag.rect, (other.rect for other in placed)):
                placed.append(flag)
                break
            slide += 2.0
    return tuple(placed)


# Drawing ----------------------------------------------------------------------------------


def draw_pieces(drawing: Drawing, view: SheetView, parts: Mapping[str, Part], units: Units,
                *, rough: bool) -> None:  # fmt: skip
    """Draw outlines, waste, offcuts' dashes, parts with bands and cutouts; no words yet."""
    corners = {(piece.x, piece.y) for piece in view.sheet.names.floor}
    for piece, frame in view.pieces():
        rect = frame.rect
        drawing.rectangle(rect.x0, rect.y0, rect.width, rect.height, marks.STOCK_OUTLINE, WHITE)
        for placed in piece.placed:
            node = placed.node
            if isinstance(node, Cut):
                continue
            own = frame.rect_of(placed.x, placed.y, node.length, node.width)
            if isinstance(node, Waste):
                _draw_waste(drawing, own)
            elif isinstance(node, Offcut):
                _draw_offcut(drawing, own)
            else:
                draw_part(drawing, own, node, parts[node.part])
        # The outline once more on top, so that fills do not thin it.
        drawing.rectangle(rect.x0, rect.y0, rect.width, rect.height, marks.STOCK_OUTLINE)
        if rough:
            _rough_edges(drawing, piece, rect)
        if (piece.x, piece.y) in corners:
            _corner(drawing, rect)
        _name(drawing, view, piece, frame, units)


def draw_flags(drawing: Drawing, view: SheetView) -> None:
    """Draw the flags at the rims and within."""
    for piece, _ in view.pieces():
        for rim in view.rim[piece.at]:
            draw_rim_flag(drawing, rim)
        for flag in view.inner[piece.at]:
            marks.flag(drawing, flag.x, flag.y, flag.number, flag.points, INNER_FLAG, inner=True)


def _draw_waste(drawing: Drawing, rect: Rect) -> None:
    if min(rect.width, rect.height) < SLIVER:
        drawing.rectangle(rect.x0, rect.y0, rect.width, rect.height, 0, fill=LIGHT)
        return
    drawing.add(Hatch(rect.x0, rect.y0, rect.width, rect.height))
    drawing.rectangle(rect.x0, rect.y0, rect.width, rect.height, 0.4)


def _draw_offcut(drawing: Drawing, rect: Rect) -> None:
    drawing.rectangle(rect.x0, rect.y0, rect.width, rect.height, 0.4)
    inset = min(OFFCUT_INSET, min(rect.width, rect.height) / 4)
    own = rect.grown(-inset)
    drawing.rectangle(own.x0, own.y0, own.width, own.height, 0.8, dash=(4.5, 2.2))


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
    """Give the room of a cutout as the part lies; a turned part is turned anticlockwise."""
    u0, u1 = cutout.from_left / part.length, (cutout.from_left + cutout.length) / part.length
    v0, v1 = cutout.from_front / part.width, (cutout.from_front + cutout.width) / part.width
    if piece.turned:
        u0, u1, v0, v1 = 1 - v1, 1 - v0, u0, u1
    return Rect(
        rect.x0 + u0 * rect.width,
        rect.y0 + v0 * rect.height,
        rect.x0 + u1 * rect.width,
        rect.y0 + v1 * rect.height,
    )


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
        *(cutout_rect(rect, piece, part, cutout).grown(0.8) for cutout in part.cutouts),
        *(flag.grown(0.8) for flag in flags),
    ]
    return free_rects(inside, taken)


def _rough_edges(drawing: Drawing, piece: Region, rect: Rect) -> None:
    """Draw saw-teeth outside the edges that the store made."""
    edges = piece.store_edges
    off = 0.9
    if edges.left:
        marks.saw_tooth(drawing, rect.x0 - off, rect.y0, rect.x0 - off, rect.y1, (-1, 0))
    if edges.right:
        marks.saw_tooth(drawing, rect.x1 + off, rect.y0, rect.x1 + off, rect.y1, (1, 0))
    if edges.bottom:
        marks.saw_tooth(drawing, rect.x0, rect.y0 - off, rect.x1, rect.y0 - off, (0, -1))
    if edges.top:
        marks.saw_tooth(drawing, rect.x0, rect.y1 + off, rect.x1, rect.y1 + off, (0, 1))


def _corner(drawing: Drawing, rect: Rect) -> None:
    """Draw the L at the reference corner, outside it."""
    reach = min(CORNER, rect.height, rect.width)
    x, y = rect.x0 - CORNER_WEIGHT, rect.y0 - CORNER_WEIGHT
    drawing.rectangle(x, y, reach + CORNER_WEIGHT, CORNER_WEIGHT, 0, fill=BLACK)
    drawing.rectangle(x, y, CORNER_WEIGHT, reach + CORNER_WEIGHT, 0, fill=BLACK)


def _name(
    drawing: Drawing, view: SheetView, piece: Region, frame: PieceFrame, units: Units
) -> None:
    """Write a piece's letter and size above its left corner, clear of the flags there."""
    if not piece.letter:
        return
    rect = frame.rect
    y = rect.y1 + 5.5
    flags = sorted(
        (flag.rect for flag in view.rim[piece.at] if flag.points is Points.DOWN),
        key=lambda r: r.x0,
    )
    letters = width_of(piece.letter, LETTER, Style.BOLD)
    x, end = _gap_for(flags, rect.x0, letters)
    set_line(drawing, x, y, piece.letter, LETTER, Style.BOLD)
    size = size_pieces(piece.length, piece.width)
    needed = width_of(as_text(size, units), SIZE)
    x += letters + 6
    if piece.whole and view.sheet.store_cuts and x + needed * NARROWEST <= min(end, rect.x1 + 24):
        room = min(end, rect.x1 + 24) - x
        set_line(drawing, x, y, size, SIZE, units=units, grey=MIDDLE, room=room)


def _gap_for(flags: Sequence[Rect], start: float, width: float) -> tuple[float, float]:
    """Give the first gap between flags, from ``start``, that is so wide: its two ends."""
    x = start
    for flag in flags:
        if flag.x0 - 3 >= x + width:
            return x, flag.x0 - 3
        x = max(x, flag.x1 + 4)
    return x, math.inf
