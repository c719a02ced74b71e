"""The frame all pages share: margins, head, title, foot with the true-size rule and plan mark."""

from __future__ import annotations

from dataclasses import dataclass, replace
from enum import StrEnum

from cutopt.draw import marks
from cutopt.draw.scene import BLACK, MIDDLE, Align, Drawing, Style, Words
from cutopt.draw.typeset import Line, set_line, width_of
from cutopt.model.plan import Plan
from cutopt.units import Units

MARGIN = 45.0
HEAD = 38.0
FOOT = 30.0
POINTS_PER_INCH = 72.0
POINTS_PER_CM = 72.0 / 2.54


class Paper(StrEnum):
    """Paper sizes."""

    LETTER = "letter"
    A4 = "a4"

    @property
    def size(self) -> tuple[float, float]:
        """Width and height upright, in points. Source: ANSI Y14.1; ISO 216."""
        return (612.0, 792.0) if self is Paper.LETTER else (595.276, 841.89)


@dataclass(frozen=True, slots=True)
class Look:
    """What all pages of one plan share.

    Attributes:
        mark: six letters that tell this plan's pages from another's.
        after: mark of the plan that this one goes on from, or "".
    """

    job: str
    units: Units
    paper: Paper
    mark: str
    after: str = ""


def in_units(plan: Plan, look: Look) -> Plan:
    """Give the plan as it is printed: steps round what people read in these units."""
    return replace(plan, job=replace(plan.job, units=look.units))


@dataclass(frozen=True, slots=True)
class Field:
    """What a page leaves for its content, in points: left, right, top, bottom."""

    left: float
    right: float
    top: float
    bottom: float

    @property
    def width(self) -> float:
        """Width between the margins."""
        return self.right - self.left


def start_page(look: Look, kind: str, name: str, *, landscape: bool = False) -> Drawing:
    """Give a drawing of the right size with head and foot; numbering comes last.

    The page's number is set by ``number_pages`` once all pages of a document are there.
    """
    width, height = look.paper.size
    if landscape:
        width, height = height, width
    drawing = Drawing(width, height, name)
    y = height - HEAD
    taken = set_line(drawing, MARGIN, y, look.job, 9.5, Style.BOLD, room=width * 0.55)
    words = f"{kind}, replan of plan {look.after}" if look.after else kind
    set_line(drawing, MARGIN + taken + 8, y, words, 9.5, grey=MIDDLE)
    drawing.line(MARGIN, y - 7, width - MARGIN, y - 7, marks.RULE)
    _foot(drawing, look)
    return drawing


def _foot(drawing: Drawing, look: Look) -> None:
    """Draw the true-size rule and the plan mark."""
    y = FOOT
    if look.units is Units.INCH:
        span, count, words = 3 * POINTS_PER_INCH, 24, "printed true to size if this is 3 inches"
        reaches = {8: 7.0, 4: 5.0}
    else:
        span, count, words = 8 * POINTS_PER_CM, 80, "printed true to size if this is 8 cm"
        reaches = {10: 7.0, 5: 5.0}
    drawing.line(MARGIN, y, MARGIN + span, y, 0.6)
    for number in range(count + 1):
        reach = next((r for every, r in reaches.items() if number % every == 0), 3.0)
        x = MARGIN + span * number / count
        drawing.line(x, y, x, y + reach, 0.4)
    drawing.add(Words(MARGIN + span + 6, y, words, 6.5, grey=MIDDLE))
    right = drawing.width - MARGIN
    drawing.add(Words(right, y, f"plan {look.mark}", 6.5, grey=MIDDLE, align=Align.RIGHT))


def field_of(drawing: Drawing) -> Field:
    """Give what head and foot leave free."""
    return Field(MARGIN, drawing.width - MARGIN, drawing.height - HEAD - 7, FOOT + 16)


def title(
    drawing: Drawing,
    line: Line,
    units: Units,
    *,
    tag: str = "",
    counts: Line = "",
    conditions: Line = "",
    top: float | None = None,
) -> float:
    """Set the title line: tag, name, and at the right what counts over conditions.

    It stands under ``top``, by default at the top of the page. Gives the y under it where
    content may begin.
    """
    field = field_of(drawing)
    y = (field.top if top is None else top) - 30
    x = field.left
    if tag:
        x += marks.tag(drawing, x, y, tag) + 9
    taken = 0.0
    if counts:
        taken = set_line(
            drawing, field.right, y + 4, counts, 11.5, Style.BOLD, units,
            align=Align.RIGHT, room=field.width * 0.5,
        )  # fmt: skip
    if conditions:
        taken = max(
            taken,
            set_line(
                drawing, field.right, y - 10, conditions, 9.5, Style.REGULAR, units,
                grey=MIDDLE, align=Align.RIGHT, room=field.width * 0.55,
            ),
        )  # fmt: skip
    set_line(drawing, x, y, line, 25, Style.BOLD, units, room=field.right - x - taken - 14)
    return y - 20


def number_pages(drawings: list[Drawing], first: int = 1, of: int | None = None) -> None:
    """Write "page x of y" on every drawing of a document."""
    total = of if of is not None else first + len(drawings) - 1
    for number, drawing in enumerate(drawings, start=first):
        text = f"page {number} of {total}"
        drawing.add(
            Words(drawing.width - MARGIN - width_of(text, 9.5), drawing.height - HEAD, text, 9.5)
        )


def rule(drawing: Drawing, y: float, weight: float = marks.RULE) -> None:
    """Draw a rule from margin to margin."""
    drawing.line(MARGIN, y, drawing.width - MARGIN, y, weight, BLACK)
