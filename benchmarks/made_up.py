"""Made-up jobs, the same for the same seed; all of it is invented data.

``no_waste`` parts sheets by random straight cuts, so the best plan is known: it uses these
sheets to the last tick. ``home_jobs`` are cupboards as a home shop builds them, on the sheet
sizes stores sell, at invented prices.
"""

from __future__ import annotations

import random
from collections.abc import Iterator

from benchmarks.cases import ORIENTED, Case
from cutopt.model.job import Grain
from cutopt.solve.params import Item, Problem, StockType
from cutopt.units import Ticks, millimetres

_KERF = millimetres(3.2)
_SHARE = 0.06


_NO_WASTE = ((20, 1), (12, 2), (8, 4), (40, 1), (20, 2), (12, 4))
_NO_WASTE_SEEDS = 20


def no_waste(variant: str) -> Iterator[Case]:
    """Give jobs that fill 1 to 4 sheets of 8 to 40 parts each to the last tick."""
    for each, sheets in _NO_WASTE:
        for seed in range(_NO_WASTE_SEEDS):
            rng = random.Random(f"{sheets} {each} {seed}")
            problem = _no_waste_problem(rng, sheets, each, variant)
            name = f"parts_{each:02d}_sheets_{sheets}_{seed:02d}"
            yield Case("no-waste", f"{each} x {sheets}", name, variant, problem, sheets, sheets)


def _no_waste_problem(rng: random.Random, sheets: int, each: int, variant: str) -> Problem:
    length, width = millimetres(2440), millimetres(1220)
    grain = Grain.LENGTH if variant == ORIENTED else Grain.ANY
    sizes = [size for _ in range(sheets) for size in _parted(rng, length, width, each, _KERF)]
    rng.shuffle(sizes)
    items = tuple(
        Item(f"P{number}", Ticks(a), Ticks(b), 1, grain)
        for number, (a, b) in enumerate(sizes, start=1)
    )
    stock = StockType("sheet", length, width, 1, None, variant == ORIENTED)
    return Problem("sheets", items, (stock,), _KERF, _KERF)


def _parted(
    rng: random.Random, length: int, width: int, count: int, kerf: int
) -> list[tuple[int, int]]:
    """Give the pieces of a sheet after random straight cuts, mostly of the largest piece."""
    least_length, least_width = int(length * _SHARE), int(width * _SHARE)
    pieces = [(length, width)]
    while len(pieces) < count:
        pieces.sort(key=lambda piece: (piece[0] * piece[1], piece))
        number = len(pieces) - 1 if rng.random() < 0.7 else rng.randrange(len(pieces))
        a, b = pieces[number]
        along = rng.random() * (a + b) < a
        whole, least = (a, least_length) if along else (b, least_width)
        if whole < 2 * least + kerf:
            continue
        at = rng.randint(least, whole - kerf - least)
        rest = whole - kerf - at
        pieces[number : number + 1] = [(at, b), (rest, b)] if along else [(a, at), (a, rest)]
    return pieces


_SHEETS_MM = (
    (2440, 1220), (1220, 1220), (2440, 610), (3050, 1525), (2800, 2070), (1830, 915),
)  # fmt: skip
_WIDTHS_MM = (300, 350, 400, 450, 500, 600, 800, 900)


def home_jobs(variant: str) -> Iterator[Case]:
    """Give cupboards of 15 to 60 parts on one size of sheet, and on three at a price each."""
    del variant  # Grain binds the parts that show, in every job.
    for count in (15, 30, 60):
        for seed in range(8):
            for sizes in (1, 3):
                rng = random.Random(f"{count} {seed} {sizes}")
                problem = Problem(
                    "birch ply", _cupboards(rng, count), _stock(rng, sizes), _KERF, _KERF
                )
                name = f"parts_{count:02d}_sizes_{sizes}_{seed}"
                group = "one size" if sizes == 1 else "three sizes"
                yield Case("home", f"{group} {count} parts", name, ORIENTED, problem)


def _cupboards(rng: random.Random, count: int) -> tuple[Item, ...]:
    items: list[Item] = []
    left = count

    def add(length: float, width: float, qty: int, *, shows: bool) -> None:
        nonlocal left
        qty = min(qty, left)
        if qty:
            grain = Grain.LENGTH if shows else Grain.ANY
            name = f"P{len(items) + 1}"
            items.append(Item(name, millimetres(length), millimetres(width), qty, grain))
            left -= qty

    while left:
        width, on_wall = rng.choice(_WIDTHS_MM), rng.random() < 0.4
        depth, shows = 300 if on_wall else 560, rng.random() < 0.5
        add(720, depth, 2, shows=shows)
        add(width - 36, depth, 2 if on_wall else 1, shows=False)
        if not on_wall:
            add(width - 36, 100, 2, shows=False)
        add(width - 37, depth - 20, rng.choice((1, 1, 2)), shows=False)
        doors = 2 if width >= 600 else 1
        if rng.random() < 0.7:
            add(717, width / doors - 3, doors, shows=True)
        else:
            for height in (140, 283, 283):
                add(width - 3, height, 1, shows=True)
    return tuple(items)


def _stock(rng: random.Random, sizes: int) -> tuple[StockType, ...]:
    chosen = [_SHEETS_MM[0]] if sizes == 1 else rng.sample(_SHEETS_MM, sizes)
    if max(length for length, _ in chosen) < 2000:
        chosen[0] = _SHEETS_MM[0]
    return tuple(
        StockType(
            f"{length} x {width}",
            millimetres(length),
            millimetres(width),
            round(400 + length * width * rng.uniform(0.0014, 0.0022)),
            None,
            grain=True,
        )
        for length, width in chosen
    )


def three_sizes(variant: str) -> Iterator[Case]:
    """Give 50 jobs of 30 parts and 16 of 60, on three sizes of sheet at a price each."""
    del variant  # Grain binds the parts that show, about half of them.
    for count, jobs in ((30, 50), (60, 16)):
        for seed in range(jobs):
            rng = random.Random(f"three {count} {seed}")
            problem = Problem("birch ply", _cupboards(rng, count), _stock(rng, 3), _KERF, _KERF)
            name = f"three_{count:02d}_{seed:02d}"
            yield Case("three-sizes", f"{count} parts", name, ORIENTED, problem)
