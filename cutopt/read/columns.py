"""Columns that hold several measures (``T x W x L``), parted into one column each."""

from __future__ import annotations

import re
from dataclasses import replace

from cutopt.errors import Fault
from cutopt.read import headers
from cutopt.read.table import Row, Table
from cutopt.units import has_metric_unit, plain_text

BETWEEN = re.compile(
    r"\s*(?:×|✕|\*|(?<=[\d\"'\s./m])x(?=[\s\d.])|(?<=\s)by(?=\s))\s*", re.IGNORECASE
)
_INCH_END = re.compile(r"(\"|in(ch(es)?)?\.?)$")


def parted(text: str) -> list[str]:
    """Give the measures of a text like ``3/4 x 5-1/2 x 23``; a unit at its end goes to all."""
    words = [word.strip() for word in BETWEEN.split(plain_text(text).casefold())]
    last = words[-1]
    if len(words) > 1 and not any(re.search(r"[a-z\"']", word) for word in words[:-1]):
        unit = ""
        if has_metric_unit(last):
            unit = re.sub(r"^[^a-z]*", "", last)
        elif _INCH_END.search(last) and "'" not in last:
            unit = '"'
        words[:-1] = [word + unit for word in words[:-1]]
    return words


def split_combined(row: Row, faults: list[Fault]) -> Row:
    """Give the row with its combined column, if it has one, parted into single measures.

    The order stands in the header. A cell with another number of measures is a fault, and so
    is a measure that a column of its own states too.
    """
    for meaning, column in row.columns.items():
        if " x " not in meaning:
            continue
        measures = meaning.split(" x ")
        text = row.text(meaning)
        if not text:
            return row
        words = parted(text)
        if len(words) != len(measures):
            faults.append(
                row.fault(
                    meaning,
                    f"the header names {len(measures)} measures ({column.header}), "
                    f"here are {len(words)}",
                    "write them like " + " x ".join(["3/4", "5-1/2", "23"][: len(measures)]),
                )
            )
            return row
        twice = [measure for measure in measures if row.text(measure)]
        if twice:
            faults.append(row.fault(twice[0], f"{column.header} states the {twice[0]} too"))
            return row
        return replace(
            row,
            cells={**row.cells, **dict(zip(measures, words, strict=True))},
            columns={**row.columns, **dict.fromkeys(measures, column)},
        )
    return row


def orderless_faults(table: Table) -> list[Fault]:
    """Give a fault for each column that holds sizes but does not name their order."""
    return [
        Fault(
            "the header does not say which measure comes first",
            file=table.file,
            row=table.header_row,
            column=column.header,
            help='name the order in the header, like "L x W x T" or "T x W x L"',
        )
        for column in table.columns
        if column.meaning is None and headers.names_no_order(column.header)
    ]
