"""Measure plans of measured boards: ``python -m benchmarks.run_measured --jobs 80``.

Made-up jobs of 1x4 boards, four of them measured, half the jobs with parts that may contain bad
spans. Each is planned from the job to the checked plan; all of it is invented data.
"""

from __future__ import annotations

import argparse
import random
import sys
import time
from collections.abc import Sequence

from cutopt.model.job import Grain, Job, Kind, Material, Part, Shop, Stock
from cutopt.pipeline import make_plan
from cutopt.solve.params import Search, Unwatched
from cutopt.units import Ticks, Units, inches

_PINE = Material("pine", Kind.BOARD, inches(0, 3, 4), "1x4")
_WIDTH = inches(3, 1, 2)
_SIXTEENTH = inches(0, 1, 16)
_NEW = (("1x4 8 ft", 96, 900), ("1x4 6 ft", 72, 700))


def measured_job(seed: int, *, knots: bool) -> Job:
    """Give a made-up job of 4 to 12 kinds of parts, with or without parts that may have knots."""
    rng = random.Random(f"measured {seed} {knots}")
    parts = []
    for number in range(1, rng.randint(4, 12) + 1):
        length = Ticks(rng.randrange(8 * 16, 40 * 16) * _SIXTEENTH)
        knots_ok = knots and rng.random() < 0.5
        parts.append(
            Part(
                f"P{number}", f"Part {number}", rng.randint(1, 3), length, _WIDTH,
                _PINE.thickness, length, _WIDTH, _PINE, knots_ok=knots_ok,
            )
        )  # fmt: skip
    stock = [
        Stock(name, _PINE, inches(length), _WIDTH, price, grain=Grain.LENGTH)
        for name, length, price in _NEW
    ]
    stock += [_board(rng, name) for name in "ABCD"]
    return Job(f"measured {seed}", Units.INCH, tuple(parts), tuple(stock), Shop())


def _board(rng: random.Random, name: str) -> Stock:
    length = rng.choice([96, 72])
    at = sorted(rng.sample(range(length * 16 + 1), 2 * rng.randint(1, 4)))
    bad = tuple(
        (Ticks(start * _SIXTEENTH), Ticks(min(end, start + rng.randint(8, 60)) * _SIXTEENTH))
        for start, end in zip(at[::2], at[1::2], strict=True)
    )
    return Stock(name, _PINE, inches(length), _WIDTH, 0, 1, owned=True, grain=Grain.LENGTH, bad=bad)


def main(arguments: Sequence[str] | None = None) -> None:
    """Plan the jobs and print how many are proven, and the CPU time they took."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--jobs", type=int, default=80)
    parser.add_argument("--effort", type=int, default=1)
    asked = parser.parse_args(arguments)
    search = Search(asked.effort)
    make_plan(measured_job(-1, knots=True), search, Unwatched())  # what is loaded once
    for knots in (False, True):
        times, proven, bought = [], 0, 0
        for seed in range(asked.jobs // 2):
            job = measured_job(seed, knots=knots)
            began = time.process_time()
            (result,) = make_plan(job, search, Unwatched()).materials
            times.append(time.process_time() - began)
            proven += result.proven
            bought += bool(result.bought)
        times.sort()
        kind = "parts that may have knots" if knots else "all parts clear"
        half, most = times[len(times) // 2], times[int(len(times) * 0.95)]
        row = (
            f"{kind}: {proven} of {len(times)} proven, {bought} need another board, "
            f"median {half:.2f} s, p95 {most:.2f} s, worst {times[-1]:.2f} s\n"
        )
        sys.stdout.write(row)


if __name__ == "__main__":
    main()
