"""Made-up jobs of boards, the same for the same seed; all of it is invented data.

``exact_boards`` parts boards to the last tick, at prices in proportion to length or above it
for all lengths but those parted, so the least cost is known. ``home_boards`` are lists as a
home shop makes them, from four lengths that stores sell and a few boards that are owned.
"""

from __future__ import annotations

import random
from collections.abc import Iterator

from benchmarks.cases import ORIENTED, Case
from cutopt.solve.params import Item, Problem, StockType
from cutopt.units import Ticks, inches

_KERF = inches(0, 1, 8)
_WIDTH = inches(3, 1, 2)
_SIXTEENTH = inches(0, 1, 16)
_FEET = (8, 10, 12, 16)


def _problem(lengths: list[int], stock: list[tuple[int, int, int | None]]) -> Problem:
    """Give a problem of parts and of stock as (length, cost, available)."""
    items = tuple(
        Item(f"P{number}", Ticks(length), _WIDTH, lengths.count(length))
        for number, length in enumerate(sorted(set(lengths), reverse=True), start=1)
    )
    types = tuple(
        StockType(f"board {number}", Ticks(length), _WIDTH, cost, available)
        for number, (length, cost, available) in enumerate(stock, start=1)
    )
    return Problem("pine 1x4", items, types, _KERF, _KERF)


def exact_boards() -> Iterator[Case]:
    """Give jobs that fill 10 to 80 boards of two lengths or more to the last tick.

    A board costs its length and one kerf, so no parts come cheaper than what they take up; some
    lengths cost more than that and are never needed.
    """
    for count in (10, 20, 40, 80):
        for seed in range(15):
            rng = random.Random(f"exact {count} {seed}")
            fair = sorted(rng.sample(_FEET, 2 if seed % 3 else 3))
            bought = [rng.choice(fair) for _ in range(count)]
            lengths = [part for feet in bought for part in _parted(rng, inches(12 * feet))]

            def price(feet: int, share: float = 1.0) -> int:
                return round((12 * 8 * feet + 1) * share)

            stock: list[tuple[int, int, int | None]] = [
                (inches(12 * feet), price(feet, 1.0 if feet in fair else 1.2), None)
                for feet in _FEET
            ]
            best = sum(price(feet) for feet in bought)
            name = f"boards_{count}_{seed:02d}"
            problem = _problem(lengths, stock)
            yield Case("exact", f"{count} boards", name, ORIENTED, problem, best, best)


def _parted(rng: random.Random, length: int) -> list[int]:
    """Give the parts of a board cut two to five times, with no waste but the kerfs."""
    pieces = [length]
    for _ in range(rng.randint(2, 5)):
        pieces.sort()
        whole = pieces.pop()
        steps = whole // _SIXTEENTH
        at = rng.randint(steps // 4, steps // 2) * _SIXTEENTH
        pieces += [at, whole - at - _KERF]
    return pieces


def home_boards() -> Iterator[Case]:
    """Give lists of 10 to 60 parts, and some of 100, from four lengths and what is owned."""
    for seed in range(200):
        yield _home("10 to 60 parts", seed, 10 + seed % 51)
    for seed in range(40):
        yield _home("100 parts", 1_000 + seed, 100)


def _home(group: str, seed: int, copies: int) -> Case:
    rng = random.Random(f"home {seed}")
    lengths: list[int] = []
    while len(lengths) < copies:
        qty = min(copies - len(lengths), rng.choice((1, 1, 2, 2, 3, 4, 6)))
        lengths += [rng.randint(6 * 16, 92 * 16) * _SIXTEENTH] * qty
    stock: list[tuple[int, int, int | None]] = [
        (inches(12 * feet), cents + rng.randint(-20, 20), None)
        for feet, cents in zip(_FEET, (398, 527, 641, 912), strict=True)
    ]
    owned = range(rng.randint(0, 4))
    stock += [(rng.randint(20 * 16, 90 * 16) * _SIXTEENTH, 0, 1) for _ in owned]
    return Case("home", group, f"home_{seed:04d}", ORIENTED, _problem(lengths, stock))


def large_boards() -> Iterator[Case]:
    """Give lists of about 1,000 parts of 200 lengths, from three lengths."""
    for seed in range(8):
        rng = random.Random(f"large {seed}")
        lengths: list[int] = []
        for _ in range(200):
            lengths += [rng.randint(4 * 16, 60 * 16) * _SIXTEENTH] * rng.randint(1, 9)
        stock: list[tuple[int, int, int | None]] = [
            (inches(96), 398, None),
            (inches(120), 527, None),
            (inches(192), 790, None),
        ]
        yield Case("large", "1,000 parts", f"large_{seed}", ORIENTED, _problem(lengths, stock))
