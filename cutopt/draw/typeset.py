"""How wide words are, and how lengths are set in type.

The only module of drawing that knows the faces' metrics. Names within Windows-1252 are set
in the reader's own Helvetica; anything else in one shipped face (Latin, Greek, Cyrillic and
more), and signs that face lacks print as an empty box.
"""

from __future__ import annotations

import functools
from dataclasses import dataclass
from importlib.resources import files

from reportlab.pdfbase import pdfmetrics
from reportlab.pdfbase.ttfonts import TTFont

from cutopt.draw.scene import BLACK, Align, Drawing, Style, Words
from cutopt.units import TICKS_PER_INCH, TICKS_PER_MM, Ticks, Units

NARROWEST = 0.82
SMALLEST_DIAGONAL = 9.0

_BASE_FACES = {
    Style.REGULAR: "Helvetica",
    Style.BOLD: "Helvetica-Bold",
    Style.ITALIC: "Helvetica-Oblique",
}
_UNICODE_FACES = {
    Style.REGULAR: "DejaVuSans",
    Style.BOLD: "DejaVuSans-Bold",
    Style.ITALIC: "DejaVuSans",
}


@functools.cache
def _unicode_font(style: Style) -> TTFont:
    """Register the shipped face once and give it."""
    name = _UNICODE_FACES[style]
    path = files("cutopt") / "data" / "fonts" / f"{name}.ttf"
    font = TTFont(name, str(path))
    pdfmetrics.registerFont(font)
    return font


def face_of(text: str, style: Style) -> str:
    """Give the name of the face that can set this text."""
    try:
        text.encode("cp1252")
    except UnicodeEncodeError:
        return _unicode_font(style).fontName
    return _BASE_FACES[style]


def signs_without_face(text: str) -> str:
    """Give the signs of a text that no shipped face has, each once; they print as boxes."""
    try:
        text.encode("cp1252")
    except UnicodeEncodeError:
        known = _unicode_font(Style.REGULAR).face.charToGlyph
        return "".join(dict.fromkeys(sign for sign in text if ord(sign) not in known))
    return ""


@functools.lru_cache(maxsize=1 << 16)
def width_of(text: str, size: float, style: Style = Style.REGULAR, stretch: float = 1.0) -> float:
    """Give the width of one run of text in points."""
    return float(pdfmetrics.stringWidth(text, face_of(text, style), size)) * stretch


@dataclass(frozen=True, slots=True)
class Length:
    """A length inside a line of type; ``mark`` adds the unit."""

    ticks: int
    mark: bool = False


Piece = str | Length
Line = tuple[Piece, ...] | str


@dataclass(frozen=True, slots=True)
class _Run:
    text: str
    size: float
    rise: float
    x: float


def _fraction_of(ticks: int) -> tuple[int, int, int]:
    """Give whole, numerator, denominator of the nearest 1/64 in, reduced."""
    sixty_fourths = round(ticks * 64 / TICKS_PER_INCH)
    whole, rest = divmod(sixty_fourths, 64)
    denominator = 64
    while rest and rest % 2 == 0:
        rest //= 2
        denominator //= 2
    return whole, rest, denominator


def plain_length(ticks: int, units: Units, *, mark: bool = False) -> str:
    """Give a length in one run: ``23-5/8`` (to 1/64 in) or ``387.5`` (to 0.1 mm)."""
    if units is Units.MM:
        value = f"{ticks / TICKS_PER_MM:.1f}".removesuffix(".0")
        return f"{value} mm" if mark else value
    whole, numerator, denominator = _fraction_of(ticks)
    if not numerator:
        value = str(whole)
    else:
        value = f"{whole}-{numerator}/{denominator}" if whole else f"{numerator}/{denominator}"
    return f'{value}"' if mark else value


def _runs(line: Line, size: float, style: Style, units: Units) -> tuple[tuple[_Run, ...], float]:
    """Give the runs of a line from x = 0, and its width, in points."""
    runs: list[_Run] = []
    x = 0.0

    def put(text: str, at_size: float = size, rise: float = 0.0) -> None:
        nonlocal x
        if text:
            runs.append(_Run(text, at_size, rise, x))
            x += width_of(text, at_size, style)

    for piece in (line,) if isinstance(line, str) else line:
        if isinstance(piece, str):
            put(piece)
            continue
        if units is Units.MM or size < SMALLEST_DIAGONAL:
            put(plain_length(piece.ticks, units, mark=piece.mark))
            continue
        whole, numerator, denominator = _fraction_of(piece.ticks)
        if whole or not numerator:
            put(str(whole))
        if numerator:
            x += size * 0.13 if whole else 0.0
            small = size * 0.68
            put(str(numerator), small, size * 0.27)
            put("/", size * 0.9)
            put(str(denominator), small)
        if piece.mark:
            put('"')
    return tuple(runs), x


def line_width(
    line: Line, size: float, style: Style = Style.REGULAR, units: Units = Units.INCH
) -> float:
    """Give the width of a line of words and lengths in points."""
    return _runs(line, size, style, units)[1]


def set_line(
    drawing: Drawing,
    x: float,
    y: float,
    line: Line,
    size: float,
    style: Style = Style.REGULAR,
    units: Units = Units.INCH,
    *,
    grey: float = BLACK,
    align: Align = Align.LEFT,
    room: float | None = None,
    upright: bool = False,
) -> float:
    """Set a line of words and lengths on its baseline and give the width it took, in points.

    ``upright`` sets it on end, read from the right.

    Where ``room`` is given and the line is wider, it is condensed, to 82 % at most; what
    still does not fit is set smaller by half points, never under 6.5, and last of all cut
    short with an ellipsis.
    """
    stretch = 1.0
    if room is not None:
        line, size, stretch = fit_line(line, size, style, units, room)
    runs, width = _runs(line, size, style, units)
    width *= stretch
    back = {Align.LEFT: 0.0, Align.MIDDLE: width / 2, Align.RIGHT: width}[align]
    for run in runs:
        along = run.x * stretch - back
        rx, ry = (x - run.rise, y + along) if upright else (x + along, y + run.rise)
        angle = 90.0 if upright else 0.0
        drawing.add(Words(rx, ry, run.text, run.size, style, grey, stretch=stretch, angle=angle))
    return width


SMALLEST = 6.5


def fit_line(
    line: Line, size: float, style: Style, units: Units, room: float
) -> tuple[Line, float, float]:
    """Give the line, size and stretch that fit ``room`` points, by condensing first."""
    while True:
        width = line_width(line, size, style, units)
        if width <= room:
            return line, size, 1.0
        if width * NARROWEST <= room:
            return line, size, room / width
        if size - 0.5 < SMALLEST:
            break
        size -= 0.5
    text = line if isinstance(line, str) else as_text(line, units)
    while text and width_of(text + "...", size, style) * NARROWEST > room:
        text = text[:-1]
    return text.rstrip() + "...", size, NARROWEST


def as_text(line: Line, units: Units) -> str:
    """Give a line as one plain string."""
    if isinstance(line, str):
        return line
    return "".join(
        piece if isinstance(piece, str) else plain_length(piece.ticks, units, mark=piece.mark)
        for piece in line
    )


def size_pieces(length: int, width: int, *, mark: bool = False) -> tuple[Piece, ...]:
    """Give the pieces of ``length x width`` for a line of type."""
    return (Length(Ticks(length), mark), " \N{MULTIPLICATION SIGN} ", Length(Ticks(width), mark))
