"""Say where the time goes in made-up home jobs: ``python -m benchmarks.profile_home --help``."""

from __future__ import annotations

import argparse
import csv
import sys
import time
from collections import Counter
from cProfile import Profile
from pathlib import Path
from pstats import Stats

from benchmarks.cases import ORIENTED, every
from benchmarks.made_up import home_jobs
from cutopt.solve.params import Search, Unwatched
from cutopt.solve.sheets import plan_sheets
from cutopt.solve.warm import warm


def main(arguments: list[str] | None = None) -> int:
    """Plan some jobs under a profiler; write seconds by module."""
    parser = argparse.ArgumentParser(description="Say where the time goes in home jobs.")
    parser.add_argument("--every", type=int, default=4, help="only every so manyth job")
    parser.add_argument("--effort", type=int, default=1, choices=range(4))
    parser.add_argument("--out", type=Path, default=Path("build/benchmarks"))
    asked = parser.parse_args(arguments)
    warm()
    jobs = [case.problem for case in every(home_jobs(ORIENTED), asked.every)]
    # The first plan of a process pays for what is loaded then.
    plan_sheets(jobs[0], Search(asked.effort), Unwatched())
    profile = Profile(time.process_time)
    profile.enable()
    for problem in jobs:
        plan_sheets(problem, Search(asked.effort), Unwatched())
    profile.disable()
    path = asked.out / f"profile-home-effort-{asked.effort}.csv"
    path.parent.mkdir(parents=True, exist_ok=True)
    with path.open("w", newline="", encoding="utf-8") as table:
        writer = csv.writer(table)
        writer.writerow(["where", "seconds", "jobs"])
        for where, seconds in seconds_by_module(Stats(profile)).most_common():
            writer.writerow([where, round(seconds, 3), len(jobs)])
    sys.stdout.write(profile_table(path))
    return 0


def seconds_by_module(stats: Stats) -> Counter[str]:
    """Give the seconds spent in each module itself, what it calls left out."""
    seconds: Counter[str] = Counter()
    for (file, _, function), (_, _, own, _, _) in stats.stats.items():  # type: ignore[attr-defined]
        seconds[_place(file, function)] += own
    return seconds


def _place(file: str, function: str) -> str:
    if "ortools" in file or "ortools" in function:
        return "OR-Tools"
    if "rectpack" in file:
        return "rectpack"
    _, _, module = file.rpartition("/solve/")
    return module if module != file else "Python and numpy"


def profile_table(path: Path, lines: int = 8) -> str:
    """Give a table in Markdown of the modules that take most, and of the rest."""
    with path.open(newline="", encoding="utf-8") as table:
        rows = [(row["where"], float(row["seconds"]), row["jobs"]) for row in csv.DictReader(table)]
    whole = sum(seconds for _, seconds, _ in rows)
    rest = sum(seconds for _, seconds, _ in rows[lines:])
    shown = [(where, seconds) for where, seconds, _ in rows[:lines]]
    if rest:
        shown.append(("everything else", rest))
    text = f"{rows[0][2]} jobs, {whole:.1f} s in all under the profiler\n\n"
    text += "| where | share |\n| --- | --- |\n"
    return text + "".join(f"| {where} | {seconds / whole:.0%} |\n" for where, seconds in shown)


if __name__ == "__main__":
    sys.exit(main())
