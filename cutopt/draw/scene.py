"""A page as plain data: strokes, fills, hatches and words in points, ready for any writer.

The origin is the lower left corner of the page, y goes up, one unit is a point (1/72 in).
Greys run from 0 (black) to 1 (white). Nothing here measures text or writes files.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from enum import StrEnum

Point = tuple[float, float]

BLACK = 0.0
DARK = 0.3
MIDDLE = 0.45
LIGHT = 0.85
WHITE = 1.0


class Style(StrEnum):
    """Faces used on paper."""

    REGULAR = "regular"
    BOLD = "bold"
    ITALIC = "italic"


class Align(StrEnum):
    """What a word's x means: its left end, its middle or its right end."""

    LEFT = "left"
    MIDDLE = "middle"
    RIGHT = "right"


@dataclass(frozen=True, slots=True)
class Outline:
    """A line through points, closed or not, stroked and filled as told.

    Attributes:
        weight: of the stroke in points; 0 for none.
        fill: grey of the inside, or None.
        dash: lengths of dash and gap in points, or ().
    """

    points: tuple[Point, ...]
    weight: float = 0.4
    grey: float = BLACK
    closed: bool = False
    fill: float | None = None
    dash: tuple[float, ...] = ()


@dataclass(frozen=True, slots=True)
class Circle:
    """A circle of that middle and radius."""

    x: float
    y: float
    radius: float
    weight: float = 0.4
    fill: float | None = None
    grey: float = BLACK


@dataclass(frozen=True, slots=True)
class Rounded:
    """A rectangle with rounded corners: capsules and tags."""

    x: float
    y: float
    width: float
    height: float
    radius: float
    weight: float = 0.8
    fill: float | None = None


@dataclass(frozen=True, slots=True)
class Hatch:
    """Slanting lines (45 degrees) over a rectangle, anchored to the page so neighbours join."""

    x: float
    y: float
    width: float
    height: float
    pitch: float = 5.0
    weight: float = 0.35
    grey: float = DARK


@dataclass(frozen=True, slots=True)
class Words:
    """One run of text in one face; ``y`` is its baseline.

    Attributes:
        stretch: width as a share of the face's own (0.82 is the narrowest used).
        angle: degrees, anticlockwise.
    """

    x: float
    y: float
    text: str
    size: float
    style: Style = Style.REGULAR
    grey: float = BLACK
    align: Align = Align.LEFT
    stretch: float = 1.0
    angle: float = 0.0


Mark = Outline | Circle | Rounded | Hatch | Words


@dataclass(frozen=True, slots=True)
class Page:
    """One finished page.

    Attributes:
        name: file-name-like word for the page ("store-S1"), unique in its document.
    """

    width: float
    height: float
    name: str
    marks: tuple[Mark, ...]


@dataclass(slots=True)
class Drawing:
    """Collects the marks of one page; the only mutable thing in drawing."""

    width: float
    height: float
    name: str
    marks: list[Mark] = field(default_factory=list)

    def add(self, *marks: Mark) -> None:
        """Put marks on top of what is there."""
        self.marks.extend(marks)

    def line(
        self,
        x0: float,
        y0: float,
        x1: float,
        y1: float,
        weight: float = 0.4,
        grey: float = BLACK,
        dash: tuple[float, ...] = (),
    ) -> None:
        """Draw a straight line."""
        self.add(Outline(((x0, y0), (x1, y1)), weight, grey, dash=dash))

    def rectangle(
        self,
        x: float,
        y: float,
        width: float,
        height: float,
        weight: float = 0.4,
        fill: float | None = None,
        grey: float = BLACK,
        dash: tuple[float, ...] = (),
    ) -> None:
        """Draw a rectangle from its lower left corner."""
        corners = ((x, y), (x + width, y), (x + width, y + height), (x, y + height))
        self.add(Outline(corners, weight, grey, closed=True, fill=fill, dash=dash))

    def finish(self) -> Page:
        """Give the page as it stands."""
        return Page(self.width, self.height, self.name, tuple(self.marks))
