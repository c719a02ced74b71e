"""Rectangles on paper: what is taken, and what is left free for words."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Rect:
    """A rectangle in points from its lower left to its upper right corner."""

    x0: float
    y0: float
    x1: float
    y1: float

    @property
    def width(self) -> float:
        """Width in points."""
        return self.x1 - self.x0

    @property
    def height(self) -> float:
        """Height in points."""
        return self.y1 - self.y0

    @property
    def middle(self) -> tuple[float, float]:
        """Its middle."""
        return (self.x0 + self.x1) / 2, (self.y0 + self.y1) / 2

    def grown(self, by: float) -> Rect:
        """Give the rectangle larger by so many points on every side (smaller if negative)."""
        return Rect(self.x0 - by, self.y0 - by, self.x1 + by, self.y1 + by)

    def meets(self, other: Rect) -> bool:
        """Say whether the two share more than an edge."""
        return (
            self.x0 < other.x1 and other.x0 < self.x1 and self.y0 < other.y1 and other.y0 < self.y1
        )

    def shared(self, other: Rect) -> float:
        """Give the area the two share, square points."""
        wide = min(self.x1, other.x1) - max(self.x0, other.x0)
        high = min(self.y1, other.y1) - max(self.y0, other.y0)
        return max(0.0, wide) * max(0.0, high)

    def holds(self, other: Rect) -> bool:
        """Say whether the other lies within this one."""
        return (
            self.x0 <= other.x0
            and other.x1 <= self.x1
            and self.y0 <= other.y0
            and other.y1 <= self.y1
        )


def meets_any(rect: Rect, others: Iterable[Rect]) -> bool:
    """Say whether a rectangle meets one of the others."""
    return any(rect.meets(other) for other in others)


def steps(low: float, high: float, by: float = 6.0) -> Iterator[float]:
    """Yield places from ``low`` to ``high``, so many points apart."""
    place = low
    while place <= high:
        yield place
        place += by


def free_rects(room: Rect, taken: Sequence[Rect]) -> tuple[Rect, ...]:
    """Give all maximal rectangles of a room clear of what is taken, largest area first."""
    free = [room]
    for block in taken:
        if not room.meets(block):
            continue
        split: list[Rect] = []
        for rect in free:
            split.extend(_around(rect, block) if rect.meets(block) else (rect,))
        free = _maximal(split)
    return tuple(sorted(free, key=lambda r: (-r.width * r.height, r.x0, r.y0)))


def _around(rect: Rect, block: Rect) -> list[Rect]:
    """Give the rectangles left of, right of, under and over a block within ``rect``."""
    pieces = []
    if block.x0 > rect.x0:
        pieces.append(Rect(rect.x0, rect.y0, block.x0, rect.y1))
    if block.x1 < rect.x1:
        pieces.append(Rect(block.x1, rect.y0, rect.x1, rect.y1))
    if block.y0 > rect.y0:
        pieces.append(Rect(rect.x0, rect.y0, rect.x1, block.y0))
    if block.y1 < rect.y1:
        pieces.append(Rect(rect.x0, block.y1, rect.x1, rect.y1))
    return pieces


def _maximal(rects: list[Rect]) -> list[Rect]:
    unique = list(dict.fromkeys(rects))
    return [
        rect
        for rect in unique
        if not any(other is not rect and other.holds(rect) for other in unique)
    ]
