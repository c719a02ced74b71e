"""Benchmarks: instances are read as published, made-up jobs are what they say, runs resume."""

from __future__ import annotations

from collections import Counter
from itertools import islice

import pytest

from benchmarks import board_sets, sheet_sets
from benchmarks.cases import FOLDER, ORIENTED, TURNED, every, records
from benchmarks.library import best_of_library
from benchmarks.made_up import home_jobs, no_waste
from benchmarks.measuring import run_cases
from benchmarks.tables import table
from cutopt.solve.params import Answer

published = pytest.mark.skipif(
    not FOLDER.is_dir(), reason="benchmark sets are not here: CUTOPT_BENCHMARKS"
)
forks = pytest.mark.filterwarnings("ignore:This process")


@published
def test_the_classic_set_is_read_whole():
    cases = list(sheet_sets.class_cases(ORIENTED))
    assert Counter(case.group.split()[1] for case in cases) == {
        str(count): 100 for count in (20, 40, 60, 80, 100)
    }
    assert all(
        sum(item.qty for item in case.problem.items) == int(case.group.split()[1]) for case in cases
    )
    # The published bounds of the classes are sums over these very instances.
    bounds: Counter[str] = Counter()
    for case in cases:
        bounds[case.group] += case.bound
    for group, total in bounds.items():
        number, count = group.split()
        assert records()["class", f"sum_{int(number):02d}_{int(count):03d}", "O|G"][0] == total


@published
@pytest.mark.parametrize(
    ("name", "count"), [("a43", 43), ("gcutbin", 12), ("cintra1", 12), ("cintra", 12)]
)
def test_sheet_sets_are_read_whole(name, count):
    cases = list(sheet_sets.SETS[name](TURNED))
    assert len(cases) == count
    assert all(item.qty > 0 for case in cases for item in case.problem.items)


@published
@pytest.mark.parametrize(
    ("name", "count"),
    [("scholl", 1210), ("schwerin", 200), ("waescher", 17), ("hard28", 28)],
)
def test_board_sets_are_read_whole_and_each_has_its_record(name, count):
    cases = list(board_sets.SETS[name]())
    assert len(cases) == count
    for case in cases:
        (stock,) = case.problem.stock
        weight = sum(item.length * item.qty for item in case.problem.items)
        assert weight <= case.best * stock.length


@pytest.mark.parametrize("variant", [ORIENTED, TURNED])
def test_jobs_without_waste_fill_their_sheets_to_the_tick(variant):
    for case in no_waste(variant):
        kerf = case.problem.kerf
        (stock,) = case.problem.stock
        parts = sum(
            (item.length + kerf) * (item.width + kerf) * item.qty for item in case.problem.items
        )
        assert parts == case.best * (stock.length + kerf) * (stock.width + kerf)


def test_home_jobs_are_the_same_each_time_and_fit_a_sheet():
    first = list(home_jobs(ORIENTED))
    assert first == list(home_jobs(ORIENTED))
    for case in first:
        longest = max(stock.length for stock in case.problem.stock)
        assert all(item.length <= longest for item in case.problem.items)


def used(case):
    """A stand-in for an engine: a sheet for each part."""
    return Answer((), case.problem.items[0].qty, 1)


def refused(case):
    raise AssertionError(case.name)


@forks
def test_a_run_goes_on_where_it_stopped(tmp_path):
    path = tmp_path / "rows.csv"
    cases = list(islice(no_waste(ORIENTED), 3))
    begun = run_cases(cases[:2], path, 1, 0, used)
    ended = run_cases(cases, path, 1, 0, used)
    assert [row.name for row in ended] == [case.name for case in cases]
    assert ended[:2] == begun
    # All rows are there: nothing is solved again.
    assert run_cases(cases, path, 1, 0, refused) == ended
    lines = table(ended, ORIENTED).splitlines()
    assert lines[-1].startswith("| all | 3 | 3 | 3 | 3 |")
    assert table(ended, TURNED) == ""


def test_every_so_manyth_case():
    cases = list(no_waste(TURNED))
    assert list(every(iter(cases), 10, 3)) == cases[3::10]


def test_the_library_lays_parts_that_just_fit():
    case = next(no_waste(ORIENTED))
    assert best_of_library(case) >= case.best
