"""What is measured: one problem, what is known of it, and where it belongs in a table."""

from __future__ import annotations

import csv
import os
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache
from math import ceil
from pathlib import Path
from typing import NamedTuple

from cutopt.model.job import Grain
from cutopt.solve.params import Item, Problem, StockType
from cutopt.units import Ticks

FOLDER = Path(
    os.environ.get("CUTOPT_BENCHMARKS", Path(__file__).parents[2] / "shared" / "benchmarks")
)
"""Where the open sets lie: CUTOPT_BENCHMARKS, or a folder beside this repository."""

ORIENTED, TURNED = "O", "R"


@dataclass(frozen=True, slots=True)
class Case:
    """One problem to measure.

    Attributes:
        of: name of the set.
        group: row of the table it counts in.
        name: of the instance.
        variant: ORIENTED (no part may turn) or TURNED.
        problem: one material.
        bound: what is published as proved, in the problem's cost; None where nothing is.
        best: cost of the best published plan, None where none is.
        values: of one part of each item, where the most value from one sheet is sought; then
            ``best`` is a value and ``bound`` what no sheet exceeds.
    """

    of: str
    group: str
    name: str
    variant: str
    problem: Problem
    bound: int | None = None
    best: int | None = None
    values: tuple[int, ...] = ()


def sheets_problem(
    length: int,
    width: int,
    parts: list[tuple[int, int, int]],
    variant: str,
    *,
    kerf: int = 0,
) -> Problem:
    """Give a problem of one size of sheet at a cost of 1; parts are (length, width, qty)."""
    grain = Grain.LENGTH if variant == ORIENTED else Grain.ANY
    items = tuple(
        Item(f"P{number}", Ticks(part[0]), Ticks(part[1]), part[2], grain)
        for number, part in enumerate(parts, start=1)
    )
    stock = StockType("sheet", Ticks(length), Ticks(width), 1, None, variant == ORIENTED)
    return Problem("sheets", items, (stock,), Ticks(kerf), Ticks(kerf))


@cache
def records() -> dict[tuple[str, str, str], tuple[int | None, int | None]]:
    """Give what is published, by set, instance and variant: proved bound and best known."""
    with (FOLDER / "best_known.csv").open(newline="", encoding="utf-8") as table:
        return {
            (row["set"], row["instance"], row["variant"]): (
                _whole(row["lower_bound"]),
                _whole(row["best_known"]),
            )
            for row in csv.DictReader(table)
        }


def record(of: str, name: str, variant: str) -> tuple[int | None, int | None]:
    """Give the proved bound and the best known value of an instance, None where unknown."""
    return records().get((of, name, variant), (None, None))


class Value(NamedTuple):
    """The most value published for one sheet, what none exceeds, and whether for any stages."""

    best: int
    most: int | None
    any_stages: bool


def most_valuable(of: str, name: str, variant: str) -> Value | None:
    """Give the most value published for any guillotine layout, else for layouts of few stages."""
    guillotine = f"{variant}|G"
    staged = []
    with (FOLDER / "best_known.csv").open(newline="", encoding="utf-8") as table:
        for row in csv.DictReader(table):
            if (row["set"], row["instance"], row["objective"]) != (of, name, "max_profit"):
                continue
            best, most = int(row["best_known"]), _whole(row["upper_bound"])
            if row["variant"] in (guillotine, f"{guillotine}|unconstrained"):
                return Value(best, most, any_stages=True)
            if row["variant"].startswith(f"{guillotine}|"):
                staged.append(best)
    return Value(max(staged), None, any_stages=False) if staged else None


def published_sums(variant: str) -> dict[tuple[str, str], dict[str, int]]:
    """Give the published totals by class and number of parts: algorithm -> sheets."""
    letter = "O" if variant == ORIENTED else "R"
    with (FOLDER / "class" / f"sums_{letter}G.csv").open(newline="", encoding="utf-8") as table:
        return {
            (row.pop("class"), row.pop("n")): {name: int(value) for name, value in row.items()}
            for row in csv.DictReader(table)
        }


def _whole(text: str) -> int | None:
    """Give a published value as a whole number; costs are whole, so fractions round up."""
    return ceil(float(text)) if text.strip() else None


def every(cases: Iterator[Case], step: int, first: int = 0) -> Iterator[Case]:
    """Give every so manyth case."""
    for number, case in enumerate(cases):
        if number % step == first % step:
            yield case
