"""What is written into a board's bar: rings, names and lengths, as far as they fit."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from cutopt.draw import marks
from cutopt.draw.lines import TIMES
from cutopt.draw.scene import WHITE, Align, Drawing, Style, Words
from cutopt.draw.typeset import NARROWEST, SMALLEST, Length, Line, line_width, set_line, width_of
from cutopt.steps.boards import Segment
from cutopt.units import Ticks, Units

BAR_HEIGHT = 19.0
RING = 8.0
NOTE = 8.0
SIZES = (9.5, 9.0, 8.5, 8.0, 7.5, 7.0, SMALLEST)
WELL_READ = 4
"""How many of these sizes read well at arm's length: 8 points and more."""
NAME_GAP = 4.0
AIR = 5.0
"""Points between the ends of an offcut and its name."""
Span = tuple[Ticks, Ticks]
ALONE = 46.0
"""A part narrower than this shares its words with equal neighbours."""


@dataclass(frozen=True, slots=True)
class Run:
    """Segments that share one text: one alone, or equal ones too small for a text each."""

    segments: tuple[Segment, ...]

    @property
    def start(self) -> int:
        """Left end, ticks from the board's."""
        return self.segments[0].x

    @property
    def end(self) -> int:
        """Right end, ticks from the board's left end."""
        return self.segments[-1].x + self.segments[-1].length


def runs_of(segments: Sequence[Segment], scale: float) -> list[Run]:
    """Gather neighbouring equal parts that are too narrow for their own words."""
    runs: list[list[Segment]] = []
    last: Segment | None = None
    for segment in segments:
        if segment.kind != "waste":
            small = segment.kind == "part" and segment.length * scale < ALONE
            if small and last is not None and last.kind == "part" and _same(last, segment):
                runs[-1].append(segment)
            else:
                runs.append([segment])
        last = segment
    return [Run(tuple(run)) for run in runs]


def letter_over(run: Run, scale: float) -> bool:
    """Say whether a run is too narrow even for its letter, which then stands over the bar."""
    letter = run.segments[0].letter
    width = (run.end - run.start) * scale
    if len(run.segments) > 1 and width > width_of(_count(run), NOTE, Style.BOLD) + 6:
        return False
    return bool(letter) and width < width_of(letter, SMALLEST + 0.5, Style.BOLD) + 1.5


def _same(one: Segment, other: Segment) -> bool:
    return (one.name, one.letter, one.length) == (other.name, other.letter, other.length)


def write_run(
    drawing: Drawing,
    run: Run,
    x0: float,
    y: float,
    scale: float,
    units: Units,
    bad: Sequence[Span] = (),
) -> None:
    """Write ring, name and length into a segment or a run of equal ones, as far as they fit."""
    first = run.segments[0]
    left, right = x0 + run.start * scale, x0 + run.end * scale
    middle = y + BAR_HEIGHT / 2
    length = Length(first.length)
    many = len(run.segments)
    if first.kind == "offcut":
        _write_offcut(drawing, first, x0, middle, scale, units, bad)
    elif many > 1 and first.length * scale >= _ring_room(first.letter):
        for segment in run.segments:
            centre = x0 + (segment.x + segment.length / 2) * scale
            marks.ring(drawing, centre, middle, first.letter, RING)
    elif many > 1 and right - left > width_of(_count(run), NOTE, Style.BOLD) + 6:
        width = width_of(_count(run), NOTE, Style.BOLD)
        centre = (left + right) / 2
        drawing.rectangle(centre - width / 2 - 2, middle - 5, width + 4, 10, 0, fill=WHITE)
        drawing.add(
            Words(centre, middle - NOTE * 0.36, _count(run), NOTE, Style.BOLD, align=Align.MIDDLE)
        )
    elif right - left >= _ring_room(first.letter):
        ring = _ring_room(first.letter) / 2
        marks.ring(drawing, left + min(ring + 2, (right - left) / 2), middle, first.letter, RING)
        _fit_words(drawing, left + 2 * ring + 4, right - 3, middle, (first.name,), (length,), units)
    elif not letter_over(run, scale):
        size = SMALLEST + 0.5
        drawing.add(
            Words(
                (left + right) / 2, middle - size * 0.36, first.letter, size, Style.BOLD,
                align=Align.MIDDLE,
            )
        )  # fmt: skip


