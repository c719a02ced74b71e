"""Measure the sheets engine: ``python -m benchmarks.run_sheets --help``."""

from __future__ import annotations

import argparse
import sys
from collections.abc import Callable, Iterator
from itertools import chain
from pathlib import Path

from benchmarks.cases import FOLDER, ORIENTED, TURNED, Case, every
from benchmarks.library import best_of_library
from benchmarks.made_up import home_jobs, no_waste, three_sizes
from benchmarks.measuring import Found, Run, commit_here, rows_of_last_run, run_cases
from benchmarks.sheet_sets import SETS
from benchmarks.tables import tables
from cutopt.solve.params import Search, Unwatched
from cutopt.solve.sheets import plan_sheets
from cutopt.solve.warm import warm

ALL: dict[str, Callable[[str], Iterator[Case]]] = {
    **SETS,
    "no-waste": no_waste,
    "home": home_jobs,
    "three-sizes": three_sizes,
}


def main(arguments: list[str] | None = None) -> int:
    """Run what was asked for; write rows and a table."""
    parser = argparse.ArgumentParser(description="Measure the sheets engine.")
    parser.add_argument("--set", choices=sorted(ALL), default="class")
    parser.add_argument("--variant", choices=("O", "R", "OR"), default="OR")
    parser.add_argument("--every", type=int, default=1, help="only every so manyth case")
    parser.add_argument("--first", type=int, default=0, help="the first of these, from 0")
    parser.add_argument("--groups", nargs="*", help="only cases of these groups")
    parser.add_argument("--effort", type=int, default=1, choices=range(4))
    parser.add_argument("--seed", type=int, default=0)
    parser.add_argument("--library", action="store_true", help="run rectpack beside")
    parser.add_argument("--second-goals", action="store_true", help="tidy what is left over too")
    parser.add_argument("--resume", action="store_true", help="skip cases that have a row")
    parser.add_argument("--out", type=Path, default=Path("build/benchmarks"))
    asked = parser.parse_args(arguments)
    if asked.set in SETS and not FOLDER.is_dir():
        sys.stderr.write(f"{FOLDER} is not there; name the folder in CUTOPT_BENCHMARKS\n")
        return 2
    warm()
    search = Search(asked.effort, asked.seed, asked.second_goals)

    def solve(case: Case) -> Found:
        answer = plan_sheets(case.problem, search, Unwatched())
        return Found(answer.cost, answer.lower_bound)

    variants = [v for v in (ORIENTED, TURNED) if v in asked.variant]
    if asked.set in ("home", "three-sizes"):
        variants = [ORIENTED]
    cases: Iterator[Case] = chain.from_iterable(
        every(ALL[asked.set](variant), asked.every, asked.first) for variant in variants
    )
    if asked.groups is not None:
        cases = (case for case in cases if case.group in asked.groups)
    path = asked.out / f"{name_of(asked)}.csv"
    run = Run(commit_here(), asked.effort, asked.seed)
    beside = best_of_library if asked.library else None
    for _ in run_cases(cases, path, run, solve, beside, resume=asked.resume):
        text = tables(rows_of_last_run(path))
        path.with_suffix(".md").write_text(text, encoding="utf-8")
    sys.stdout.write(tables(rows_of_last_run(path)))
    return 0


def name_of(asked: argparse.Namespace) -> str:
    """Give what the files of a run are called: runs of other cases or goals do not mix."""
    some = f"-every-{asked.every}" if asked.every > 1 else ""
    goals = "-second-goals" if asked.second_goals else ""
    return f"sheets-{asked.set}{some}-effort-{asked.effort}{goals}"


if __name__ == "__main__":
    sys.exit(main())
