"""Extras: what is bought and not cut, and the packs it comes in."""

from __future__ import annotations

from dataclasses import dataclass, field

from cutopt.errors import Fault
from cutopt.model.job import Extra, Pack
from cutopt.read.cells import Cells
from cutopt.read.table import Table


@dataclass(slots=True)
class _Item:
    """The rows of one item as they come."""

    name: str
    cells: Cells
    qty: int | None = None
    packs: list[Pack] = field(default_factory=list)
    group: str = ""
    note: str = ""
    wrong: bool = False


def read_extras(table: Table, currency: str, faults: list[Fault]) -> tuple[Extra, ...]:
    """Give the extras in the order of their first rows; what is wrong is added to ``faults``.

    One row of an item carries how many are wanted; each row is a pack it comes in.
    """
    items: dict[str, _Item] = {}
    for row in table.rows:
        cells = Cells(row, None, faults)
        name = cells.needed("item", "the item")
        if not name:
            continue
        item = items.setdefault(name.casefold(), _Item(name, cells))
        qty = cells.count("qty")
        if qty is not None and item.qty is not None:
            cells.fault(
                "qty",
                f"row {item.cells.row.number} says how many of this item already",
                "further rows of an item are other packs: leave their qty blank",
            )
        item.wrong = item.wrong or (qty is None and cells.text("qty") != "")
        item.qty = qty if item.qty is None else item.qty
        size = cells.count("pack")
        item.packs.append(Pack(1 if size is None else size, cells.cents("price", currency)))
        item.group = item.group or cells.text("group")
        item.note = "; ".join(text for text in (item.note, cells.note()) if text)
    for item in items.values():
        if item.qty is None and not item.wrong:
            item.cells.fault("qty", f"how many {item.name} are wanted is missing")
    return tuple(
        Extra(item.name, item.qty, tuple(item.packs), item.group, item.note)
        for item in items.values()
        if item.qty is not None
    )
