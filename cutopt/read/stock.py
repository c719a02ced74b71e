"""The stock list: sheets and boards that may be bought or are already in the shop."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace

from cutopt.errors import Fault
from cutopt.model.job import Grain, Kind, Material, Stock
from cutopt.model.sizes import Section, parse_section
from cutopt.model.sources import same_wood
from cutopt.read.cells import Cells
from cutopt.read.columns import split_combined
from cutopt.read.gathered import Gathered
from cutopt.read.table import Row, Table
from cutopt.units import Ticks, Units, format_length

_KINDS: Mapping[str, Kind] = {
    **dict.fromkeys(
        ("sheet", "sheets", "panel", "sheet goods", "plywood", "ply", "mdf"), Kind.SHEET
    ),
    **dict.fromkeys(("board", "boards", "lumber", "timber", "stick", "plank"), Kind.BOARD),
}
_GRAINS: Mapping[str, Grain] = {
    **dict.fromkeys(("length", "lengthwise", "along", "l", "long", "yes"), Grain.LENGTH),
    **dict.fromkeys(("none", "any", "no", "-"), Grain.NONE),
}


@dataclass(frozen=True, slots=True)
class StockRow:
    """A row of the stock list as read, with the row for faults that show later."""

    stock: Stock
    row: Row


def material_key(name: str) -> str:
    """Give a material's name as it is compared: without case and extra spaces."""
    return " ".join(name.split()).casefold()


def read_stock(
    table: Table, units: Units | None, like: Units, currency: str, gathered: Gathered
) -> tuple[tuple[Stock, ...], frozenset[str]]:
    """Give the stock of a stock list, and the materials (as compared) of rows with a fault.

    Args:
        table: the stock list.
        units: what bare numbers mean, or None.
        like: what sizes are said in.
        currency: three letters.
        gathered: takes what is wrong and what is worth saying.
    """
    faults = gathered.faults
    unread: set[str] = set()
    rows: list[StockRow] = []
    names: dict[str, Row] = {}
    for row in table.rows:
        cells = Cells(split_combined(row, faults), units, faults)
        stock = _stock(cells, like, currency, gathered)
        name = material_key(row.text("stock"))
        if name and name in names:
            cells.fault("stock", f"row {names[name].number} has this name too", "give each its own")
        names.setdefault(name, row)
        if stock is None:
            unread.add(material_key(row.text("material")))
        else:
            rows.append(StockRow(stock, row))
    if not table.rows:
        faults.append(Fault("the stock list is empty", file=table.file))
    rows = _one_spelling(rows)
    rows = _one_section(rows)
    rows = _one_band(rows, faults)
    _priced_or_not(rows, faults)
    _one_rip(rows, faults)
    return tuple(entry.stock for entry in rows), frozenset(unread)


def _stock(cells: Cells, like: Units, currency: str, gathered: Gathered) -> Stock | None:
    """Give one row's stock, or None where something it needs is missing or wrong."""
    name = cells.needed("stock", "a name")
    material = cells.needed("material", "the material")
    section = _section(cells)
    kind = _kind(cells, section)
    size = {column: cells.length(column) for column in ("length", "width", "thickness")}
    if kind is Kind.BOARD and section is not None:
        size["width"] = size["width"] or section.width
        size["thickness"] = size["thickness"] or section.thickness
    for column, ticks in size.items():
        if ticks is None and not cells.text(column):
            if column != "length" and kind is not Kind.SHEET and cells.text("section"):
                continue  # the section is a fault already
            short = "" if column == "length" else "a board may give a section, like 1x4, instead"
            cells.fault(column, f"the {column} is missing", "" if kind is Kind.SHEET else short)
    owned = bool(cells.yes("owned"))
    price = cells.cents("price", currency)
    if price is None and cells.text("price"):
        price = 0  # already a fault; not one more as a row without a price
    if owned and price:
        gathered.say(f"{name} is already in the shop: its price is taken as 0")
    available = cells.count("available", least=0)
    grain = cells.word("grain", _GRAINS, ("length", "none"))
    trim = cells.length("trim", zero=True) or Ticks(0)
    band = cells.length("band", zero=True) or Ticks(0)
    rip = bool(cells.yes("rip"))
    length, width, thickness = size["length"], size["width"], size["thickness"]
    if not (name and material and kind and length and width and thickness):
        return None
    if 2 * trim >= (min(length, width) if kind is Kind.SHEET else length):
        cells.fault("trim", "trimming both edges leaves nothing of it")
    words = None
    if kind is Kind.BOARD:
        mark = "in" if like is Units.INCH else "mm"
        sides = sorted((thickness, width))
        by_size = f"{format_length(sides[0], like)} x {format_length(sides[1], like)} {mark}"
        words = section.name if section is not None else by_size
    usual_grain = Grain.LENGTH if kind is Kind.BOARD else Grain.NONE
    return Stock(
        name=name,
        material=Material(" ".join(material.split()), kind, thickness, words),
        length=length,
        width=width,
        price_cents=0 if owned else price,
        available=1 if owned and available is None else available,
        owned=owned,
        grain=grain or usual_grain,
        trim=trim,
        rip=rip,
        grade=cells.text("grade"),
        band=band,
        note=cells.note(),
    )


