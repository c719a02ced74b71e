"""Runs cases one after the other, each in a process of its own, a row a case.

A process of its own gives each case its own peak of memory and processor time. Rows are
written as they come, so a run that is stopped leaves them; a run that goes on skips them.
"""

from __future__ import annotations

import csv
import multiprocessing
import resource
import subprocess
import sys
import time
from collections.abc import Callable, Iterable, Iterator
from dataclasses import asdict, dataclass, fields
from pathlib import Path
from typing import Any, NamedTuple

from benchmarks.cases import Case


class Found(NamedTuple):
    """What an engine found: a cost, or a value, and a bound on it."""

    cost: int
    bound: int


Solve = Callable[[Case], Found]
Beside = Callable[[Case], int | None]


@dataclass(frozen=True, slots=True)
class Row:
    """What one case gave.

    Attributes:
        commit: of the program that was measured.
        cost: of our plan, or its value.
        bound: that we proved.
        published_bound, published_best: as published; empty where nothing is.
        library: cost of the best library layout, where one was asked for.
        seconds: processor time of our plan; ``library_seconds``: of the library's.
        peak_mb: most memory the process held, libraries included.
    """

    of: str
    group: str
    name: str
    variant: str
    commit: str
    effort: int
    seed: int
    cost: int
    bound: int
    published_bound: int | None
    published_best: int | None
    library: int | None
    seconds: float
    library_seconds: float
    peak_mb: int

    @property
    def key(self) -> tuple[str, str, str]:
        """What tells the case apart from others of a run."""
        return self.of, self.name, self.variant

    @property
    def run(self) -> Run:
        """What run it belongs to."""
        return Run(self.commit, self.effort, self.seed)


@dataclass(frozen=True, slots=True)
class Run:
    """What was measured: the commit of the program, and how hard it tried."""

    commit: str
    effort: int
    seed: int


def commit_here() -> str:
    """Give the commit of the program, marked where files differ from it."""
    asked = ["git", "-C", str(Path(__file__).parent), "describe", "--always", "--dirty"]
    answer = subprocess.run(asked, capture_output=True, text=True, check=False)  # noqa: S603
    return answer.stdout.strip() or "unknown"


def run_cases(
    cases: Iterable[Case],
    path: Path,
    run: Run,
    solve: Solve,
    beside: Beside | None = None,
    *,
    resume: bool = False,
) -> Iterator[Row]:
    """Give the rows of the cases as they come; each is in the table before it is given.

    Args:
        cases: to run.
        path: of the table; rows are added to it.
        run: what is measured.
        solve: the engine.
        beside: what to run beside it, if anything.
        resume: whether cases that have a row of this run are not run again.
    """
    known = {row.key: row for row in read_rows(path) if resume and row.run == run}
    for case in cases:
        row = known.get((case.of, case.name, case.variant))
        if row is None:
            row = _in_own_process(case, run, solve, beside)
            _append(path, row)
            mark = "proven" if row.cost == row.bound else f"bound {row.bound}"
            sys.stderr.write(
                f"{case.name} {case.variant}: {row.cost}, {mark}, {row.seconds:.2f} s\n"
            )
        yield row


def rows_of_last_run(path: Path) -> list[Row]:
    """Give the rows of the run that wrote the last row of a table, the newest of each case."""
    rows = read_rows(path)
    return list({row.key: row for row in rows if row.run == rows[-1].run}.values())


def read_rows(path: Path) -> list[Row]:
    """Give the rows of a table, none where there is no table."""
    if not path.is_file():
        return []
    rows = []
    with path.open(newline="", encoding="utf-8") as table:
        for line in csv.DictReader(table):
            values: dict[str, Any] = dict(line)
            for field in fields(Row):
                text = values[field.name]
                if "int" in str(field.type):
                    values[field.name] = int(text) if text else None
                elif field.type == "float":
                    values[field.name] = float(text)
            rows.append(Row(**values))
    return rows


def _append(path: Path, row: Row) -> None:
    path.parent.mkdir(parents=True, exist_ok=True)
    fresh = not path.is_file()
    with path.open("a", newline="", encoding="utf-8") as table:
        writer = csv.DictWriter(table, [field.name for field in fields(Row)])
        if fresh:
            writer.writeheader()
        writer.writerow(asdict(row))


def _in_own_process(case: Case, run: Run, solve: Solve, beside: Beside | None) -> Row:
    context = multiprocessing.get_context("fork")
    ours, theirs = context.Pipe(duplex=False)
    process = context.Process(target=_measure, args=(theirs, case, run, solve, beside), daemon=True)
    process.start()
    theirs.close()
    try:
        row: Row = ours.recv()
    except EOFError:
        raise RuntimeError(f"{case.name}: ended without an answer") from None
    process.join()
    return row


def _measure(
    pipe: Any,  # noqa: ANN401 - the library names no type for it
    case: Case,
    run: Run,
    solve: Solve,
    beside: Beside | None,
) -> None:
    start = time.process_time()
    found = solve(case)
    seconds = time.process_time() - start
    peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
    start = time.process_time()
    library = beside(case) if beside is not None else None
    pipe.send(
        Row(
            case.of,
            case.group,
            case.name,
            case.variant,
            run.commit,
            run.effort,
            run.seed,
            found.cost,
            found.bound,
            case.bound,
            case.best,
            library,
            round(seconds, 3),
            round(time.process_time() - start, 3),
            peak // 1024,
        )
    )
