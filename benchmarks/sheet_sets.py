"""Readers of the open sets of sheet instances; the data stays where it is.

Source: Berkey and Wang, "Two-dimensional finite bin-packing algorithms", 1987,
doi:10.1057/jors.1987.70 (class 1-6); Martello and Vigo, "Exact solution of the
two-dimensional finite bin packing problem", 1998, doi:10.1287/mnsc.44.3.388 (class 7-10);
Beasley, "Algorithms for unconstrained two-dimensional guillotine cutting", 1985,
doi:10.1057/jors.1985.51 (gcutbin: one copy of each of its parts); Cintra, Miyazawa,
Wakabayashi and Xavier, "Algorithms for two-dimensional cutting stock and strip packing
problems using dynamic programming and column generation", 2008,
doi:10.1016/j.ejor.2007.08.007 (cintra1: the first size of sheet; cintra: three sizes).
The folder's own README names the source of a43, panel orders of a furniture maker.
"""

from __future__ import annotations

import zipfile
from collections.abc import Callable, Iterator

from benchmarks.cases import FOLDER, ORIENTED, Case, record, sheets_problem
from cutopt.model.job import Grain
from cutopt.solve.params import Item, Problem, StockType
from cutopt.units import Ticks


def class_cases(variant: str) -> Iterator[Case]:
    """Give the 500 classic instances."""
    for number in range(1, 11):
        path = FOLDER / "class" / f"Class_{number:02d}.2bp"
        lines = iter(path.read_text(encoding="utf-8").splitlines())
        for line in lines:
            if "PROBLEM CLASS" not in line:
                continue
            count = int(next(lines).split()[0])
            which = int(next(lines).split()[0])
            height, width = (int(word) for word in next(lines).split()[:2])
            parts = [_pair(next(lines)) for _ in range(count)]
            name = f"cl_{number:02d}_{count:03d}_{which:02d}"
            problem = sheets_problem(height, width, [(*part, 1) for part in parts], variant)
            yield Case(
                "class",
                f"{number} {count}",
                name,
                variant,
                problem,
                *record("class", name, f"{variant}|G"),
            )


def _pair(line: str) -> tuple[int, int]:
    first, second = line.split()[:2]
    return int(first), int(second)


def panel_orders(variant: str) -> Iterator[Case]:
    """Give a43: few kinds of parts, many of each."""
    with zipfile.ZipFile(FOLDER / "a43" / "a43.zip") as folder:
        names = sorted(folder.namelist(), key=lambda name: (len(name), name))
        for name in names:
            words = folder.read(name).decode("latin-1").splitlines()
            rows = [
                [int(word) for word in line.split()]
                for line in words
                if line.strip() and all(word.isdigit() for word in line.split())
            ]
            _, (length, width), (count,), *parts = rows
            problem = sheets_problem(
                length, width, [(a, b, qty) for a, b, qty in parts[:count]], variant
            )
            yield Case("a43", "a43", name, variant, problem, *record("a43", name, f"{variant}|G"))


def gcutbin(variant: str) -> Iterator[Case]:
    """Give gcut as bin packing: one copy of each part."""
    for number in range(1, 13):
        text = (FOLDER / "orlib" / f"gcut{number}.txt").read_text(encoding="utf-8")
        words = [int(word) for word in text.split()]
        count, length, width = words[:3]
        parts = [(words[3 + 3 * k], words[4 + 3 * k], 1) for k in range(count)]
        name = f"gcut{number}"
        problem = sheets_problem(length, width, parts, variant)
        known = record("gcutbin", name, f"{variant}|G")
        yield Case("gcutbin", "gcutbin", name, variant, problem, *known)


def one_size(variant: str) -> Iterator[Case]:
    """Give cintra1: many copies of each part, the first size of sheet."""
    for name, stock, parts in _cintra():
        length, width, _ = stock[0]
        problem = sheets_problem(length, width, parts, variant)
        known = record("cintra1", name, f"{variant}|G")
        yield Case("cintra1", "cintra1", name, variant, problem, *known)


def three_sizes(variant: str) -> Iterator[Case]:
    """Give cintra: three sizes of sheet, each at its own cost.

    What is published is for two stages, so any number of stages may beat it; a bound for
    two stages says nothing here and is left out.
    """
    grain = Grain.LENGTH if variant == ORIENTED else Grain.ANY
    for name, stock, parts in _cintra():
        items = tuple(
            Item(f"P{number}", Ticks(a), Ticks(b), qty, grain)
            for number, (a, b, qty) in enumerate(parts, start=1)
        )
        types = tuple(
            StockType(f"S{number}", Ticks(a), Ticks(b), cost, None, variant == ORIENTED)
            for number, (a, b, cost) in enumerate(stock, start=1)
        )
        _, best = record("cintra", name, f"{variant}|G|2-stage non-exact, horizontal first")
        problem = Problem("sheets", items, types, Ticks(0), Ticks(0))
        yield Case("cintra", "cintra", name, variant, problem, None, best)


Row = tuple[int, int, int]


def _cintra() -> Iterator[tuple[str, list[Row], list[Row]]]:
    for number in range(1, 13):
        path = FOLDER / "cintra" / f"gcut{number}d.txt"
        rows = [line.split() for line in path.read_text(encoding="utf-8").splitlines()]
        sizes, count = int(rows[0][1]), int(rows[0][2])
        yield (
            f"gcut{number}d",
            [_row(row) for row in rows[1 : 1 + sizes]],
            [_row(row) for row in rows[1 + sizes : 1 + sizes + count]],
        )


def _row(words: list[str]) -> Row:
    return int(words[0]), int(words[1]), int(words[2])


SETS: dict[str, Callable[[str], Iterator[Case]]] = {
    "class": class_cases,
    "a43": panel_orders,
    "gcutbin": gcutbin,
    "cintra1": one_size,
    "cintra": three_sizes,
}