def _section(cells: Cells) -> Section | None:
    text = cells.text("section")
    section = parse_section(text) if text else None
    if text and section is None and not (cells.text("width") and cells.text("thickness")):
        cells.fault(
            "section",
            "this is no section of the softwood lumber standard",
            "write one like 1x4, or the width and thickness themselves",
        )
    return section


def _kind(cells: Cells, section: Section | None) -> Kind | None:
    if not cells.text("kind"):
        if section is not None:
            return Kind.BOARD
        cells.fault("kind", "the kind is missing", "write sheet or board")
        return None
    kind = cells.word("kind", _KINDS, ("sheet", "board"))
    if kind is Kind.SHEET and section is not None:
        cells.fault("section", "only boards have a section", "write the width and thickness")
    return kind


def _groups(rows: Iterable[StockRow]) -> dict[str, list[StockRow]]:
    """Give the rows by the name of their material."""
    groups: dict[str, list[StockRow]] = {}
    for entry in rows:
        groups.setdefault(material_key(entry.stock.material.name), []).append(entry)
    return groups


def _one_spelling(rows: list[StockRow]) -> list[StockRow]:
    """Give the rows with each material spelled as its first row has it."""
    first = {key: group[0].stock.material.name for key, group in _groups(rows).items()}
    return [
        replace(
            entry,
            stock=replace(
                entry.stock,
                material=replace(
                    entry.stock.material, name=first[material_key(entry.stock.material.name)]
                ),
            ),
        )
        for entry in rows
    ]


def _one_section(rows: list[StockRow]) -> list[StockRow]:
    """Give boards of one material and size one section, the nominal one where a row names it."""
    named: dict[tuple[str, int, int], str] = {}
    for entry in rows:
        stock = entry.stock
        if stock.material.section is not None and parse_section(stock.material.section):
            named.setdefault(
                (stock.material.name, stock.thickness, stock.width), stock.material.section
            )
    unified = []
    for entry in rows:
        stock = entry.stock
        section = named.get((stock.material.name, stock.thickness, stock.width))
        if stock.kind is Kind.BOARD and section is not None:
            stock = replace(stock, material=replace(stock.material, section=section))
        unified.append(replace(entry, stock=stock))
    return unified


def _one_band(rows: list[StockRow], faults: list[Fault]) -> list[StockRow]:
    """Give every row of a material the band thickness that its rows state."""
    stated: dict[str, StockRow] = {}
    for entry in rows:
        if not entry.stock.band:
            continue
        first = stated.setdefault(entry.stock.material.name, entry)
        if first.stock.band != entry.stock.band:
            faults.append(
                entry.row.fault(
                    "band",
                    f"row {first.row.number} states another band thickness for this material",
                    "a material has one band thickness",
                )
            )
    return [
        replace(
            entry, stock=replace(entry.stock, band=stated[entry.stock.material.name].stock.band)
        )
        if entry.stock.material.name in stated
        else entry
        for entry in rows
    ]


def _priced_or_not(rows: list[StockRow], faults: list[Fault]) -> None:
    """Note a fault for each material with both priced and unpriced rows to buy."""
    first: dict[Material, StockRow] = {}
    told: set[Material] = set()
    for entry in rows:
        if entry.stock.owned:
            continue
        other = first.setdefault(entry.stock.material, entry)
        blank = entry if entry.stock.price_cents is None else other
        if (entry.stock.price_cents is None) is (other.stock.price_cents is None):
            continue
        if entry.stock.material not in told:
            told.add(entry.stock.material)
            faults.append(
                blank.row.fault(
                    "price",
                    f"{entry.stock.material.name} has rows with a price and rows without",
                    "fill in every price of a material, or none (it is then planned by amount)",
                )
            )


def _one_rip(rows: list[StockRow], faults: list[Fault]) -> None:
    """Note a fault for sheets of a material sold in boards too, where only some may be ripped."""
    boards = [entry.stock.material for entry in rows if entry.stock.kind is Kind.BOARD]
    first: dict[Material, StockRow] = {}
    for entry in rows:
        material = entry.stock.material
        if material.kind is Kind.BOARD or not any(same_wood(material, one) for one in boards):
            continue
        other = first.setdefault(material, entry)
        if entry.stock.rip is not other.stock.rip:
            faults.append(
                entry.row.fault(
                    "rip",
                    f"row {other.row.number} says otherwise for sheets of this material",
                    "write yes in every row of these sheets if what boards give may come from "
                    "them too, or in none",
                )
            )
