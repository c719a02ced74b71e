"""A QR code on a label: a part's name, size, group and copy as plain lines of text.

Source: the symbol is ISO/IEC 18004, made by the library segno; its quiet zone is four
modules wide (section 6.3.8). The least module is what a printer of 300 dots an inch still
draws squarely. Common practice, no published source.
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import groupby

import segno

from cutopt.draw.scene import BLACK, Drawing

QUIET = 4
LEAST_MODULE = 0.33 * 72 / 25.4
MOST_MODULE = 1.3
"""Points; larger ones would only take room from the words."""
MOST_SIGNS = 40
"""Of a line, so that long names leave the modules large enough."""


def code_rows(lines: Sequence[str], height: float) -> tuple[tuple[tuple[bool, ...], ...], float]:
    """Give the rows of modules, True for dark, and the module in points.

    Lines are shortened until the code fits ``height`` with modules that can be read.
    """
    for signs in range(MOST_SIGNS, 4, -4):
        text = "\n".join(line[:signs] for line in lines if line)
        made = segno.make(
            text, error="l", mode="byte", encoding="utf-8", micro=False, boost_error=False
        )
        rows = tuple(tuple(bool(dark) for dark in row) for row in made.matrix)
        module = min(MOST_MODULE, height / (len(rows) + 2 * QUIET))
        if module >= LEAST_MODULE:
            break
    return rows, module


def code_width(lines: Sequence[str], height: float) -> float:
    """Give how wide a code with its quiet zone is in a label that high, points."""
    rows, module = code_rows(lines, height)
    return (len(rows) + 2 * QUIET) * module


def draw_code(
    drawing: Drawing, lines: Sequence[str], right: float, top: float, height: float
) -> None:
    """Draw a code with its quiet zone in the upper right corner of a label."""
    rows, module = code_rows(lines, height)
    left = right - (len(rows) + QUIET) * module
    for number, row in enumerate(rows, start=1):
        column = 0
        for dark, run in groupby(row):
            count = len(list(run))
            if dark:
                x, y = left + column * module, top - (QUIET + number) * module
                drawing.rectangle(x, y, count * module, module, 0, BLACK)
            column += count
