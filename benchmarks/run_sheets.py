"""Measure the sheets engine: ``python -m benchmarks.run_sheets --help``."""

from __future__ import annotations

import argparse
import sys
from collections.abc import Callable, Iterator
from pathlib import Path

from benchmarks.cases import FOLDER, ORIENTED, TURNED, Case, every
from benchmarks.library import best_of_library
from benchmarks.made_up import home_jobs, no_waste
from benchmarks.measuring import run_cases
from benchmarks.sheet_sets import SETS
from benchmarks.tables import table
from cutopt.solve.params import Answer, Search, Unwatched
from cutopt.solve.sheets import plan_sheets
from cutopt.solve.warm import warm

ALL: dict[str, Callable[[str], Iterator[Case]]] = {
    **SETS,
    "no-waste": no_waste,
    "home": home_jobs,
}


def main(arguments: list[str] | None = None) -> int:
    """Run what was asked for; write rows and a table."""
    parser = argparse.ArgumentParser(description="Measure the sheets engine.")
    parser.add_argument("--set", choices=sorted(ALL), default="class")
    parser.add_argument("--variant", choices=("O", "R", "OR"), default="OR")
    parser.add_argument("--every", type=int, default=1, help="only every so manyth case")
    parser.add_argument("--first", type=int, default=0, help="the first of these, from 0")
    parser.add_argument("--effort", type=int, default=1, choices=range(4))
    parser.add_argument("--seed", type=int, default=0)
    parser.add_argument("--library", action="store_true", help="run rectpack beside")
    parser.add_argument("--second-goals", action="store_true", help="tidy what is left over too")
    parser.add_argument("--out", type=Path, default=Path("build/benchmarks"))
    asked = parser.parse_args(arguments)
    if asked.set in SETS and not FOLDER.is_dir():
        sys.stderr.write(f"{FOLDER} is not there; name the folder in CUTOPT_BENCHMARKS\n")
        return 2
    warm()
    search = Search(asked.effort, asked.seed, asked.second_goals)

    def solve(case: Case) -> Answer:
        return plan_sheets(case.problem, search, Unwatched())

    rows = []
    for variant in (ORIENTED, TURNED):
        if variant in asked.variant and not (asked.set == "home" and variant == TURNED):
            rows += run_cases(
                every(ALL[asked.set](variant), asked.every, asked.first),
                asked.out / f"sheets-{asked.set}.csv",
                asked.effort,
                asked.seed,
                solve,
                best_of_library if asked.library else None,
            )
    text = "".join(
        f"## {asked.set}, {words}, effort {asked.effort}, seed {asked.seed}\n\n{lines}\n"
        for variant, words in ((ORIENTED, "no part may turn"), (TURNED, "parts may turn"))
        if (lines := table(rows, variant))
    )
    (asked.out / f"sheets-{asked.set}.md").write_text(text, encoding="utf-8")
    sys.stdout.write(text)
    return 0


if __name__ == "__main__":
    sys.exit(main())
