"""Faults that every row of a table repeats, said once."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable
from dataclasses import replace

from cutopt.errors import Fault
from cutopt.read.cells import NO_UNIT
from cutopt.read.table import Table


def units_once(faults: list[Fault]) -> list[Fault]:
    """Give the faults with one for all numbers whose units nothing states."""
    kept: list[Fault] = []
    if any(fault.text.startswith("units: ") for fault in faults):
        return [fault for fault in faults if fault.text != NO_UNIT]
    bare = [fault for fault in faults if fault.text == NO_UNIT]
    for fault in faults:
        if fault.text != NO_UNIT:
            kept.append(fault)
        elif fault is bare[0]:
            more = f"; so do {len(bare) - 1} more" if len(bare) > 1 else ""
            kept.append(
                replace(
                    fault,
                    text=f"this number has no unit, and nothing says inches or millimetres{more}",
                    help='set units = "inch" or "mm" in job.toml, or give --units inch (or mm)',
                )
            )
    return kept


def columns_once(faults: Iterable[Fault], tables: Iterable[Table | None]) -> list[Fault]:
    """Give the faults with one, at the header, where every row lacks the same column."""
    by_file = {table.file: table for table in tables if table is not None}
    kept = list(faults)
    repeated = Counter(replace(fault, row=None) for fault in kept if not fault.found)
    for alike, count in repeated.items():
        table = by_file.get(alike.file)
        if table is None or not alike.column or _is_there(alike.column, table):
            continue
        if count < 2 or count < len(table.rows):
            continue
        first = next(at for at, fault in enumerate(kept) if replace(fault, row=None) == alike)
        others = [fault for fault in kept if replace(fault, row=None) != alike]
        once = replace(
            alike,
            text=f'there is no column "{alike.column}": {alike.text} in every row',
            row=table.header_row,
            column="",
            found=", ".join(column.header for column in table.columns if column.header),
        )
        kept = [*others[:first], once, *others[first:]]
    return kept


def _is_there(column: str, table: Table) -> bool:
    return any(column in (known.header, known.meaning) for known in table.columns)
