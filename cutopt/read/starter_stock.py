"""The stock list that ships with the package, for a bill of parts that has none."""

from __future__ import annotations

from dataclasses import replace
from importlib import resources

from cutopt.read import headers
from cutopt.read.files import text_rows
from cutopt.read.grid import Grid
from cutopt.read.table import Table, understand
from cutopt.units import Units

_FILE = "starter_stock.csv"
_SOLD_IN = "sold in"


def starter_table(like: Units) -> Table:
    """Give the starter stock list: what is sold in inches, or in millimetres; no prices.

    Source: panel and board sizes: common practice, no published source; boards by section
    have the dressed sizes of PS 20 Table 3.
    """
    text = (resources.files("cutopt") / "data" / _FILE).read_text(encoding="utf-8")
    table = understand(Grid(_FILE, text_rows(text, _FILE)), headers.STOCK)
    if table is None:
        raise RuntimeError(f"{_FILE} in the package has no header")
    rows = tuple(row for row in table.rows if dict(row.others)[_SOLD_IN] == like)
    return replace(table, rows=tuple(replace(row, others=()) for row in rows))
