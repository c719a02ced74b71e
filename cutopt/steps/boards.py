"""Boards cut to length: stop-block groups, and one set of marks from the left end."""

from __future__ import annotations

from dataclasses import dataclass

from cutopt.model.job import Material, Stock
from cutopt.units import Ticks


@dataclass(frozen=True, slots=True)
class StopGroup:
    """Parts cut with the stop at one length.

    Attributes:
        letter: "a" for the longest.
        setting: length to cut, ticks.
        names: of the parts, each once.
        count: pieces, a box each.
    """

    letter: str
    setting: Ticks
    names: tuple[str, ...]
    count: int


@dataclass(frozen=True, slots=True)
class Segment:
    """A stretch of a board that is not sawdust.

    Attributes:
        kind: "part", "offcut" or "waste".
        x: ticks from the left end.
        name: of the part, or "keep L1-a".
        letter: of its stop-block group, or "".
        part, copy: which part, or "" and 0.
    """

    kind: str
    x: Ticks
    length: Ticks
    name: str = ""
    letter: str = ""
    part: str = ""
    copy: int = 0


@dataclass(frozen=True, slots=True)
class Mark:
    """A mark on the tape.

    Attributes:
        at: ticks from the left end.
        start: a part begins here, the blade goes left of it; else the blade goes right.
        step: number of the cut.
        store: made by the store's saw.
    """

    at: Ticks
    step: int
    start: bool = False
    store: bool = False


@dataclass(frozen=True, slots=True)
class BoardRow:
    """One bar: a board, or several equal in everything.

    Attributes:
        ids: boards cut alike, a box each.
    """

    ids: tuple[str, ...]
    stock: Stock
    segments: tuple[Segment, ...]
    marks: tuple[Mark, ...]


@dataclass(frozen=True, slots=True)
class BoardSection:
    """All boards of one material and section that are cut to length only.

    Attributes:
        width: of the boards, ticks.
        count, parts: boards and parts in all.
        by_length: (length of board, how many), longest first.
        kerfs: of the saws that cut them, ticks, each once.
        longest: length of the longest board: the tape's length.
    """

    material: Material
    width: Ticks
    groups: tuple[StopGroup, ...]
    rows: tuple[BoardRow, ...]
    count: int
    parts: int
    by_length: tuple[tuple[Ticks, int], ...]
    kerfs: tuple[Ticks, ...]
    longest: Ticks
