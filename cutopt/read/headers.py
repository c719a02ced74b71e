"""What a column is called: the trade's usual headers and what each one means."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass

from cutopt.units import Units, plain_text


def plain(text: str) -> str:
    """Give a header without case, spaces and punctuation (a lone ``#`` stays)."""
    kept = "".join(letter for letter in plain_text(text).casefold() if letter.isalnum())
    return kept or text.strip()


@dataclass(frozen=True, slots=True, eq=False)
class Vocabulary:
    """The columns of one table and every header that stands for one of them.

    Attributes:
        columns: their own names, in their usual order.
        meanings: from a header without case, spaces and punctuation to its column.
    """

    columns: tuple[str, ...]
    meanings: Mapping[str, str]


def vocabulary(synonyms: Mapping[str, tuple[str, ...]]) -> Vocabulary:
    """Give the vocabulary of a table: each column's headers, its own name always one of them.

    Raises:
        ValueError: a header would stand for two columns.
    """
    meanings: dict[str, str] = {}
    for column, words in synonyms.items():
        for word in (column, *words):
            if meanings.setdefault(plain(word), column) != column:
                raise ValueError(f"{word} stands for {meanings[plain(word)]} and {column}")
    return Vocabulary(tuple(synonyms), meanings)


PARTS = vocabulary({
    "part": (
        "part", "parts", "part name", "partname", "name", "component", "item", "description",
        "desc", "piece", "piece name", "member", "label", "cabinet part",
    ),
    "qty": (
        "qty", "quantity", "qnty", "qnt", "pcs", "pieces", "count", "no", "nos", "number",
        "no of pieces", "number of pieces", "no off", "off", "how many", "amount", "no required",
        "number required", "qty required", "qty needed", "quan", "num", "#", "pieces needed",
    ),
    "length": ("length", "l", "len", "lg", "long", "finished length", "cut length", "lgth"),
    "width": ("width", "w", "wid", "wd", "wide", "finished width", "cut width", "wdth", "breadth"),
    "thickness": (
        "thickness", "t", "thk", "thick", "thickn", "th", "finished thickness", "thkness",
    ),
    "material": (
        "material", "materials", "matl", "mat", "mtl", "stock", "wood", "species", "board",
        "lumber", "sheet", "sheet material", "timber", "panel", "made from", "cut from",
    ),
    "section": ("section", "nominal", "nominal size", "lumber size", "board size"),
    "grain": ("grain", "grain direction", "graindirection", "grain dir"),
    "band": (
        "band", "bands", "banding", "edge band", "edge banding", "edging", "edges", "edge",
        "edge tape", "banded edges", "edges banded", "edgebanding", "tape",
    ),
    "group": (
        "group", "sub assembly", "subassembly", "assembly", "unit", "cabinet", "module",
    ),
    "extra_length": ("extra length", "extralength", "scribe length", "allowance length"),
    "extra_width": ("extra width", "extrawidth", "scribe width", "scribe", "allowance width"),
    "last": ("last", "cut last", "fit last", "cut to fit"),
    "handed": ("handed", "pair", "pairs", "mirror", "mirrored", "left and right"),
    "match": ("match", "grain match", "sequence", "match grain"),
    "knots": ("knots", "knots ok"),
    "note": ("note", "notes", "remark", "remarks", "comment", "comments"),
})  # fmt: skip

STOCK = vocabulary({
    "stock": (
        "stock", "name", "item", "description", "stock name", "product", "sheet", "board", "desc",
        "size name", "part",
    ),
    "kind": ("kind", "type", "form", "sort"),
    "material": ("material", "materials", "matl", "mat", "mtl", "species", "wood"),
    "length": ("length", "l", "len", "lg", "long"),
    "width": ("width", "w", "wid", "wd", "wide", "breadth"),
    "thickness": ("thickness", "t", "thk", "thick", "th", "thickn"),
    "section": ("section", "nominal", "nominal size"),
    "price": (
        "price", "cost", "price each", "each", "unit price", "unit cost", "cost each", "price ea",
    ),
    "available": (
        "available", "avail", "qty", "quantity", "on hand", "in stock", "pcs", "count", "have",
        "max", "most",
    ),
    "owned": ("owned", "own", "have it", "mine", "in the shop", "in shop", "leftover", "scrap"),
    "grain": ("grain", "grain direction", "grain dir"),
    "trim": ("trim", "edge trim", "trim cut", "clean up"),
    "rip": ("rip", "may rip", "rippable", "can rip"),
    "grade": ("grade", "quality"),
    "band": ("band", "banding", "edge band", "band thickness", "edge banding", "edging", "tape"),
    "note": ("note", "notes", "remark", "remarks", "comment", "comments"),
})  # fmt: skip

CUTOUTS = vocabulary(
    {
        "part": ("part", "parts", "part name", "name", "component"),
        "kind": ("kind", "type", "cutout", "shape"),
        "length": ("length", "l", "len", "long", "diameter", "dia", "radius"),
        "width": ("width", "w", "wid", "wide"),
        "from_left": ("from left", "left", "x"),
        "from_front": ("from front", "front", "y"),
        "note": ("note", "notes", "remark", "remarks", "comment", "comments"),
    }
)

EXTRAS = vocabulary(
    {
        "item": ("item", "name", "extra", "description", "hardware", "desc", "product", "part"),
        "qty": ("qty", "quantity", "pcs", "pieces", "count", "no", "number", "#", "needed", "need"),
        "pack": ("pack", "pack size", "per pack", "packsize", "box", "in a pack", "pack of"),
        "price": ("price", "cost", "price each", "each", "unit price", "pack price", "unit cost"),
        "group": ("group", "sub assembly", "subassembly", "assembly", "cabinet", "unit"),
        "note": ("note", "notes", "remark", "remarks", "comment", "comments"),
    }
)

GRADES = vocabulary({
    "grade": ("grade", "quality", "name"),
    "per_metre": (
        "per metre", "per meter", "per m", "bad spans per metre", "bad spans per meter",
        "bad spans a metre", "bad per metre", "knots per metre", "knots per meter",
    ),
    "per_foot": (
        "per foot", "per ft", "bad spans per foot", "bad spans a foot", "bad per foot",
        "knots per foot",
    ),
    "span_from": ("span from", "bad span from", "shortest span", "shortest bad span"),
    "span_to": ("span to", "bad span to", "longest span", "longest bad span"),
    "end_chance": ("end chance", "bad end chance", "chance of a bad end", "bad end", "bad ends"),
    "end_from": ("end from", "bad end from", "shortest end", "shortest bad end"),
    "end_to": ("end to", "bad end to", "longest end", "longest bad end"),
    "straight": ("straight", "straight run", "longest straight run", "crook"),
    "note": ("note", "notes", "remark", "remarks", "comment", "comments"),
})  # fmt: skip

BOARDS = vocabulary({
    "board": ("board", "mark", "name", "id", "label", "no", "number", "#", "board mark"),
    "stock": ("stock", "stock name", "size name", "item", "product", "kind", "type"),
    "length": ("length", "l", "len", "lg", "long", "measured length", "actual length"),
    "bad": (
        "bad", "bad spans", "bad span", "knots", "knot", "faults", "fault", "defects", "defect",
        "bad from to", "flaws",
    ),
    "measured_from": (
        "measured from", "from", "from end", "end", "hook end", "tape from", "measured from end",
    ),
    "note": ("note", "notes", "remark", "remarks", "comment", "comments"),
})  # fmt: skip

JOB = vocabulary(
    {
        "key": ("key", "setting", "what", "name"),
        "value": ("value", "is", "text"),
    }
)

_WEAK: Mapping[str, int] = {
    **dict.fromkeys(("description", "desc", "label", "each", "sheet", "board", "panel", "edge"), 1),
    **dict.fromkeys(("item", "no", "nos", "number", "num", "#", "type", "stock", "unit"), 2),
}

_MEASURES: Mapping[str, str] = {
    **dict.fromkeys(("l", "len", "length", "long", "lg"), "length"),
    **dict.fromkeys(("w", "wid", "width", "wide", "wd"), "width"),
    **dict.fromkeys(("t", "th", "thk", "thick", "thickness"), "thickness"),
}
_ORDERLESS = {
    "size", "sizes", "dimension", "dimensions", "dims", "dim", "measure", "measures",
    "measurements", "finishedsize", "cutsize", "overallsize", "finalsize",
}  # fmt: skip
_UNIT_NOTES: Mapping[str, Units] = {
    **dict.fromkeys(("in", "ins", "inch", "inches", '"'), Units.INCH),
    **dict.fromkeys(("mm", "millimetres", "millimeters", "millimetre", "millimeter"), Units.MM),
}


def without_unit(header: str) -> tuple[str, Units | None]:
    """Give the header without a unit it states (``Length (mm)``, ``Width, mm``), and that unit."""
    text = plain_text(header)
    bracketed = re.search(r"\s*[(\[]\s*([a-z\"]+)\.?\s*[)\]]", text, re.IGNORECASE)
    if bracketed is not None:
        unit = _UNIT_NOTES.get(bracketed[1].casefold())
        if unit is not None:
            return text[: bracketed.start()] + text[bracketed.end() :], unit
    behind = re.fullmatch(r"(.*?\S)(?:,| in)? (mm|inches|inch)", text, re.IGNORECASE)
    if behind is not None:
        return behind[1], _UNIT_NOTES[behind[2].casefold()]
    return header, None


def meaning_of(header: str, known: Vocabulary) -> str | None:
    """Give the column a header stands for, or None where it is not known."""
    return known.meanings.get(plain(header))


def weakness(header: str, column: str) -> int:
    """Say how easily a header gives way to another that means the same: 0 not at all.

    ``Part`` beside ``Description``, or ``Qty`` beside ``No.``: the weaker one is a note.
    """
    asked = plain(without_unit(header)[0])
    return 0 if asked == plain(column) else _WEAK.get(asked, 0)


def is_running_number(header: str, text: str) -> bool:
    """Say whether a cell only numbers its row (``Item`` 3, ``No.`` 12)."""
    return text.isdigit() and plain(header) in {"item", "no", "nos", "number", "num", "#", "id"}


def measures_in(header: str) -> tuple[str, ...] | None:
    """Give the order of measures a combined header names (``T x W x L``), or None."""
    text = plain_text(header).casefold()
    inside = re.search(r"\(([^)]*)\)", text)
    for candidate in (inside[1] if inside else "", re.sub(r"\([^)]*\)", "", text)):
        words = [
            word.strip(" .\"'") for word in re.split(r"\s*(?:×|\*|\bx\b|\bby\b)\s*", candidate)
        ]
        words[0] = words[0].split(" ")[-1].lstrip(":")
        measures = tuple(_MEASURES.get(word, "") for word in words)
        if len(measures) > 1 and all(measures) and len(set(measures)) == len(measures):
            return measures
    compact = re.search(r"(?:^|[\s(])([lwt])[x×*]([lwt])(?:[x×*]([lwt]))?(?:$|[\s)])", text)
    if compact is not None:
        measures = tuple(_MEASURES[letter] for letter in compact.groups() if letter)
        return measures if len(set(measures)) == len(measures) else None
    return None


def names_no_order(header: str) -> bool:
    """Say whether a header promises a size without the order of its measures."""
    return plain(without_unit(header)[0]) in _ORDERLESS
