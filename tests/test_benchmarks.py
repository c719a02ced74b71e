"""Benchmarks: instances are read as published, made-up jobs are what they say, runs resume."""

from __future__ import annotations

import re
from collections import Counter
from cProfile import Profile
from dataclasses import replace
from itertools import islice
from pstats import Stats

import pytest

from benchmarks import board_sets, run_sheets, sheet_sets, write_tables
from benchmarks.cases import FOLDER, ORIENTED, TURNED, every, records
from benchmarks.library import best_of_library
from benchmarks.made_up import home_jobs, no_waste
from benchmarks.made_up_boards import exact_boards, home_boards, large_boards
from benchmarks.measuring import Found, Row, Run, read_rows, rows_of_last_run, run_cases
from benchmarks.profile_home import profile_table, seconds_by_module
from benchmarks.tables import table, tables
from benchmarks.value_sets import value_cases
from cutopt.solve.bounds import area_weighings
from cutopt.solve.sheets_sizes import sizes_of

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
def test_value_sets_are_read_whole_and_no_published_value_outgrows_its_sheet():
    cases = list(value_cases(ORIENTED))
    assert Counter(case.of for case in cases) == {"cgcut": 3, "ngcut": 12, "gcut": 13, "g2kp": 79}
    for case in cases:
        (stock,) = case.problem.stock
        density = max(
            value / (item.length * item.width)
            for item, value in zip(case.problem.items, case.values, strict=True)
        )
        assert 0 < case.best <= density * stock.length * stock.width
        assert case.bound is None or case.best <= case.bound
    # Christofides and Whitlock 1977: the value of the best cut of their first sheet is 244.
    assert cases[0].best == 244


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


def test_boards_without_waste_fill_theirs_to_the_tick():
    for case in exact_boards():
        # A board costs 96 a foot and 1 for the kerf it gains: its length and kerf in eighths.
        kerf = case.problem.kerf
        parts = sum((item.length + kerf) * item.qty for item in case.problem.items)
        assert parts == case.best * kerf
        assert all(stock.cost * kerf >= stock.length + kerf for stock in case.problem.stock)


def test_made_up_boards_are_the_same_each_time_and_counted():
    first = list(home_boards())
    assert first == list(home_boards())
    assert len(first) == 240
    for case in (*first[:200:20], *large_boards()):
        copies = sum(item.qty for item in case.problem.items)
        assert copies <= 60 or 800 <= copies <= 1_200


def test_home_jobs_are_the_same_each_time_and_fit_a_sheet():
    first = list(home_jobs(ORIENTED))
    assert first == list(home_jobs(ORIENTED))
    for case in first:
        longest = max(stock.length for stock in case.problem.stock)
        assert all(item.length <= longest for item in case.problem.items)


def used(case):
    """A stand-in for an engine: a sheet for each part."""
    return Found(case.problem.items[0].qty, 1)


def refused(case):
    raise AssertionError(case.name)


@forks
def test_a_run_goes_on_where_it_stopped(tmp_path):
    path = tmp_path / "rows.csv"
    cases = list(islice(no_waste(ORIENTED), 3))
    run = Run("abc", 1, 0)
    begun = list(islice(run_cases(cases, path, run, used), 2))
    # What was done is on disk although the run never ended.
    assert read_rows(path) == begun
    ended = list(run_cases(cases, path, run, used, resume=True))
    assert [row.name for row in ended] == [case.name for case in cases]
    assert ended[:2] == begun
    # All rows are there: nothing is solved again.
    assert list(run_cases(cases, path, run, refused, resume=True)) == ended
    # The rows of another commit, effort or seed say nothing about this one.
    for other in (Run("def", 1, 0), Run("abc", 2, 0), Run("abc", 1, 1)):
        list(run_cases(cases[:1], path, other, used, resume=True))
        (row,) = rows_of_last_run(path)
        assert row.run == other


def row(name, cost, bound, seconds, **more):
    known = {"published_bound": None, "published_best": None, "library": None, "group": "1 20"}
    return Row(
        "made up", name=name, variant=ORIENTED, commit="abc", effort=1, seed=0, cost=cost,
        bound=bound, seconds=seconds, library_seconds=0.0, peak_mb=100, **{**known, **more},
    )  # fmt: skip


def cells(text, group):
    lines = [[cell.strip() for cell in line.split("|")[1:-1]] for line in text.splitlines()]
    (found,) = (line for line in lines if line[0] == group)
    return dict(zip(lines[0], found, strict=True))


