"""Where pieces lie on a shop sheet and where the flags of their cuts stand."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass

from cutopt.draw.flags import GAP, RimFlag, flag_extent, flag_rect, rim_flags
from cutopt.draw.marks import Points
from cutopt.draw.regions import Corner, Region, Spread
from cutopt.draw.scene import Style
from cutopt.draw.sheet import Needs, PieceFrame
from cutopt.draw.shop_runs import Link, links_of
from cutopt.draw.space import Rect
from cutopt.draw.typeset import as_text, size_pieces, width_of
from cutopt.model.layout import Direction
from cutopt.model.plan import Cut, Maker, Placed
from cutopt.steps.shop import ShopSheet
from cutopt.units import Units

FLAG = 8.0
INNER_FLAG = 6.5
SMALLEST_FLAG = 6.5
FEW = 8
"""Flags at one rim that stand close to it."""
SLIVER = 2.5
"""Points under which waste is a grey line, and a cut beyond it still reaches the rim."""
LETTER = 14.0
SIZE = 8.0
AFTER_LETTER = 6.0
LEADER = 38.0
"""Points right of a piece for leaders to its slivers."""
LEAST_LEADER_PITCH = 7.5
MOST_SCALE = 0.0018
"""Points per tick: about 14.6 an inch, so that small stock is not blown up."""
MOST_PARTS = 90
"""Parts in one drawing; more are drawn in several."""
LEAST_SHARE = 0.65
"""Of the scale a sheet would have without gaps and flags."""
MOST_HIDDEN = 0.2
"""Of a white flag's area: what may lie on others before their numbers suffer."""
STEM_ROWS = 3
"""Rows of white flags that stand across their lines, one behind the other."""


@dataclass(frozen=True, slots=True)
class InnerFlag:
    """A white flag on the start of a cut within a piece.

    Attributes:
        stem: from its point on to the line, in points; 0 where the point stands on it.
    """

    number: int
    x: float
    y: float
    points: Points
    stem: float = 0.0

    @property
    def rect(self) -> Rect:
        """What it covers."""
        return flag_rect(self.x, self.y, self.number, INNER_FLAG, self.points)

    @property
    def foot(self) -> tuple[float, float]:
        """Where its stem meets the line."""
        match self.points:
            case Points.DOWN:
                return self.x, self.y - self.stem
            case Points.UP:
                return self.x, self.y + self.stem
            case Points.LEFT:
                return self.x - self.stem, self.y
            case Points.RIGHT:
                return self.x + self.stem, self.y