def _write_offcut(
    drawing: Drawing,
    offcut: Segment,
    x0: float,
    middle: float,
    scale: float,
    units: Units,
    bad: Sequence[Span],
) -> None:
    """Name an offcut where it is longest clear of bad spans, else on white over their hatch."""
    short = offcut.name.rpartition(" ")[2]
    length = Length(offcut.length)
    lines: list[Line] = [(f"{offcut.name}  ", length), (f"{short}  ", length), (short,)]
    end = offcut.x + offcut.length
    within = [(a, b) for a, b in bad if a < end and b > offcut.x]
    stops = [offcut.x, *(stop for span in within for stop in span), end]
    first, last = max(
        zip(stops[::2], stops[1::2], strict=True), key=lambda clear: clear[1] - clear[0]
    )
    left, right = x0 + first * scale + AIR, x0 + last * scale - AIR
    if _fit_alone(drawing, left, right, middle, lines, units) or not within:
        return
    left, right = x0 + offcut.x * scale + AIR, x0 + end * scale - AIR
    width = width_of(short, NOTE, Style.BOLD)
    if width <= right - left:
        centre = (left + right) / 2
        drawing.rectangle(centre - width / 2 - 2, middle - 5, width + 4, 10, 0, fill=WHITE)
        drawing.add(
            Words(centre, middle - NOTE * 0.36, short, NOTE, Style.BOLD, align=Align.MIDDLE)
        )


def _count(run: Run) -> str:
    return f"{len(run.segments)} {TIMES.strip()} {run.segments[0].letter}"


def _ring_room(letter: str) -> float:
    """Give the width a ring with this letter takes, with air around it."""
    return max(RING * 1.36, width_of(letter, RING, Style.BOLD) + 4) + 4


def letters_over(
    drawing: Drawing, runs: Sequence[Run], x0: float, y: float, scale: float, right: float
) -> None:
    """Write the letters of slivers over the bar, pushed apart, each with a line to its part."""
    over = [run for run in runs if letter_over(run, scale)]
    widths = [width_of(run.segments[0].letter, SMALLEST, Style.BOLD) for run in over]
    middles = [x0 + (run.start + run.end) / 2 * scale for run in over]
    places = list(middles)
    for number in range(1, len(places)):
        apart = (widths[number - 1] + widths[number]) / 2 + 2
        places[number] = max(places[number], places[number - 1] + apart)
    for number in reversed(range(len(places))):
        limit = right - widths[number] / 2
        if number + 1 < len(places):
            limit = places[number + 1] - (widths[number] + widths[number + 1]) / 2 - 2
        places[number] = min(places[number], limit)
    for run, middle, place in zip(over, middles, places, strict=True):
        letter = run.segments[0].letter
        drawing.line(middle, y + BAR_HEIGHT, place, y + BAR_HEIGHT + 3, marks.DIMENSION)
        drawing.add(
            Words(place, y + BAR_HEIGHT + 3.5, letter, SMALLEST, Style.BOLD, align=Align.MIDDLE)
        )


def _fit_words(
    drawing: Drawing,
    left: float,
    right: float,
    middle: float,
    name: Line,
    length: Line,
    units: Units,
) -> None:
    """Set name and length in the middle of a room, condensed and smaller before left out."""
    room = right - left
    for size in SIZES:
        second = line_width(length, size, units=units) + NAME_GAP
        first = line_width(name, size, Style.BOLD, units)
        if first * NARROWEST + second > room:
            continue
        first = min(first, room - second)
        x = left + (room - first - second) / 2
        y = middle - size * 0.36
        set_line(drawing, x, y, name, size, Style.BOLD, units, room=first + 0.01)
        set_line(drawing, x + first + NAME_GAP, y, length, size, units=units)
        return
    _fit_alone(drawing, left, right, middle, (length,), units)


def _fit_alone(
    drawing: Drawing, left: float, right: float, middle: float, lines: Sequence[Line], units: Units
) -> bool:
    """Set the first of these lines that fits a room, in its middle; say whether one did.

    A shorter line that can be read well goes before a longer one in small type.
    """
    for sizes in (SIZES[:WELL_READ], SIZES[WELL_READ:]):
        for line in lines:
            for size in sizes:
                if line_width(line, size, units=units) * NARROWEST <= right - left:
                    set_line(
                        drawing, (left + right) / 2, middle - size * 0.36, line, size,
                        units=units, align=Align.MIDDLE, room=right - left,
                    )  # fmt: skip
                    return True
    return False
