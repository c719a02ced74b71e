"""Measure going on after a mistake: ``python -m benchmarks.run_replan --jobs 270``.

Made-up jobs of boards and of sheets, some cuts made, one to three parts spoiled; each is
planned again from what lies there, to the checked plan. All of it is invented data.
"""

from __future__ import annotations

import argparse
import random
import sys
import time
from collections.abc import Sequence

from cutopt.model.job import Job, Kind, Material, Part, Shop, Stock
from cutopt.model.plan import PartPiece, Plan, walk
from cutopt.model.progress import CutsMade, Event, PartSpoiled
from cutopt.pipeline import make_plan, replan_plan
from cutopt.solve.params import Search, Unwatched
from cutopt.units import Ticks, Units, inches

_PINE = Material("pine", Kind.BOARD, inches(0, 3, 4), "1x4")
_PLY = Material("ply", Kind.SHEET, inches(0, 3, 4))
_WIDE = inches(3, 1, 2)


def _part(number: int, length: Ticks, width: Ticks, qty: int, material: Material) -> Part:
    size = (length, width, material.thickness)
    return Part(f"P{number}", f"Part {number}", qty, *size, length, width, material)


def spoiled_job(seed: int, kind: Kind) -> Job:
    """Give a made-up job of 10 to 30 parts, of boards of three lengths or of 4x8 sheets."""
    rng = random.Random(f"replan {seed} {kind}")
    parts = []
    for number in range(1, rng.randint(5, 10) + 1):
        qty = rng.randint(1, 4)
        if kind is Kind.BOARD:
            parts.append(_part(number, inches(rng.randint(8, 50)), _WIDE, qty, _PINE))
        else:
            size = inches(rng.randint(10, 40)), inches(rng.randint(5, 22))
            parts.append(_part(number, *size, qty, _PLY))
    stock = (
        tuple(
            Stock(f"{feet} ft", _PINE, inches(12 * feet), _WIDE, price)
            for feet, price in ((6, 399), (8, 498), (10, 712))
        )
        if kind is Kind.BOARD
        else (Stock("4x8", _PLY, inches(96), inches(48), 6000, trim=inches(0, 1, 2)),)
    )
    return Job(f"replan {seed}", Units.INCH, tuple(parts), stock, Shop(kerf=inches(0, 1, 8)))


def mistake(seed: int, plan: Plan) -> tuple[Event, ...]:
    """Give some cuts of some pieces as made, in their order, and one to three parts spoiled."""
    rng = random.Random(f"mistake {seed}")
    events: list[Event] = [
        CutsMade(piece.id, tuple(range(1, cuts + 1)))
        for piece in plan.pieces
        if (cuts := rng.randint(0, len(piece.cuts())))
    ]
    copies = [
        (placed.node.part, placed.node.copy)
        for piece in plan.pieces
        for placed in walk(piece.layout)
        if isinstance(placed.node, PartPiece)
    ]
    return (*events, *(PartSpoiled(*copy) for copy in rng.sample(copies, rng.randint(1, 3))))


def main(arguments: Sequence[str] | None = None) -> None:
    """Plan the jobs, spoil parts, go on, and print what is proven and the CPU time it took."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--jobs", type=int, default=270)
    parser.add_argument("--effort", type=int, default=1)
    asked = parser.parse_args(arguments)
    sys.stdout.write("| | jobs | proven least money | fewest laid out again, proved | ")
    sys.stdout.write(
        "without money | median s | p95 s | worst s |\n|---|---|---|---|---|---|---|---|\n"
    )
    for kind, name in ((Kind.BOARD, "boards"), (Kind.SHEET, "sheets")):
        times, proven, fewest, free = [], 0, 0, 0
        for seed in range(-1, asked.jobs):
            plan = make_plan(spoiled_job(seed, kind), Search(0), Unwatched())
            began = time.process_time()
            again = replan_plan(
                plan, mistake(seed, plan), Search(asked.effort), Unwatched(), "ABCDEF", "plan.json"
            )
            if seed < 0:  # what is loaded once
                continue
            times.append(time.process_time() - began)
            proven += all(result.proven for result in again.materials)
            fewest += again.replans is not None and again.replans.fewest
            free += again.totals.stock_cents == 0
        times.sort()
        half, most = times[len(times) // 2], times[int(len(times) * 0.95)]
        sys.stdout.write(
            f"| {name} | {len(times)} | {proven} | {fewest} | {free} | "
            f"{half:.3f} | {most:.3f} | {times[-1]:.3f} |\n"
        )


if __name__ == "__main__":
    main()