@dataclass(frozen=True, slots=True)
class SheetView:
    """A sheet laid out on paper: where its pieces lie and where the flags stand."""

    sheet: ShopSheet
    spread: Spread
    frames: Mapping[Corner, PieceFrame]
    rim: Mapping[Corner, tuple[RimFlag, ...]]
    inner: Mapping[Corner, tuple[InnerFlag, ...]]
    links: Mapping[Corner, tuple[Link, ...]]
    leaders: Mapping[Corner, int]

    def marks_in(self, at: Corner) -> list[Rect]:
        """Give what flags and links cover within a piece: words keep off it."""
        flags, links = self.inner[at], self.links[at]
        return [*(flag.rect for flag in flags), *(link.rect for link in links)]

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
            low
            for piece, frame in self.pieces()
            for low in (
                frame.rect.y0 - 6,
                frame.rect.y1 - 2 - self.leaders.get(piece.at, 0) * LEAST_LEADER_PITCH,
                *(flag.rect.y0 for flag in self.rim[piece.at]),
            )
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
    sheet: ShopSheet,
    spread: Spread,
    room: Rect,
    units: Units,
    leaders: Mapping[Corner, int] | None = None,
    *,
    inner: bool = True,
) -> SheetView:
    """Lay a drawing out in a room; ``leaders`` says how many stand right of each piece."""
    leaders = leaders or {}
    # How much room flags need depends on the scale, and the scale on that room: three rounds.
    scale = min(room.width / spread.tree.length, room.height / spread.tree.width, MOST_SCALE)
    sides = {region.at: _sides(region, 1.3 * SLIVER / scale) for region in spread.regions}
    frames: dict[Corner, PieceFrame] = {}
    for _ in range(3):
        needs = {
            region.at: _needs(
                sides[region.at],
                leaders.get(region.at, 0),
                label_width(sheet, region, units),
                region.length * scale,
                region.width * scale,
            )
            for region in spread.regions
        }
        frames = spread.lay(room, needs, MOST_SCALE)
        scale = next(iter(frames.values())).scale
    within = {at: _inner(sides[at], frame) if inner else () for at, frame in frames.items()}
    return SheetView(
        sheet,
        spread,
        frames,
        {at: _rim(sides[at], frame) for at, frame in frames.items()},
        within,
        {
            region.at: links_of(
                sheet.runs, region, frames[region.at], [flag.rect for flag in within[region.at]]
            )
            for region in spread.regions
        },
        leaders,
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


def label_width(sheet: ShopSheet, region: Region, units: Units) -> float:
    """Give the width of the letter over a piece, and of its size where the store cut it."""
    letter = width_of(region.letter, LETTER, Style.BOLD)
    if not (sheet.store_cuts and region.whole):
        return letter
    size = as_text(size_pieces(region.length, region.width), units)
    return letter + AFTER_LETTER + width_of(size, SIZE)


def _needs(sides: _Sides, leaders: int, label: float, width: float, height: float) -> Needs:
    """Give the room for flags, leaders and name of a piece of about that size on paper."""
    widest = max((step for step, _ in (*sides.left, *sides.right)), default=0)
    across, _ = flag_extent(widest, FLAG, Points.RIGHT)
    _, up = flag_extent(1, FLAG, Points.DOWN)
    # Flags that a short rim cannot hold stand out at both of its ends.
    out = max(0.0, _run(max(sides.top, sides.bottom, key=len)) - width) / 2
    over = max(0.0, _run(max(sides.left, sides.right, key=len)) - height) / 2
    under = max(over, leaders * LEAST_LEADER_PITCH + 4 - height)
    right = max(out, across + _stand_off(sides.right) + 1 if sides.right else 4.0)
    return Needs(
        left=max(out, across + _stand_off(sides.left) + 1 if sides.left else 5.0),
        right=max(right + (LEADER if leaders else 0.0), label - width + 4),
        bottom=max(under, up + _stand_off(sides.bottom) + 1 if sides.bottom else 5.0),
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
    """Place white flags on the start of their lines, further along where one stands already.

    A flag that would hide much of another stands across its line, on a stem where need be.
    One that finds no free place there either stands where it hides least of the others: a number
    that is hard to read is found, one that is missing is not.
    """
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
        slides = [2.0 * step for step in range(1 + max(0, int((along - reach) / 2.0)))]
        flags = (
            InnerFlag(cut.step, rect.x0 + middle, rect.y1 - reach - slide, Points.DOWN)
            if crosscut
            else InnerFlag(cut.step, rect.x0 + reach + slide, rect.y0 + middle, Points.RIGHT)
            for slide in slides
        )
        best = _least_hidden(flags, placed)
        if _covered(best, placed) > MOST_HIDDEN * wide * high:
            line = (
                Rect(rect.x0 + middle, rect.y0, rect.x0 + middle, rect.y1)
                if crosscut
                else Rect(rect.x0, rect.y0 + middle, rect.x1, rect.y0 + middle)
            )
            best = _least_hidden([best, *_across(cut.step, line, frame.rect)], placed)
        placed.append(best)
    return tuple(placed)


def _across(number: int, line: Rect, whole: Rect) -> Iterator[InnerFlag]:
    """Yield flags that point across a line at its middle, further and further from it."""
    x, y = line.middle
    level = line.height == 0
    for row in range(STEM_ROWS):
        for points in (Points.DOWN, Points.UP) if level else (Points.RIGHT, Points.LEFT):
            wide, high = flag_extent(number, INNER_FLAG, points)
            stem = row * ((high if level else wide) + 1.0)
            away = stem if points in (Points.DOWN, Points.LEFT) else -stem
            at = (x, y + away) if level else (x + away, y)
            flag = InnerFlag(number, *at, points, stem)
            if whole.shared(flag.rect) > 0.99 * wide * high:
                yield flag


def _covered(flag: InnerFlag, placed: Iterable[InnerFlag]) -> float:
    """Give how much a flag covers of others, in square points."""
    return sum(flag.rect.shared(other.rect) for other in placed)


def _least_hidden(flags: Iterable[InnerFlag], placed: Sequence[InnerFlag]) -> InnerFlag:
    """Give the first flag that covers the least of those placed before."""
    return min(flags, key=lambda flag: _covered(flag, placed))
