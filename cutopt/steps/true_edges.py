"""What makes cuts true: a square sheet, one reference edge, the good face, parts fitted last."""

from __future__ import annotations

from collections.abc import Collection, Iterable
from math import isqrt

from cutopt.model.job import Kind, SawKind
from cutopt.model.plan import Cut, Maker, Plan
from cutopt.steps.phrase import Phrase
from cutopt.steps.pieces import parts_of
from cutopt.units import Units, inches, millimetres

FINEST_READ = {Units.INCH: inches(0, 1, 16), Units.MM: millimetres(1)}
"""What is read off a tape rule along a diagonal."""
OUT_OF_SQUARE = 768
"""A sheet may be out of square by its length over this: 1/64 in per foot, 1/8 in on 8 ft.
Source: PS 1 (structural plywood), squareness of panels."""
MOST_SIZES = 4
"""Sizes of sheets whose diagonals are named, largest first."""

_UP = "good face up"
_DOWN = "good face down"
_FACES = {
    SawKind.TABLE: _UP,
    SawKind.MITRE: _UP,
    SawKind.BAND: _UP,
    SawKind.HAND: _UP,
    SawKind.PANEL: "good face up, on an upright saw as its manual says",
    SawKind.TRACK: "good face up along a splinter guard, down without one",
    SawKind.CIRCULAR: _DOWN,
    SawKind.JIGSAW: _DOWN,
}

CLEAN = (
    "A line that ends in edge clean takes off a strip to make an edge true. From then on that "
    "edge is the reference of its piece and lies on the fence or stop."
)
FROM_ONE_EDGE = (
    "Measure from the edges that meet in the black corner of each drawing, and from no other."
)
ALIKE = (
    "Pieces named together are cut alike at one setting, one after the other. Stack them only, "
    "clamped, under a track, circular or panel saw whose depth of cut takes them all."
)


def face_words(kind: SawKind | None) -> str:
    """Give which way the good face lies at a saw, "" where the saw is not known.

    Teeth enter on the good face and tear where they leave. Common practice, no published
    source; the saw's manual comes first.
    """
    return _FACES[kind] if kind is not None else ""


def waits_for_fitting(cut: Cut, last: Collection[str]) -> bool:
    """Say whether nothing but parts cut after fitting (their ids) comes of a piece."""
    parts = parts_of(cut)
    return bool(parts) and all(part.part in last for part in parts)


def diagonal(length: int, width: int, finest: int) -> int:
    """Give the diagonal of a square sheet, ticks, to the nearest of what can be read."""
    exact = isqrt(length * length + width * width)
    return (exact + finest // 2) // finest * finest


def before_sawing(plan: Plan, alike: Iterable[int], *, trims: bool) -> tuple[Phrase, ...]:
    """Give what is looked at before the first cut; none where no sheet is sawn at home.

    Args:
        plan: with its sheets.
        alike: how many pieces each line of the set-ups cuts alike.
        trims: some line only makes an edge clean.
    """
    sheets = [
        piece
        for piece in plan.pieces
        if piece.stock.kind is Kind.SHEET and any(cut.by is Maker.SHOP for cut in piece.cuts())
    ]
    if not sheets:
        return ()
    finest = FINEST_READ[plan.job.units]
    sizes = sorted(
        {(s.stock.length, s.stock.width) for s in sheets}, key=lambda s: (-s[0] * s[1], s)
    )
    read: list[str | int] = ["Before its first cut, read both diagonals of a sheet: "]
    for number, (length, width) in enumerate(sizes[:MOST_SIZES]):
        apart = max(finest, (max(length, width) // OUT_OF_SQUARE + finest // 2) // finest * finest)
        read += ["; " if number else "", length, " × ", width, " reads "]
        read += [diagonal(length, width, finest), ", at most ", apart, " apart"]
    read.append(". One that is further out is first cut square to its reference edge.")
    found: list[Phrase] = [tuple(read), (FROM_ONE_EDGE,)]
    if trims:
        found.append((CLEAN,))
    if any(count > 1 for count in alike):
        found.append((ALIKE,))
    return tuple(found)
