"""Which grade to buy, from the job's files to words and plots."""

from __future__ import annotations

import json
import shutil
from pathlib import Path

import pytest

from cutopt.draw.frame import Paper
from cutopt.errors import InputError
from cutopt.grading import find_grades, run_grades
from cutopt.read.job import read_job
from cutopt.terminal import grades_as_json
from cutopt.units import Units

BENCH = Path(__file__).parent.parent / "sample_jobs" / "mudroom_bench"


def test_the_plot_and_the_words_are_the_same_twice(tmp_path: Path) -> None:
    job = read_job(BENCH)
    for folder in ("one", "two"):
        found = run_grades(job, Paper.A4, Units.MM, tmp_path / folder, force=False)
    names = sorted(path.name for path in (tmp_path / "one").iterdir())
    assert names[-1] == "grades.pdf"
    assert "grades-1-1.svg" in names
    for name in names:
        assert (tmp_path / "one" / name).read_bytes() == (tmp_path / "two" / name).read_bytes()
    again = run_grades(job, Paper.A4, Units.MM, tmp_path / "one", force=False)
    assert json.dumps(grades_as_json(found)) == json.dumps(grades_as_json(again))


def test_a_folder_with_other_files_is_refused(tmp_path: Path) -> None:
    (tmp_path / "letter.txt").write_text("mine")
    with pytest.raises(InputError, match=r"letter\.txt"):
        run_grades(read_job(BENCH), Paper.A4, Units.MM, tmp_path, force=False)


def test_the_words_name_chances_clear_boards_and_what_is_assumed() -> None:
    found = find_grades(read_job(BENCH), Units.INCH)
    assert [report.title[:8] for report in found.reports] == ["Pine 2x4", "Pine 1x4"]
    words = " ".join(found.reports[1].facts)
    assert "All clear boards: 10 of 1x4 clear 6 ft and 1 of 1x4 clear 8 ft, $106.60" in words
    assert "twice as bad" in words
    assert "$12.00 for going back" in words
    assert found.reports[1].chances == ("90 %", "95 %", "99 %")


def test_shipped_figures_are_called_invented(tmp_path: Path) -> None:
    folder = tmp_path / "bench"
    shutil.copytree(BENCH, folder, ignore=shutil.ignore_patterns("*-plan", "*-grades"))
    toml = (folder / "job.toml").read_text().replace('grades     = "grades.csv"\n', "")
    (folder / "job.toml").write_text(toml)
    found = find_grades(read_job(folder), Units.INCH)
    assert any("common" in line and "invented" in line for line in found.reports[0].grades)


def test_grades_nobody_describes_are_said_to_be_taken_as_clear(tmp_path: Path) -> None:
    folder = tmp_path / "bench"
    shutil.copytree(BENCH, folder, ignore=shutil.ignore_patterns("*-plan", "*-grades"))
    stock = (folder / "stock.csv").read_text().replace(",clear,", ",barn,")
    (folder / "stock.csv").write_text(stock)
    found = find_grades(read_job(folder), Units.INCH)
    assert any("barn" in line and "taken as clear" in line for line in found.reports[0].grades)


def test_parts_that_must_be_ripped_are_passed_over(tmp_path: Path) -> None:
    folder = tmp_path / "bench"
    shutil.copytree(BENCH, folder, ignore=shutil.ignore_patterns("*-plan", "*-grades"))
    parts = "part,qty,length,width,thickness,material\nStrip,2,20,1-1/2,3/4,pine\n"
    (folder / "parts.csv").write_text(parts)
    (folder / "stock.csv").write_text(
        "stock,kind,material,section,length,price,rip,grade\n1x4,board,pine,1x4,8ft,3,yes,common\n"
    )
    found = find_grades(read_job(folder), Units.INCH)
    assert not found.reports
    assert "ripped" in found.passed_over[0]
