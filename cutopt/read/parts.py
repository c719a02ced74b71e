"""The bill of parts: rows to parts, each with its material and the blank to cut."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import replace

from cutopt.errors import Fault
from cutopt.model.job import Edge, Grain, Kind, Part, Stock
from cutopt.model.sources import sheets_among
from cutopt.read.cells import Cells, quoted
from cutopt.read.columns import orderless_faults, split_combined
from cutopt.read.gathered import Gathered
from cutopt.read.materials import (
    NEAR,
    WORTH_SAYING,
    Choice,
    StockList,
    cheapest_to_rip,
    names_section,
    of_one_kind,
    stated,
)
from cutopt.read.stock import material_key
from cutopt.read.table import Table
from cutopt.units import Ticks, Units, plain_text

_GRAINS: Mapping[str, Grain] = {
    **dict.fromkeys(("length", "lengthwise", "along", "along length", "l", "long"), Grain.LENGTH),
    **dict.fromkeys(("width", "crosswise", "across", "along width", "w"), Grain.WIDTH),
    **dict.fromkeys(("any", "none", "no", "-", "either"), Grain.ANY),
}
_EDGES: Mapping[str, tuple[Edge, ...]] = {
    **{str(edge): (edge,) for edge in Edge},
    **dict.fromkeys(("all", "all four", "4", "4 edges"), tuple(Edge)),
    **dict.fromkeys(("none", "no", "0", "-"), ()),
    **dict.fromkeys(("long", "both long", "2 long", "long edges"), (Edge.FRONT, Edge.BACK)),
    **dict.fromkeys(("short", "both short", "2 short", "ends"), (Edge.LEFT, Edge.RIGHT)),
}
_KNOTS: Mapping[str, bool] = {
    **dict.fromkeys(("ok", "yes", "y", "true", "x"), True),
    **dict.fromkeys(("no", "n", "none", "false", "-"), False),
}


def read_parts(
    table: Table,
    listed: StockList,
    unread: frozenset[str],
    units: Units | None,
    like: Units,
    kerf: Ticks,
    gathered: Gathered,
) -> tuple[Part, ...]:
    """Give the parts of a bill of parts, rows that agree in everything but qty as one.

    Args:
        table: the bill of parts.
        listed: the stock list.
        unread: materials with rows of the stock list that have a fault; what parts say of
            them cannot be judged.
        units: what bare numbers mean, or None.
        like: what sizes are said in.
        kerf: of the saws at home, to weigh boards to rip from.
        gathered: takes what is wrong and what is worth saying.
    """
    gathered.faults.extend(orderless_faults(table))
    if not _columns_there(table, gathered.faults):
        return ()
    merged: dict[tuple[Part, bool], int] = {}
    first_row: dict[tuple[Part, bool], int] = {}
    for row in table.rows:
        cells = Cells(split_combined(row, gathered.faults), units, gathered.faults)
        part = _part(cells, listed, unread, like, kerf, gathered, handed_known=table.has("handed"))
        if part is not None:
            alike = replace(part, qty=1), part.section_named
            merged[alike] = merged.get(alike, 0) + part.qty
            first_row.setdefault(alike, row.number)
    if not table.rows:
        gathered.faults.append(Fault("the bill of parts is empty", file=table.file))
    return tuple(
        replace(alike[0], id=f"P{number}", qty=qty, row=first_row[alike])
        for number, (alike, qty) in enumerate(merged.items(), start=1)
    )


def _columns_there(table: Table, faults: list[Fault]) -> bool:
    """Say whether the columns every bill of parts needs are there; else note a fault for each."""
    meanings = {
        measure
        for column in table.columns
        if column.meaning
        for measure in (column.meaning, *column.meaning.split(" x "))
    }
    promised = any(fault.row == table.header_row for fault in faults)
    missing = [name for name in ("part", "length") if name not in meanings]
    if "length" in missing and promised:
        missing.remove("length")
        if not missing:
            return False
    faults.extend(
        Fault(
            f"there is no column for the {'name of the part' if name == 'part' else name}",
            file=table.file,
            row=table.header_row,
            found=", ".join(column.header for column in table.columns if column.header),
            help=f'put a column headed "{name}" in the table',
        )
        for name in missing
    )
    return not missing


def _part(
    cells: Cells,
    listed: StockList,
    unread: frozenset[str],
    like: Units,
    kerf: Ticks,
    gathered: Gathered,
    *,
    handed_known: bool,
) -> Part | None:
    """Give one row's part with qty as written, or None where the row has a fault."""
    before = len(gathered.faults) + len(gathered.cannot)
    name = cells.needed("part", "the name of the part")
    qty = cells.count("qty")
    length = cells.length("length")
    if length is None and not cells.text("length"):
        cells.fault("length", "the length is missing")
    width = cells.length("width")
    thickness = cells.length("thickness")
    band = _band(cells)
    grain = cells.word("grain", _GRAINS, ("length", "width", "any")) or Grain.ANY
    extra_length = cells.length("extra_length", zero=True) or Ticks(0)
    extra_width = cells.length("extra_width", zero=True) or Ticks(0)
    handed = cells.yes("handed")
    last = bool(cells.yes("last"))
    knots = bool(cells.word("knots", _KNOTS, ("ok", "no")))
    fits = every = _fitting(cells, listed, unread, thickness, like, gathered)
    if not fits or length is None or len(gathered.faults) > before:
        return None
    glued = {edge: fits[0].band if edge in band else 0 for edge in Edge}
    if band and not fits[0].band:
        gathered.say(
            f"{fits[0].material.name} has no band thickness in the stock list: nothing is taken "
            "off the blanks for the band"
        )
    off_width = glued[Edge.FRONT] + glued[Edge.BACK] - extra_width
    off_length = glued[Edge.LEFT] + glued[Edge.RIGHT] - extra_length
    if width is not None:
        blank = length - off_length, width - off_width
        fits = of_one_kind(fits, *blank, grain, cells.text("match"))
    laid = _laid(cells, fits, width, off_width, like, kerf, gathered)
    if laid is None or len(gathered.faults) + len(gathered.cannot) > before:
        return None
    source, width = laid
    if source.kind is Kind.BOARD and source.width > width - off_width:
        sheets = any(held.rip for held in sheets_among(every))
        is_ripped = "or sheets are ripped" if sheets else "is ripped"
        gathered.say(
            f"{source.material.name} {stated(source.width, like)} wide {is_ripped} for "
            "narrower parts",
            name,
        )
    if length <= off_length or width <= off_width:
        cells.fault("band", "less its bands nothing is left to cut")
        return None
    return Part(
        id="",
        name=name,
        qty=1 if qty is None else qty,
        length=length,
        width=width,
        thickness=source.thickness,
        blank_length=Ticks(length - off_length),
        blank_width=Ticks(width - off_width),
        material=source.material,
        grain=grain,
        band=band,
        group=cells.text("group"),
        extra_length=extra_length,
        extra_width=extra_width,
        last=last,
        handed=bool(handed) if handed_known else None,
        match=cells.text("match"),
        knots_ok=knots,
        note=cells.note(),
        section_named=source.kind is Kind.BOARD and names_section(listed, cells),
    )


