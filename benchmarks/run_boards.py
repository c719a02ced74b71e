"""Measure the boards engine: ``python -m benchmarks.run_boards --help``."""

from __future__ import annotations

import argparse
import sys
from pathlib import Path

from benchmarks.board_sets import MADE_UP, SETS
from benchmarks.cases import FOLDER, Case, every
from benchmarks.measuring import Found, Run, commit_here, rows_of_last_run, run_cases
from benchmarks.tables import tables
from cutopt.solve.boards import plan_boards
from cutopt.solve.params import Search, Unwatched
from cutopt.solve.warm import warm


def main(arguments: list[str] | None = None) -> int:
    """Run what was asked for; write rows and a table."""
    parser = argparse.ArgumentParser(description="Measure the boards engine.")
    parser.add_argument("--set", choices=sorted(SETS), default="falkenauer")
    parser.add_argument("--every", type=int, default=1, help="only every so manyth case")
    parser.add_argument("--first", type=int, default=0, help="the first of these, from 0")
    parser.add_argument("--effort", type=int, default=1, choices=range(4))
    parser.add_argument("--seed", type=int, default=0)
    parser.add_argument("--second-goals", action="store_true", help="lengthen the offcut too")
    parser.add_argument("--resume", action="store_true", help="skip cases that have a row")
    parser.add_argument("--out", type=Path, default=Path("build/benchmarks"))
    asked = parser.parse_args(arguments)
    if asked.set not in MADE_UP and not FOLDER.is_dir():
        sys.stderr.write(f"{FOLDER} is not there; name the folder in CUTOPT_BENCHMARKS\n")
        return 2
    warm()
    search = Search(asked.effort, asked.seed, asked.second_goals)

    def solve(case: Case) -> Found:
        answer = plan_boards(case.problem, search, Unwatched())
        return Found(answer.cost, answer.lower_bound)

    cases = every(SETS[asked.set](), asked.every, asked.first)
    some = f"-every-{asked.every}" if asked.every > 1 else ""
    goals = "-second-goals" if asked.second_goals else ""
    path = asked.out / f"boards-{asked.set}{some}{goals}-effort-{asked.effort}.csv"
    run = Run(commit_here(), asked.effort, asked.seed)
    for _ in run_cases(cases, path, run, solve, resume=asked.resume):
        text = tables(rows_of_last_run(path))
        path.with_suffix(".md").write_text(text, encoding="utf-8")
    sys.stdout.write(tables(rows_of_last_run(path)))
    return 0


if __name__ == "__main__":
    sys.exit(main())
