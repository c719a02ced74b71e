"""A bill of parts written as lines of text, as plans on paper and web pages have them.

Understood are lines such as ``4 - 2x4s @ 16-1/2" (legs)``, ``2 / 2400 mm lengths of
140 mm x 45 mm`` and ``Shelf: 2 @ 3/4 x 9 x 39-1/2``. Every other line is a fault that shows
what would do; nothing is guessed.
"""

from __future__ import annotations

import re

from cutopt.errors import Fault
from cutopt.model.sizes import parse_section
from cutopt.read.columns import BETWEEN, parted
from cutopt.read.grid import Grid
from cutopt.read.table import Column, Row, Table
from cutopt.units import LengthError, Ticks, Units, parse_length, plain_text

_COLUMNS = {
    meaning: Column(meaning, meaning)
    for meaning in ("part", "qty", "length", "width", "thickness", "section", "material")
}
HELP = 'write it like: 4 - 2x4 @ 16-1/2" (legs), or make a table with a header row'

_UNIT = r"(?:''|\"|'|(?:mm|cm|m|inch(?:es)?|in|ft|feet|foot)\b\.?)"
_NUMBER = r"(?:\d+(?: |-| - )\d+/\d+|\d+/\d+|\d+[.,]\d+|\d+)"
_LENGTH = rf"{_NUMBER}(?: ?-?{_UNIT}(?: ?-? ?{_NUMBER} ?-?(?:''|\"|in(?:ch(?:es)?)?\b\.?))?)?"
_BY = r" ?(?:x|×|\*|by) ?"
_SECTION = rf"{_LENGTH}{_BY}{_LENGTH}"
_WOOD = r"(?P<wood>(?: [a-z][a-z-]*){0,3}?)"
_LONG = r"(?:(?: |-)?(?:long|lengths?|each|ea\.?|pieces?|pcs\.?))*"
_NAME = r"(?:[ ,:;-]*(?:for |= ?)?(?P<name>[a-z][^0-9@]*?))?"

_COUNT = re.compile(
    r"\(?(?P<qty>\d{1,4})\)?(?P<word> ?(?:pcs?\.?|pieces?|ea\.?|each|off|no\.?|x))?"
)
_JOINT = re.compile(
    rf" - | ?: ?| / |/(?=\d{{3}})|-(?=\d+{_BY}\d)| ?@ ?| ?, | of | ",
)
_BOARD_AT = re.compile(
    rf"(?P<section>{_SECTION})(?:'?s)?\b{_WOOD}(?: ?@ ?| at | cut to | cut at | - |, ?)"
    rf"(?P<length>{_LENGTH}){_LONG}{_NAME}"
)
_LENGTHS_OF = re.compile(
    rf"(?P<length>{_LENGTH}){_LONG} (?:of|in|from) (?P<section>{_SECTION})(?:'?s)?{_WOOD}"
    rf"(?: ?[-,:] ?(?P<name>[a-z][^0-9@]*?))?"
)
_WOODS = r"(?P<wood>[a-z][a-z-]{2,}(?: [a-z][a-z-]*){0,2}?)"
_PANEL_AT = re.compile(
    rf"(?P<thickness>{_LENGTH}) {_WOODS}(?: ?@ ?| at | cut to | cut at | - |, ?| )"
    rf"(?P<one>{_LENGTH}){_BY}(?P<other>{_LENGTH}){_NAME}"
)
_PANEL_OF = re.compile(
    rf"(?P<one>{_LENGTH}){_BY}(?P<other>{_LENGTH}) (?:of|from|in) "
    rf"(?P<thickness>{_LENGTH}) {_WOODS}(?: ?[-,:] ?(?P<name>[a-z][^0-9@]*?))?"
)
_THREE = re.compile(rf"(?P<size>{_LENGTH}{_BY}{_LENGTH}{_BY}{_LENGTH}){_LONG}{_NAME}")
_NAME_FIRST = re.compile(r"(?P<name>[a-z][^0-9:@=]*?)(?: ?[:=@] ?| - |, ?| )(?=\(?\d)")
_BULLET = re.compile(r"^(?:[*•▪◦·‣☐□] ?|- |\[ ?\] ?|\d{1,2}\) |[A-Z]{1,2}[.)] )")
_NO_WOOD = frozenset(
    ("lumber", "board", "boards", "stud", "studs", "timber", "timbers", "wood", "deck", "decking")
)


def read_freehand(grid: Grid, units: Units | None) -> Table | None:
    """Give the lines of a text as a bill of parts; lines that are not understood are faults.

    None where no line at all is understood: it is some other kind of text then.
    """
    rows: list[Row] = []
    faults: list[Fault] = []
    left_out: list[str] = []
    for number, written in enumerate(grid.lines, start=1):
        line = " ".join(written.split())
        if not line:
            continue
        if not any(letter.isdigit() or letter.isnumeric() for letter in line):
            left_out.append(line)
            continue
        try:
            cells = understand_line(line, units or Units.INCH)
        except LengthError as error:
            faults.append(
                Fault(error.problem, grid.file, number, found=line, help=error.help or HELP)
            )
            continue
        rows.append(Row(grid.file, number, cells, _COLUMNS))
    if not rows:
        return None
    notes = [*grid.notes, f"{grid.file} has no header row; its lines are read one by one"]
    if left_out:
        shown = ", ".join(f'"{line[:30]}"' for line in left_out[:4])
        notes.append(f"{grid.file}: lines without a number are left out ({shown})")
    columns = tuple(_COLUMNS.values())
    return Table(grid.file, columns, tuple(rows), 0, tuple(notes), tuple(faults))