def test_a_table_adds_up_groups_and_leaves_out_what_is_not_known():
    known = {"published_bound": 9, "published_best": 10}
    rows = [row(f"a{n}", 10, 10, n / 10, **known) for n in range(1, 20)]
    rows.append(row("last", 12, 10, 50.0, group="2 20", **known))
    text = table(rows)
    assert cells(text, "1 20") == {
        "group": "1 20", "cases": "19", "cutopt": "190", "bound": "190", "proven": "19",
        "gap": "0.00%", "best known": "190", "level or better": "19", "known bound": "171",
        "known proven": "0", "mean s": "1.00", "median s": "1.00", "95 % s": "1.90",
        "longest s": "1.90", "peak MB": "100",
    }  # fmt: skip
    last = cells(text, "2 20")
    assert (last["gap"], last["level or better"], last["proven"]) == ("20.00%", "0", "0")
    whole = cells(text, "all")
    assert (whole["cases"], whole["cutopt"], whole["longest s"]) == ("20", "202", "50.00")
    # 19 of 20 are 95 %.
    assert whole["95 % s"] == "1.90"
    assert [line.split("|")[1].strip() for line in table(rows, whole_groups=True).splitlines()] == [
        "group", "---", "1", "2", "all",
    ]  # fmt: skip


@forks
def test_tables_go_into_their_places_and_other_text_stays(tmp_path):
    cases = list(islice(no_waste(ORIENTED), 3))
    list(run_cases(cases, tmp_path / "sheets-no-waste-effort-1.csv", Run("abc", 1, 0), used))
    page = tmp_path / "page.md"
    places = [
        f"<!-- table {name} -->\nold\n<!-- end -->\n"
        for name in ("sheets-no-waste-effort-1", "sheets-home-effort-1")
    ]
    page.write_text(f"Before.\n{places[0]}Between.\n{places[1]}After.\n", encoding="utf-8")
    arguments = ["--out", str(tmp_path), "--page", str(page)]
    assert write_tables.main(arguments) == 0
    text = page.read_text(encoding="utf-8")
    first, second = text.split("Between.")
    assert first.startswith("Before.\n<!-- table sheets-no-waste-effort-1 -->\n")
    assert "| 20 x 1 | 3 | 3 | 3 | 3 |" in first
    assert "old" not in first
    # What was not measured stays as it was, and a second writing changes nothing.
    assert second == f"\n{places[1]}After.\n"
    write_tables.main(arguments)
    assert page.read_text(encoding="utf-8") == text


def test_the_page_has_places_for_tables_that_are_made_and_names_make_targets():
    page = write_tables.PAGE.read_text(encoding="utf-8")
    made = {f"sheets-{name}" for name in ("class-every-10", *run_sheets.ALL)}
    samples = ("falkenauer-every-2", "scholl-every-10", "schwerin-every-4")
    made |= {f"boards-{name}" for name in (*samples, "waescher", "hard28")}
    made |= {"boards-home-second-goals", "boards-exact", "boards-large"}
    made |= {"values", "profile-home"}
    places = re.findall(r"<!-- table (\S+)-effort-[0-3] -->", page)
    assert set(places) == made
    assert page.count("<!-- end -->") == len(re.findall("<!-- table", page)) >= len(made)
    makefile = (write_tables.PAGE.parents[1] / "Makefile").read_text(encoding="utf-8")
    for name in re.findall(r"make (bench[a-z-]*|test[a-z-]*)", page):
        assert re.search(rf"^{name}: ", makefile, re.MULTILINE), name


def test_a_profile_counts_each_module_by_itself(tmp_path):
    profile = Profile()
    profile.enable()
    sizes = sizes_of(next(home_jobs(ORIENTED)).problem, 3)
    area_weighings(sizes)
    profile.disable()
    seconds = seconds_by_module(Stats(profile))
    assert {"sheets_sizes.py", "bounds.py"} <= set(seconds)
    assert sum(seconds.values()) == pytest.approx(Stats(profile).total_tt)
    path = tmp_path / "profile.csv"
    path.write_text("where,seconds,jobs\na,6,2\nb,3,2\nc,1,2\n", encoding="utf-8")
    lines = profile_table(path, lines=2).splitlines()
    assert lines[0].startswith("2 jobs, 10.0 s")
    assert lines[-3:] == ["| a | 60% |", "| b | 30% |", "| everything else | 10% |"]


@published
def test_published_totals_stand_beside_complete_groups_only():
    cases = [case for case in sheet_sets.class_cases(ORIENTED) if case.group == "10 20"]
    rows = [replace(row(c.name, c.best, c.bound, 1.0), of="class", group=c.group) for c in cases]
    # Gardeyn and Wauters 2022, table 1: 42, 44, 44, 43, 43, 43.
    assert cells(table(rows), "10 20")["best by cells"] == "42"
    assert "GDRR 42, ENH 44, CHBP 44, HHA 43, CFIH 43, HHTB 43" in tables(rows)
    assert "best by cells" not in table(rows[:9])


def test_every_so_manyth_case():
    cases = list(no_waste(TURNED))
    assert list(every(iter(cases), 10, 3)) == cases[3::10]


def test_the_library_lays_parts_that_just_fit():
    case = next(no_waste(ORIENTED))
    assert best_of_library(case) >= case.best