def _fitting(
    cells: Cells,
    listed: StockList,
    unread: frozenset[str],
    thickness: Ticks | None,
    like: Units,
    gathered: Gathered,
) -> list[Stock]:
    """Give the stock of the part's material and thickness; empty where a fault says why not."""
    if not listed.stock:
        return []
    trial = replace(cells, faults=[])
    choice = Choice(listed, trial, like, gathered.say)
    fits, asked = choice.candidates(thickness)
    if thickness is not None or not cells.text("thickness"):
        fits = choice.of_thickness(fits, asked)
    material = material_key(cells.text("material"))
    named = material and not any(letter.isdigit() for letter in material)
    doubtful = bool(unread) and (material in unread or "" in unread or not named)
    if not doubtful:
        cells.faults.extend(trial.faults)
    return fits


def _band(cells: Cells) -> tuple[Edge, ...]:
    """Give the banded edges in their usual order."""
    text = plain_text(cells.text("band")).casefold()
    if not text:
        return ()
    if text in _EDGES:
        return _EDGES[text]
    edges: set[Edge] = set()
    for word in re.split(r"\s*(?:[,;+&/]|\band\b|\s)\s*", text):
        if word not in _EDGES and word not in {"edge", "edges", ""}:
            cells.fault(
                "band",
                f'"{word}" is no edge of a part',
                "write front, back, left, right (several parted by spaces), all or none",
            )
            return ()
        edges.update(_EDGES.get(word, ()))
    return tuple(edge for edge in Edge if edge in edges)


