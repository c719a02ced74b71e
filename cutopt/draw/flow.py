"""Content that runs on from page to page: what does not fit opens the next one."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from cutopt.draw import marks
from cutopt.draw.frame import Field, Look, field_of, start_page
from cutopt.draw.lines import wrap_line
from cutopt.draw.scene import Drawing
from cutopt.draw.typeset import Line
from cutopt.units import Units

Opening = Callable[[Drawing, int], float]
"""Draws the top of a page (its number from 1) and gives the y where content begins."""


BODY = 9.5
NOTE = 8.0
BEFORE_CAUTIONS = 16.0
GAP = 7.0


class Flow:
    """Pages of one kind, filled from the top; ``y`` is where the next thing begins."""

    def __init__(self, look: Look, kind: str, name: str, opening: Opening) -> None:
        """Open the first page; ``name`` and a number name the pages."""
        self._look = look
        self._kind = kind
        self._name = name
        self._opening = opening
        self.pages: list[Drawing] = []
        self.y = 0.0
        self.turn()

    @property
    def drawing(self) -> Drawing:
        """The page that is being filled."""
        return self.pages[-1]

    @property
    def field(self) -> Field:
        """What head and foot leave free."""
        return field_of(self.drawing)

    @property
    def room(self) -> float:
        """Height left on this page, points."""
        return self.y - self.field.bottom

    def turn(self) -> None:
        """Open the next page."""
        number = len(self.pages) + 1
        self.pages.append(start_page(self._look, self._kind, f"{self._name}-{number}"))
        self.y = self._opening(self.drawing, number)

    def need(self, height: float) -> bool:
        """Open the next page where ``height`` points do not fit; say whether it did."""
        if height <= self.room:
            return False
        self.turn()
        return True

    def cautions(self, paragraphs: Sequence[Line], units: Units = Units.INCH) -> None:
        """Set paragraphs with a bar at their left; run together where that saves a page."""
        room = self.room - BEFORE_CAUTIONS
        apart = [self._wrapped(text, BODY, units) for text in paragraphs]
        together: Line = tuple(
            piece
            for number, text in enumerate(paragraphs)
            for piece in (" " if number else "", *((text,) if isinstance(text, str) else text))
        )
        small = self._wrapped(together, NOTE, units)
        if sum(_height(lines, BODY) + GAP for lines in apart) > room >= _height(small, NOTE):
            self.y -= BEFORE_CAUTIONS
            self.y -= marks.caution(self.drawing, self.field.left, self.y, small, NOTE, units)
            return
        self.y -= BEFORE_CAUTIONS - GAP
        for lines in apart:
            self.need(_height(lines, BODY) + GAP)
            self.y -= GAP
            self.y -= marks.caution(self.drawing, self.field.left, self.y, lines, BODY, units)

    def _wrapped(self, text: Line, size: float, units: Units) -> tuple[Line, ...]:
        return wrap_line(text, size, self.field.width - 16, units=units)


def _height(lines: Sequence[Line], size: float) -> float:
    """Give the height of a caution of so many lines, as ``marks.caution`` draws it."""
    return size * 1.32 * len(lines) + size * 0.5
