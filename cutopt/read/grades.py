"""Grades: what the builder expects of the boards of each grade in the stock list."""

from __future__ import annotations

import re
from collections.abc import Sequence

from cutopt.model.grade import Grade, plain_grade
from cutopt.read.cells import Cells, nearest
from cutopt.read.gathered import Gathered
from cutopt.read.table import Row, Table
from cutopt.units import Ticks, Units, plain_text

FEET_IN_A_METRE = 1 / 0.3048
_MOST_A_METRE = 50.0


def read_grades(
    table: Table, units: Units | None, words: Sequence[str], gathered: Gathered
) -> tuple[Grade, ...]:
    """Give the grades in the order of their rows.

    Args:
        table: the grades.
        units: what bare numbers mean, or None.
        words: grades in the stock list, as spelled there.
        gathered: takes what is wrong and what is worth saying.
    """
    grades: list[Grade] = []
    rows: dict[str, Row] = {}
    described = {plain_grade(row.text("grade")) for row in table.rows}
    spelled = {plain_grade(word) for word in words}
    open_words = [word for word in words if plain_grade(word) not in described]
    for row in table.rows:
        cells = Cells(row, units, gathered.faults)
        name = cells.needed("grade", "the grade, as the stock list spells it")
        rate = _rate(cells)
        span = _from_to(cells, "span", wanted=bool(rate), what="a bad span")
        chance = _chance(cells)
        end = _from_to(cells, "end", wanted=bool(chance), what="a bad end")
        straight = cells.length("straight")
        if not name:
            continue
        key = plain_grade(name)
        if key in rows:
            cells.fault(
                "grade", f"row {rows[key].number} describes this grade too", "keep one of them"
            )
            continue
        rows[key] = row
        near = "" if key in spelled else nearest(name, open_words, cutoff=0.75)
        if near:
            cells.fault("grade", "the stock list has no such grade", f'did you mean "{near}"?')
            continue
        if key not in spelled:
            gathered.say("grades no row of the stock list has", name)
        grades.append(Grade(name, rate, *span, chance, *end, straight, cells.note()))
    return tuple(grades)


def _rate(cells: Cells) -> float:
    """Give bad spans a metre, whichever of the two columns states them."""
    stated = [column for column in ("per_metre", "per_foot") if cells.text(column)]
    if len(stated) != 1:
        problem = "is missing" if not stated else "is stated twice"
        cells.fault(
            "per_metre",
            f"how many bad spans a board has {problem}",
            "fill in one of per_metre (bad spans a metre) and per_foot (a foot); 0 for none",
        )
        return 0.0
    number = _number(cells, stated[0], "write how many bad spans there are on average, like 0.5")
    rate = number * FEET_IN_A_METRE if stated[0] == "per_foot" else number
    if rate > _MOST_A_METRE:
        cells.fault(stated[0], "so many bad spans leave nothing of a board")
        return 0.0
    return rate


def _chance(cells: Cells) -> float:
    """Give the chance of a bad end, 0 where the cell is blank."""
    text = cells.text("end_chance")
    if not text:
        return 0.0
    helps = "write a chance like 20 % or 0.2"
    if text.rstrip().endswith("%"):
        chance = _number(cells, "end_chance", helps, text.rstrip()[:-1]) / 100
    else:
        chance = _number(cells, "end_chance", helps)
    if chance > 1:
        cells.fault("end_chance", "a chance is at most 1, or 100 %", helps)
        return 0.0
    return chance


def _number(cells: Cells, column: str, helps: str, text: str | None = None) -> float:
    plain = plain_text(cells.text(column) if text is None else text).strip()
    if re.fullmatch(r"\d{1,6}(?:[.,]\d{1,9})?|[.,]\d{1,9}", plain) is None:
        cells.fault(column, "this is not a number from 0", helps)
        return 0.0
    return float(plain.replace(",", "."))


def _from_to(cells: Cells, what_for: str, *, wanted: bool, what: str) -> tuple[Ticks, Ticks]:
    """Give the shortest and the longest measure of a kind."""
    columns = f"{what_for}_from", f"{what_for}_to"
    low, high = (cells.length(column, zero=True) for column in columns)
    for column, measure, word in zip(columns, (low, high), ("shortest", "longest"), strict=True):
        if wanted and measure is None and not cells.text(column):
            cells.fault(column, f"how long {what} is at the {word} is missing")
    if low is None or high is None:
        return Ticks(0), Ticks(0)
    if low > high:
        cells.fault(columns[0], f"the shortest measure is longer than {columns[1]}", "swap them")
        return Ticks(0), Ticks(0)
    return low, high