def _laid(
    cells: Cells,
    fits: list[Stock],
    width: Ticks | None,
    off_width: int,
    like: Units,
    kerf: Ticks,
    gathered: Gathered,
) -> tuple[Stock, Ticks] | None:
    """Give the stock a part comes from and the part's width, or None with a fault."""
    if any(held.kind is Kind.SHEET for held in fits):
        if width is None:
            if not cells.text("width"):
                too = f"{fits[0].material.name} comes in sheets too; or name a section"
                boards = any(held.kind is Kind.BOARD for held in fits)
                cells.fault("width", "the width is missing", too if boards else "")
            return None
        return fits[0], width
    widths = sorted({held.width for held in fits})
    listed = ", ".join(stated(ticks, like) for ticks in widths)
    name = fits[0].material.name
    if width is None:
        if cells.text("width"):
            return None
        if len(widths) > 1:
            cells.fault("width", "the width is missing", f"{name} comes in widths {listed}")
            return None
        return fits[0], Ticks(widths[0] + off_width)
    blank = Ticks(width - off_width)
    exact = [held for held in fits if held.width == blank]
    if exact:
        return exact[0], width
    ripped = cheapest_to_rip(fits, blank, kerf)
    if ripped is not None:
        return next(held for held in fits if held.material == ripped), width
    by_distance = sorted(fits, key=lambda held: abs(held.width - blank))
    off = abs(by_distance[0].width - blank)
    if off <= NEAR:
        whole = Ticks(by_distance[0].width + off_width)
        if off > WORTH_SAYING:
            gathered.say(
                f"{name} {stated(by_distance[0].width, like)} wide is "
                f"taken for {stated(blank, like)}",
                cells.text("part"),
            )
        return by_distance[0], whole
    gathered.cannot.append(
        cells.row.fault(
            "width",
            f"{cells.text('part')}: no {name} board is this wide (they are {listed})",
            "leave the width blank for the board's own, or write yes under rip for wider boards"
            if blank < widths[-1]
            else "glue it up from narrower parts, or put a wider board in the stock list",
        )
    )
    return None


def odd_pairs(parts: Sequence[Part]) -> tuple[str, ...]:
    """Give a note for each part that comes in left and right pairs but in an odd number."""
    odd = [part.name for part in parts if part.handed and part.qty % 2]
    return (f"{quoted(odd)}: an odd number of copies leaves one without its pair",) if odd else ()


def questions(parts: Sequence[Part]) -> tuple[str, ...]:
    """Give a note for each part that may come in left and right pairs but does not say."""
    ask = [
        part.name
        for part in parts
        if part.handed is None
        and part.qty % 2 == 0
        and (part.cutouts or len({Edge.FRONT, Edge.BACK} & set(part.band)) == 1)
    ]
    if not ask:
        return ()
    pairs = quoted(dict.fromkeys(ask))
    return (f"do {pairs} come in left and right pairs? A column handed with yes or no says so",)


def unmatched(parts: Sequence[Part]) -> tuple[str, ...]:
    """Give a note where board parts are marked to come side by side: only sheets see to that."""
    marked = quoted(
        dict.fromkeys(
            part.name for part in parts if part.match and part.material.kind is Kind.BOARD
        )
    )
    if not marked:
        return ()
    laid = "board parts marked match are cut like any others; keep them together by hand"
    return (f"{marked}: {laid}",)
