"""Lists as CSV for a spreadsheet: what to buy, and every part to cut."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable, Sequence

from cutopt.model.job import Part
from cutopt.model.opening_words import area_words
from cutopt.model.openings import open_area
from cutopt.model.plan import PartPiece, Plan, walk
from cutopt.steps.buy import BuyRow, buy_list
from cutopt.steps.phrase import plain
from cutopt.units import Ticks, Units, format_length

BUY_COLUMNS = ("group", "item", "size", "qty", "each", "sum", "currency", "note", "grade", "mark")
CUT_COLUMNS = (
    "part",
    "qty",
    "length",
    "width",
    "thickness",
    "cut length",
    "cut width",
    "material",
    "grain",
    "band",
    "group",
    "last",
    "cut from",
    "note",
    "open area",
)


def _csv(columns: Sequence[str], rows: Iterable[Sequence[str]]) -> str:
    """Give CSV text; a cell that a spreadsheet would run as a formula is quoted with a mark."""
    buffer = io.StringIO()
    writer = csv.writer(buffer, lineterminator="\n")
    writer.writerow(columns)
    writer.writerows([[_harmless(cell) for cell in row] for row in rows])
    return buffer.getvalue()


def _harmless(cell: str) -> str:
    return f"'{cell}" if cell[:1] in {"=", "+", "@", "\t", "\r"} else cell


def _money(cents: int | None) -> str:
    return "" if cents is None else f"{cents / 100:.2f}"


def buy_list_csv(plan: Plan, units: Units) -> str:
    """Give what to buy, a row an item; lengths in ``units``, money in the job's currency."""
    listing = buy_list(plan)
    currency = listing.currency

    def say(ticks: int) -> str:
        return format_length(Ticks(ticks), units, unit_mark=True)

    def row(group: str, entry: BuyRow) -> tuple[str, ...]:
        notes = "; ".join(plain(note, say) for note in entry.notes)
        return (
            group,
            entry.item,
            plain(entry.size, say),
            str(entry.count),
            _money(entry.each_cents),
            _money(entry.sum_cents),
            currency,
            notes,
            entry.grade,
            entry.mark,
        )

    rows = [row(group.head, entry) for group in listing.groups for entry in group.rows]
    rows += [row("From the shop", entry) for entry in listing.owned]
    if listing.store_cuts is not None:
        cuts = listing.store_cuts
        note = f"{cuts.paid} over the free ones" if cuts.paid else "all free"
        money = _money(cuts.sum_cents)
        fee = ("Store", "Store cuts", "", str(cuts.made), "", money, currency, note, "", "")
        rows.append(fee)
    return _csv(BUY_COLUMNS, rows)


def cut_list_csv(plan: Plan, units: Units) -> str:
    """Give every part, a row a kind: finished size, cut size, where it is cut from."""
    sources: dict[str, list[str]] = {part.id: [] for part in plan.job.parts}
    for piece in plan.pieces:
        for placed in walk(piece.layout):
            if isinstance(placed.node, PartPiece):
                sources[placed.node.part].append(piece.id)

    def say(ticks: Ticks) -> str:
        return format_length(ticks, units)

    def row(part: Part) -> tuple[str, ...]:
        material = part.material
        name = f"{material.name} {material.section}" if material.section else material.name
        return (
            part.name,
            str(part.qty),
            say(part.length),
            say(part.width),
            say(part.thickness),
            say(part.blank_length),
            say(part.blank_width),
            name,
            part.grain.value,
            " ".join(edge.value for edge in part.band),
            part.group,
            "yes" if part.last else "",
            " ".join(dict.fromkeys(sources[part.id])),
            part.note,
            area_words(area, units) if (area := open_area(part)) else "",
        )

    return _csv(CUT_COLUMNS, (row(part) for part in plan.job.parts))
