"""Measure what one sheet can be worth: ``python -m benchmarks.run_values --help``."""

from __future__ import annotations

import argparse
import sys
from itertools import chain
from pathlib import Path

from benchmarks.cases import FOLDER, ORIENTED, TURNED, Case, every
from benchmarks.measuring import Found, Run, commit_here, rows_of_last_run, run_cases
from benchmarks.tables import value_tables
from benchmarks.value_sets import value_cases
from cutopt.solve.one_sheet import most_valuable_sheet
from cutopt.solve.params import Search, Unwatched
from cutopt.solve.warm import warm


def main(arguments: list[str] | None = None) -> int:
    """Run what was asked for; write rows and a table."""
    parser = argparse.ArgumentParser(description="Measure the most value from one sheet.")
    parser.add_argument("--every", type=int, default=1, help="only every so manyth case")
    parser.add_argument("--effort", type=int, default=1, choices=range(4))
    parser.add_argument("--seed", type=int, default=0)
    parser.add_argument("--resume", action="store_true", help="skip cases that have a row")
    parser.add_argument("--out", type=Path, default=Path("build/benchmarks"))
    asked = parser.parse_args(arguments)
    if not FOLDER.is_dir():
        sys.stderr.write(f"{FOLDER} is not there; name the folder in CUTOPT_BENCHMARKS\n")
        return 2
    warm()
    search = Search(asked.effort, asked.seed)

    def solve(case: Case) -> Found:
        found = most_valuable_sheet(case.problem, case.values, search, Unwatched())
        return Found(found.value, found.bound)

    cases = chain(value_cases(ORIENTED), value_cases(TURNED))
    some = f"-every-{asked.every}" if asked.every > 1 else ""
    path = asked.out / f"values{some}-effort-{asked.effort}.csv"
    run = Run(commit_here(), asked.effort, asked.seed)
    for _ in run_cases(every(cases, asked.every), path, run, solve, resume=asked.resume):
        text = value_tables(rows_of_last_run(path))
        path.with_suffix(".md").write_text(text, encoding="utf-8")
    sys.stdout.write(value_tables(rows_of_last_run(path)))
    return 0


if __name__ == "__main__":
    sys.exit(main())