def understand_line(line: str, units: Units) -> dict[str, str]:
    """Give one line as the cells of a bill of parts.

    Raises:
        LengthError: the line is not understood, or can be read in two ways.
    """
    plain = _BULLET.sub("", plain_text(line)).strip(" .;")
    named = re.search(r"\(([^()]*[A-Za-z][^()]*)\)$", plain)
    name = named[1].strip() if named is not None else ""
    if named is not None:
        plain = plain[: named.start()].strip(" -,:")
    first = _NAME_FIRST.match(plain.casefold())
    if first is not None:
        name = name or plain[: first.end("name")].strip()
        plain = plain[first.end() :]
    low = plain.casefold()
    count = _COUNT.match(low)
    if count is None:
        raise LengthError("this line does not begin with how many there are")
    joint = _JOINT.match(low, count.end())
    if joint is None and not count["word"]:
        raise LengthError("this line is not understood as a part")
    start = joint.end() if joint is not None else count.end()
    parted_by = joint[0].strip() if joint is not None else ""
    if low.startswith("(") or count["word"]:
        parted_by = "x"  # a count in brackets or with a word of its own is no part of a measure
    rest = low[start:].strip()
    cells = {"qty": count["qty"], **_measured(rest, parted_by, units)}
    behind = cells.pop("behind")
    if not name and behind:
        name = plain[len(plain) - len(behind) :] if low.endswith(behind) else behind
    cells["part"] = name.strip(" -,:") or " x ".join(
        cells[key] for key in ("section", "thickness", "width", "length") if cells.get(key)
    )
    return cells


def _measured(rest: str, joint: str, units: Units) -> dict[str, str]:
    """Give the measures of what stands behind the count, and the words ``behind`` them."""
    for shape in (_BOARD_AT, _LENGTHS_OF):
        found = shape.fullmatch(rest)
        if found is None:
            continue
        section = found["section"]
        words = parted(section)
        if parse_section(section) is None:
            for word in words:
                parse_length(word, units)
        parse_length(found["length"], units)
        nominal = parse_section(section)
        wood = [word for word in found["wood"].split() if word not in _NO_WOOD]
        return {
            "section": nominal.name if nominal is not None else " x ".join(words),
            "length": found["length"],
            "material": " ".join(wood),
            "behind": found["name"] or "",
        }
    found = _PANEL_AT.fullmatch(rest) or _PANEL_OF.fullmatch(rest)
    if found is not None and not (joint == "" and re.match(r"\d+/\d+", rest)):
        return {**_panel(found, units), "behind": found["name"] or ""}
    found = _THREE.fullmatch(rest)
    if joint in {"", "-"} and re.match(r"\d+/\d+", rest):
        raise LengthError(
            "the count and the fraction after it can be one measure",
            f"put an @ between the count and the sizes, like: 2 @ {rest}",
        )
    if found is None:
        raise LengthError("this line is not understood as a part")
    return {**_three(found["size"], units), "behind": found["name"] or ""}


def _panel(found: re.Match[str], units: Units) -> dict[str, str]:
    """Give the cells of a panel: thickness, material, and two sides, the longer one the length."""
    parse_length(found["thickness"], units)
    sides = parted(f"{found['one']} x {found['other']}")
    width, length = sorted(sides, key=lambda side: parse_length(side, units))
    return {
        "thickness": found["thickness"],
        "material": found["wood"],
        "length": length,
        "width": width,
    }


def _three(size: str, units: Units) -> dict[str, str]:
    """Give the cells of three measures: a section and a length, or T x W x L, or L x W x T."""
    bare = BETWEEN.split(size)
    if parse_section(" x ".join(bare[:2])) and all(word.strip().isdigit() for word in bare[:2]):
        if bare[2].strip().isdigit():
            raise LengthError(
                f"the last measure can be feet or inches of a {bare[0]}x{bare[1]}",
                f"write its unit, like {bare[0]}x{bare[1]} @ {bare[2]}\" or {bare[2]}'",
            )
        parse_length(bare[2], units)
        return {"section": "x".join(bare[:2]), "length": bare[2]}
    words = parted(size)
    ticks: list[Ticks] = [parse_length(word, units) for word in words]
    if ticks[0] < ticks[2] and ticks[0] <= ticks[1]:
        return {"thickness": words[0], "width": words[1], "length": words[2]}
    if ticks[2] < ticks[0] and ticks[2] <= ticks[1]:
        return {"length": words[0], "width": words[1], "thickness": words[2]}
    raise LengthError(
        "it is not clear which measure is the thickness",
        "write the sizes as thickness x width x length",
    )
