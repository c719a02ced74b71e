"""Readers of the open sets that ask for the most value from one sheet; the data stays put.

Only cases with a published value are given. The optimum over all guillotine layouts is known
for most; for some of g2kp only the best layout of two or three stages is, which any number of
stages may beat.

Source: Christofides and Whitlock, "An algorithm for two-dimensional cutting problems", 1977,
doi:10.1287/opre.25.1.30 (cgcut); Beasley, "Algorithms for unconstrained two-dimensional
guillotine cutting", 1985, doi:10.1057/jors.1985.51 (gcut: any number of each part); Beasley,
"An exact two-dimensional non-guillotine cutting tree search procedure", 1985,
doi:10.1287/opre.33.1.49 (ngcut). The folder's own README names the source of g2kp.
"""

from __future__ import annotations

import zipfile
from collections.abc import Iterable, Iterator, Sequence

from benchmarks.cases import FOLDER, ORIENTED, Case, most_valuable, sheets_problem

Part = tuple[int, int, int, int]
"""Length, width, how many at most, value of one."""


def value_cases(variant: str) -> Iterator[Case]:
    """Give all cases with a published value: cgcut, ngcut, gcut, g2kp."""
    yield from _cgcut(variant)
    yield from _ngcut(variant)
    yield from _gcut(variant)
    yield from _g2kp(variant)


def _case(
    of: str, name: str, variant: str, sheet: tuple[int, int], parts: Sequence[Part]
) -> Iterable[Case]:
    known = most_valuable(of, name, variant)
    if known is None:
        return []
    wanted = [(length, width, qty) for length, width, qty, _ in parts]
    group = of if known.any_stages else f"{of}, published for two or three stages"
    return [
        Case(
            of,
            group,
            name,
            variant,
            sheets_problem(*sheet, wanted, variant),
            known.most,
            known.best,
            tuple(value for *_, value in parts),
        )
    ]


def _words(name: str) -> list[int]:
    text = (FOLDER / "orlib" / f"{name}.txt").read_text(encoding="utf-8")
    return [int(word) for word in text.split()]


def _rows(words: Sequence[int], width: int) -> list[Sequence[int]]:
    return [words[at : at + width] for at in range(0, len(words), width)]


def _cgcut(variant: str) -> Iterator[Case]:
    for number in (1, 2, 3):
        name = f"cgcut{number}"
        _, length, width, *rest = _words(name)
        parts = [(a, b, qty, value) for a, b, qty, value in _rows(rest, 4)]
        yield from _case("cgcut", name, variant, (length, width), parts)


def _ngcut(variant: str) -> Iterator[Case]:
    words = iter(_words("ngcutap")[1:])
    for number in range(1, 13):
        count, length, width = _next(words, 3)
        rows = _rows(_next(words, 5 * count), 5)
        parts = [(a, b, most, value) for a, b, _, most, value in rows]
        yield from _case("ngcut", f"ngcut{number}", variant, (length, width), parts)


def _gcut(variant: str) -> Iterator[Case]:
    for number in range(1, 14):
        name = f"gcut{number}"
        _, length, width, *rest = _words(name)
        parts = [
            (a, b, _most_that_fit(length, width, a, b, variant), value)
            for a, b, value in _rows(rest, 3)
        ]
        yield from _case("gcut", name, variant, (length, width), parts)


def _most_that_fit(length: int, width: int, a: int, b: int, variant: str) -> int:
    """Give a number no layout exceeds, for parts of which there are as many as wanted."""
    if variant == ORIENTED:
        return (length // a) * (width // b)
    return length * width // (a * b)


def _g2kp(variant: str) -> Iterator[Case]:
    with zipfile.ZipFile(FOLDER / "g2kp" / "g2kp.zip") as folder:
        for name in sorted(folder.namelist()):
            length, width, _, *rest = (int(word) for word in folder.read(name).split())
            rows = _rows(rest, 4)
            # Where no part has a value of its own, its area is meant.
            areas = not any(value for _, _, value, _ in rows)
            parts = [(a, b, qty, a * b if areas else value) for a, b, value, qty in rows]
            yield from _case("g2kp", name, variant, (length, width), parts)


def _next(words: Iterator[int], count: int) -> list[int]:
    """Give the next words of a file."""
    return [next(words) for _ in range(count)]
