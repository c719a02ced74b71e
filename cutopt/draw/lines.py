"""Phrases as lines of type, and lines broken to the room there is."""

from __future__ import annotations

from collections.abc import Sequence

from cutopt.draw.scene import BLACK, Align, Drawing, Style
from cutopt.draw.typeset import (
    NARROWEST,
    Length,
    Line,
    Piece,
    line_width,
    set_line,
    width_of,
)
from cutopt.steps.phrase import Phrase
from cutopt.units import Ticks, Units

TIMES = " \N{MULTIPLICATION SIGN} "
GAP = "   "
"""Space between facts that stand side by side on one line."""


def line_of(phrase: Phrase, units: Units, *, mark: bool = True) -> Line:
    """Give a phrase as a line of type, its lengths with their unit.

    Millimetres are named once, after the last of the measures of one size.
    """
    line: list[Piece] = []
    for number, word in enumerate(phrase):
        if isinstance(word, str):
            line.append(word)
            continue
        after = phrase[number + 1] if number + 1 < len(phrase) else ""
        one_of_a_size = isinstance(after, str) and after.startswith(TIMES.rstrip())
        named = mark and not (units is Units.MM and one_of_a_size)
        line.append(Length(Ticks(word), named))
    return _merged(line)


def marked_size(length: int, width: int, units: Units) -> Line:
    """Give ``length x width`` with the unit on each in inches, once in millimetres."""
    return line_of((length, TIMES, width), units)


def wrap_line(
    line: Line, size: float, room: float, style: Style = Style.REGULAR, units: Units = Units.INCH
) -> tuple[Line, ...]:
    """Break a line of words and lengths into lines no wider than ``room`` points.

    Breaks stand at spaces; a word wider than the room is broken where it must be.
    """
    lines: list[list[Piece]] = [[]]
    for space, word in _words_of(line):
        for number, part in enumerate(_parts_that_fit(word, size, room, style, units)):
            gap = space if not number else ""
            wider = _merged((*lines[-1], gap, *part))
            if lines[-1] and (number or line_width(wider, size, style, units) > room):
                lines.append(list(part))
            elif lines[-1]:
                lines[-1] = list(wider)
            else:
                lines[-1] = list(part)
    return tuple(_merged(pieces) for pieces in lines)


def _merged(pieces: Sequence[Piece]) -> tuple[Piece, ...]:
    """Join neighbouring strings, so that they are set in one run."""
    merged: list[Piece] = []
    for piece in pieces:
        if isinstance(piece, str) and merged and isinstance(merged[-1], str):
            merged[-1] += piece
        else:
            merged.append(piece)
    return tuple(merged)


def wrap_facts(
    facts: Sequence[Line],
    size: float,
    room: float,
    style: Style = Style.REGULAR,
    units: Units = Units.INCH,
) -> tuple[Line, ...]:
    """Set facts side by side, and break between them before breaking within one."""
    lines: list[Line] = []
    for fact in facts:
        pieces = (fact,) if isinstance(fact, str) else fact
        last = lines[-1] if lines else ()
        wider = _merged((*last, GAP, *pieces))
        if last and line_width(wider, size, style, units) <= room:
            lines[-1] = wider
        else:
            lines.extend(wrap_line(pieces, size, room, style, units))
    return tuple(lines)


def _words_of(line: Line) -> list[tuple[str, tuple[Piece, ...]]]:
    """Split a line at its spaces: (spaces before, pieces of a word)."""
    words: list[tuple[str, list[Piece]]] = []
    space = ""
    open_word = False
    for piece in (line,) if isinstance(line, str) else line:
        if isinstance(piece, Length):
            if not open_word:
                words.append((space, []))
            words[-1][1].append(piece)
            open_word = True
            continue
        rest = piece
        while rest:
            spaces = len(rest) - len(rest.lstrip(" "))
            if spaces:
                space, rest, open_word = rest[:spaces], rest[spaces:], False
                continue
            word, _, _ = rest.partition(" ")
            if not open_word:
                words.append((space, []))
            words[-1][1].append(word)
            rest, open_word = rest[len(word) :], True
    return [(gap, tuple(pieces)) for gap, pieces in words]


def _parts_that_fit(
    word: tuple[Piece, ...], size: float, room: float, style: Style, units: Units
) -> list[tuple[Piece, ...]]:
    """Break one word into parts that fit; lengths are never broken."""
    if line_width(word, size, style, units) <= room or any(isinstance(p, Length) for p in word):
        return [word]
    text = "".join(str(piece) for piece in word)
    parts = [""]
    for letter in text:
        if parts[-1] and width_of(parts[-1] + letter, size, style) > room:
            parts.append("")
        parts[-1] += letter
    return [(part,) for part in parts]


def name_lines(
    name: Line,
    size: float,
    least: float,
    room: float,
    style: Style = Style.BOLD,
    units: Units = Units.INCH,
) -> tuple[tuple[Line, ...], float]:
    """Give the lines and the size for a name: one line while ``least`` points allow it."""
    if line_width(name, least, style, units) * NARROWEST <= room:
        return (name,), size
    return wrap_line(name, least, room, style, units), least


def set_lines(
    drawing: Drawing,
    x: float,
    y: float,
    lines: Sequence[Line],
    size: float,
    style: Style = Style.REGULAR,
    units: Units = Units.INCH,
    *,
    grey: float = BLACK,
    align: Align = Align.LEFT,
    room: float | None = None,
    pitch: float | None = None,
) -> float:
    """Set lines downwards from the baseline ``y`` and give the baseline under the last."""
    step = pitch if pitch is not None else size * 1.25
    for number, line in enumerate(lines):
        set_line(
            drawing, x, y - number * step, line, size, style, units,
            grey=grey, align=align, room=room,
        )  # fmt: skip
    return y - len(lines) * step
