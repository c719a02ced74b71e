"""Cutouts: notches, openings, holes, rounded corners and discs inside finished parts."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace

from cutopt.errors import Fault
from cutopt.model.job import Cutout, CutoutKind, Part
from cutopt.read.cells import Cells, nearest, quoted
from cutopt.read.columns import split_combined
from cutopt.read.table import Table
from cutopt.units import Ticks, Units, format_length

_KINDS: Mapping[str, CutoutKind] = {
    **{str(kind): kind for kind in CutoutKind},
    "round corner": CutoutKind.ROUNDED_CORNER,
    "corner": CutoutKind.ROUNDED_CORNER,
    "circle": CutoutKind.DISC,
    "bore": CutoutKind.HOLE,
    "cutout": CutoutKind.OPENING,
}
_ROUND = {CutoutKind.HOLE, CutoutKind.DISC, CutoutKind.ROUNDED_CORNER}


def add_cutouts(
    table: Table,
    parts: Sequence[Part],
    units: Units | None,
    like: Units,
    unread: frozenset[str],
    faults: list[Fault],
) -> tuple[Part, ...]:
    """Give the parts with their cutouts; what is wrong is added to ``faults``.

    Args:
        table: the cutouts.
        parts: the parts as read.
        units: what bare numbers mean, or None.
        like: what sizes are said in.
        unread: names, in lower case, of parts that have a fault of their own.
        faults: gathers what is wrong.
    """
    found: dict[str, list[Cutout]] = {}
    for row in table.rows:
        cells = Cells(split_combined(row, faults), units, faults)
        name = " ".join(cells.needed("part", "the name of the part").split()).casefold()
        if not name:
            continue
        named = [part for part in parts if part.name.casefold() == name]
        if not named and name not in unread:
            near = nearest(name, [part.name for part in parts])
            cells.fault(
                "part",
                "the bill of parts has no such part",
                f'did you mean "{near}"?' if near else f"it has {quoted(p.name for p in parts)}",
            )
        if len(named) > 1:
            rows = ", ".join(str(part.row) for part in named)
            cells.fault("part", f"parts in rows {rows} have this name", "give each part its own")
        cutout = _cutout(cells)
        if len(named) == 1 and cutout is not None:
            _inside(cells, cutout, named[0], like)
            found.setdefault(named[0].id, []).append(cutout)
    return tuple(replace(part, cutouts=tuple(found.get(part.id, ()))) for part in parts)


def _cutout(cells: Cells) -> Cutout | None:
    """Give one row's cutout, or None where something it needs is missing or wrong."""
    if not cells.text("kind"):
        cells.fault("kind", "the kind is missing", f"known are {', '.join(CutoutKind)}")
    kind = cells.word("kind", _KINDS, list(CutoutKind))
    length = cells.length("length")
    width = cells.length("width")
    if length is None and not cells.text("length"):
        cells.fault("length", "the length is missing (diameter of a hole, radius of a corner)")
    if width is None and not cells.text("width") and kind is not None and kind not in _ROUND:
        cells.fault("width", "the width is missing")
    if kind in _ROUND:
        if width is not None and length is not None and width != length:
            cells.fault("width", f"a {kind} is as wide as it is long", "leave the width blank")
        width = length
    from_left = cells.length("from_left", zero=True)
    from_front = cells.length("from_front", zero=True)
    wrong = (from_left is None and cells.text("from_left")) or (
        from_front is None and cells.text("from_front")
    )
    if kind is None or length is None or width is None or wrong:
        return None
    return Cutout(kind, length, width, from_left or Ticks(0), from_front or Ticks(0), cells.note())


def _inside(cells: Cells, cutout: Cutout, part: Part, like: Units) -> None:
    """Note a fault where a cutout reaches past the finished part."""
    for column, start, size, most, measure in (
        ("from_left", cutout.from_left, cutout.length, part.length, "length"),
        ("from_front", cutout.from_front, cutout.width, part.width, "width"),
    ):
        if start + size > most:
            end = format_length(start + size, like, unit_mark=True)
            whole = format_length(most, like, unit_mark=True)
            cells.fault(
                column if cells.text(column) else measure,
                f"the cutout ends at {end}, past the {measure} of {part.name} ({whole})",
                "from_left and from_front are measured to the cutout's nearest edges",
            )
