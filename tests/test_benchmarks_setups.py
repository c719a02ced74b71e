"""The benchmark of the work at the saws counts what the saw pages say."""

from __future__ import annotations

from itertools import islice

from benchmarks.cases import ORIENTED
from benchmarks.made_up import home_jobs
from benchmarks.run_setups import Counted, count, job_of, table
from cutopt.pipeline import make_plan
from cutopt.solve.params import Search, Unwatched


def test_every_part_of_a_made_up_job_comes_off_a_counted_cut() -> None:
    (case,) = islice(home_jobs(ORIENTED), 1)
    job = job_of(case.problem, batches=2)
    assert sum(part.qty for part in job.parts) == 2 * sum(item.qty for item in case.problem.items)
    counted = count(make_plan(job, Search(effort=0), Unwatched()))
    # A cut parts one piece in two, so there are at least as many as parts less sheets.
    assert counted.cuts >= sum(part.qty for part in job.parts) - counted.sheets
    assert 0 < counted.settings <= counted.set_ups <= counted.cuts
    assert counted.drawn <= counted.sheets


def test_the_table_gives_means() -> None:
    rows = {"way": [Counted(2, 1, 10, 12, 30, 0.5), Counted(4, 2, 20, 22, 50, 1.5)]}
    assert table(rows).splitlines()[-1] == "| way | 3.0 | 1.5 | 15.0 | 17.0 | 40.0 | 1.00 |"
