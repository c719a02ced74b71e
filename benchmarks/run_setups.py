"""Measure the work at the saws: ``python -m benchmarks.run_setups --help``.

Made-up cupboards are planned without second goals, then for the largest leftover and for the
least work. What is counted is what the builder reads: settings and cuts of the saw pages.
"""

from __future__ import annotations

import argparse
import sys
from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import islice
from statistics import fmean

from benchmarks.cases import ORIENTED
from benchmarks.made_up import home_jobs
from cutopt.model.job import Favour, Grain, Job, Kind, Material, Part, Shop, Stock
from cutopt.model.plan import Offcut, Plan, walk
from cutopt.pipeline import make_plan
from cutopt.solve.params import Problem, Search, Unwatched
from cutopt.solve.warm import warm
from cutopt.steps.setups import visits
from cutopt.steps.shop import shop_sheets
from cutopt.units import Units, millimetres

_THICKNESS = millimetres(18)
_SQUARE_METRE = 320_000**2
WAYS = {
    "without second goals": (Favour.OFFCUTS, False),
    "favour offcuts": (Favour.OFFCUTS, True),
    "favour work": (Favour.WORK, True),
}
GROUPS = ("one size 30 parts", "one size 60 parts")
HEADS = ("way", "sheets", "drawn", "settings", "set-ups", "cuts", "largest leftover, m2")


@dataclass(frozen=True, slots=True)
class Counted:
    """What a plan asks at the saws, and what it leaves.

    Attributes:
        drawn: layouts that differ: sheets cut alike count once.
        settings: that differ; a setting made again later is one more of ``set_ups``.
        leftover: the largest, m2.
    """

    sheets: int
    drawn: int
    settings: int
    set_ups: int
    cuts: int
    leftover: float

    @property
    def figures(self) -> tuple[float, ...]:
        """All of them, in the order of the table."""
        return self.sheets, self.drawn, self.settings, self.set_ups, self.cuts, self.leftover


def job_of(problem: Problem, batches: int = 1) -> Job:
    """Give a problem as a job for any saw, every part so many times as often."""
    material = Material(problem.what, Kind.SHEET, _THICKNESS)
    parts = tuple(
        Part(item.part, item.part, item.qty * batches, item.length, item.width, _THICKNESS,
             item.length, item.width, material, item.grain)
        for item in problem.items
    )  # fmt: skip
    stock = tuple(
        Stock(
            kind.name, material, kind.length, kind.width, kind.cost,
            grain=Grain.LENGTH if kind.grain else Grain.NONE,
        )
        for kind in problem.stock
    )  # fmt: skip
    return Job("made up", Units.MM, parts, stock, Shop(kerf=problem.kerf))


def count(plan: Plan) -> Counted:
    """Give what a plan asks at the saws."""
    setups = [setup for visit in visits(plan) for setup in visit.setups]
    leftovers = [
        placed.node.length * placed.node.width
        for piece in plan.pieces
        for placed in walk(piece.layout)
        if isinstance(placed.node, Offcut)
    ]
    return Counted(
        len(plan.pieces),
        len(shop_sheets(plan)),
        len({(setup.setting, setup.kind) for setup in setups}),
        len(setups),
        sum(setup.cuts for setup in setups),
        max(leftovers, default=0) / _SQUARE_METRE,
    )


def table(rows: dict[str, Sequence[Counted]]) -> str:
    """Give the means of each way, a row a way."""
    lines = [f"| {' | '.join(HEADS)} |", f"|{' --- |' * len(HEADS)}"]
    for way, counts in rows.items():
        means = [fmean(column) for column in zip(*(c.figures for c in counts), strict=True)]
        said = [*(f"{mean:.1f}" for mean in means[:-1]), f"{means[-1]:.2f}"]
        lines.append(f"| {way} | {' | '.join(said)} |")
    return "\n".join(lines) + "\n"


def main(arguments: list[str] | None = None) -> int:
    """Plan the jobs each way and print the table of means."""
    parser = argparse.ArgumentParser(description="Measure the work at the saws.")
    parser.add_argument("--jobs", type=int, default=14)
    parser.add_argument("--batches", type=int, default=1, help="every part so many times")
    parser.add_argument("--effort", type=int, default=1, choices=range(1, 4))
    asked = parser.parse_args(arguments)
    warm()
    cases = (case for case in home_jobs(ORIENTED) if case.group in GROUPS)
    jobs = [job_of(case.problem, asked.batches) for case in islice(cases, asked.jobs)]
    rows = {
        way: [
            count(
                make_plan(
                    replace(job, favour=favour),
                    Search(asked.effort, second_goals=second_goals),
                    Unwatched(),
                )
            )
            for job in jobs
        ]
        for way, (favour, second_goals) in WAYS.items()
    }
    sys.stdout.write(table(rows))
    return 0


if __name__ == "__main__":
    sys.exit(main())
