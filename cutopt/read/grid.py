"""The bare cells of a sheet or file, before any of them is understood."""

from __future__ import annotations

from dataclasses import dataclass

from cutopt.errors import Fault

MOST_ROWS = 100_000


@dataclass(frozen=True, slots=True)
class Grid:
    """The bare cells of one sheet or file: ``rows[0]`` is the first row of the file.

    Attributes:
        lines: the lines as they stand, of a text file only.
        faults: cells that could not be read at all.
    """

    file: str
    rows: tuple[tuple[str, ...], ...]
    notes: tuple[str, ...] = ()
    lines: tuple[str, ...] = ()
    faults: tuple[Fault, ...] = ()
