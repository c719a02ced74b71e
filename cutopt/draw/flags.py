"""Where flags stand: along a rim, pushed apart so that all can be read."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

from cutopt.draw import marks
from cutopt.draw.marks import Points
from cutopt.draw.scene import Drawing, Style
from cutopt.draw.space import Rect
from cutopt.draw.typeset import width_of

GAP = 3.6
"""Points between a flag's tip and the rim it stands off, where its line has an elbow."""


def flag_extent(number: int, size: float, points: Points) -> tuple[float, float]:
    """Give a flag's width and height in points as it stands on the page."""
    wide = max(size * 1.42, width_of(str(number), size, Style.BOLD) + size * 0.55)
    if points in (Points.DOWN, Points.UP):
        return wide, size * 1.83
    return wide + size * 0.55, size * 1.42


def flag_rect(x: float, y: float, number: int, size: float, points: Points) -> Rect:
    """Give what a flag covers whose point stands at (x, y)."""
    width, height = flag_extent(number, size, points)
    if points is Points.DOWN:
        return Rect(x - width / 2, y, x + width / 2, y + height)
    if points is Points.UP:
        return Rect(x - width / 2, y - height, x + width / 2, y)
    if points is Points.RIGHT:
        return Rect(x - width, y - height / 2, x, y + height / 2)
    return Rect(x, y - height / 2, x + width, y + height / 2)


def spread(wanted: Sequence[float], apart: Sequence[float]) -> list[float]:
    """Give places near the wanted ones, in their order, that keep neighbours apart.

    ``apart[n]`` is the room that place n needs, half to each side. Neighbours that would
    touch are gathered into one run around the mean of what they want: each moves as little
    as it must.

    Source: pool adjacent violators, Barlow, Bartholomew, Bremner and Brunk, Statistical
    Inference under Order Restrictions, 1972, section 1.2.
    """
    offsets = [0.0]
    for before, after in pairwise(apart):
        offsets.append(offsets[-1] + (before + after) / 2)
    runs: list[tuple[float, int]] = []
    for want, offset in zip(wanted, offsets, strict=False):
        mean, count = want - offset, 1
        while runs and runs[-1][0] > mean:
            other, more = runs.pop()
            mean = (mean * count + other * more) / (count + more)
            count += more
        runs.append((mean, count))
    starts = [mean for mean, count in runs for _ in range(count)]
    return [start + offset for start, offset in zip(starts, offsets, strict=False)]


def kept_within(
    places: Sequence[float], apart: Sequence[float], span: tuple[float, float]
) -> list[float]:
    """Give places pushed back into a span, their distances kept; centred where it is too short."""
    low, high = span
    moved = list(places)
    for n in range(len(moved) - 1, -1, -1):
        after = moved[n + 1] - (apart[n] + apart[n + 1]) / 2 if n + 1 < len(moved) else high
        moved[n] = min(moved[n], after)
    if moved and moved[0] < low:
        fits = sum(apart) - (apart[0] + apart[-1]) / 2 <= high - low
        start = low if fits else (low + high - (moved[-1] - moved[0])) / 2
        for n in range(len(moved)):
            before = moved[n - 1] + (apart[n - 1] + apart[n]) / 2 if n else start
            moved[n] = max(moved[n], before)
    return moved


@dataclass(frozen=True, slots=True)
class RimFlag:
    """A cut's flag at a rim: where the cut meets the rim and where the flag's point stands."""

    number: int
    at: tuple[float, float]
    tip: tuple[float, float]
    points: Points
    size: float

    @property
    def rect(self) -> Rect:
        """What the flag covers."""
        return flag_rect(*self.tip, self.number, self.size, self.points)


def rim_flags(
    cuts: Sequence[tuple[int, float]],
    rim: float,
    points: Points,
    size: float,
    gap: float = GAP,
    span: tuple[float, float] | None = None,
) -> tuple[RimFlag, ...]:
    """Place the flags of one rim: ``cuts`` are (number, place along the rim in points).

    ``rim`` is the rim's own height (flags pointing down or up) or x (pointing sideways);
    ``span``, its two ends: flags beyond them are pushed back as far as the others let them.
    """
    ordered = sorted(cuts, key=lambda cut: (cut[1], cut[0]))
    level = points in (Points.DOWN, Points.UP)
    pitch = [
        (flag_extent(number, size, points)[0] + size * 0.18) if level else size * 1.6
        for number, _ in ordered
    ]
    away = gap if points in (Points.DOWN, Points.LEFT) else -gap
    places = spread([want for _, want in ordered], pitch)
    if span is not None:
        places = kept_within(places, pitch, span)
    placed = []
    for (number, want), place in zip(ordered, places, strict=True):
        at, tip = (
            ((want, rim), (place, rim + away)) if level else ((rim, want), (rim + away, place))
        )
        placed.append(RimFlag(number, at, tip, points, size))
    return tuple(placed)


def draw_rim_flag(drawing: Drawing, one: RimFlag) -> None:
    """Draw a flag and the short line from its point to the cut."""
    drawing.line(*one.at, *one.tip, marks.DIMENSION)
    marks.flag(drawing, *one.tip, one.number, one.points, one.size)
