"""Which grade to buy, from the job's files to words and plots."""

from __future__ import annotations

import json
import shutil
from collections import Counter
from dataclasses import replace
from functools import cache
from pathlib import Path

import pytest

from cutopt.check.replay import check_plan
from cutopt.draw.frame import Paper
from cutopt.errors import InputError
from cutopt.grading import find_grades, run_grades
from cutopt.model.job import Extra, Pack, Stock
from cutopt.model.plan import Plan
from cutopt.pipeline import make_plan
from cutopt.read.job import read_job
from cutopt.solve.grades import Chances
from cutopt.solve.params import Search, Unwatched
from cutopt.steps.buy import buy_list
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
    assert "gives that chance, within the model and with 95 % confidence." in words
    assert found.reports[1].rows[-1].what == "no purchase does under"
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


# --- spares in a plan ----------------------------------------------------------------------------


@cache
def planned(folder: Path) -> Plan:
    return make_plan(read_job(folder), Search(effort=0), Unwatched())


def test_a_plan_for_a_chance_buys_what_gives_it() -> None:
    plan = planned(BENCH)
    assert check_plan(plan) == ()
    bought = Counter(piece.stock.name for piece in plan.pieces)
    for extra in plan.job.extras:
        bought[extra.spare_of] += extra.qty
    for answer in find_grades(plan.job, Units.INCH).answers:
        rows = [offer.stock.name for offer in answer.question.offers]
        counts = tuple(bought[name] for name in rows)
        assert Chances(answer.question).passes(counts, 0.95)


def test_spares_are_extras_with_a_reason_and_count_against_the_budget() -> None:
    plan = planned(BENCH)
    spares = [extra for extra in plan.job.extras if extra.spare_of]
    assert spares
    for spare in spares:
        assert "95 % chance that all parts come out of" in spare.note
    cost = sum(spare.qty * (spare.packs[0].price_cents or 0) for spare in spares)
    assert plan.totals.extras_cents == cost > 0
    groups = [group.head for group in buy_list(plan).groups]
    assert groups == ["Boards", "Spare boards, not cut"]
    assert buy_list(plan).budget.spent_cents == plan.totals.grand_total_cents


def test_the_check_knows_spares_the_stock_list_has_not_got() -> None:
    plan = planned(BENCH)
    spare = next(extra for extra in plan.job.extras if extra.spare_of)
    others = tuple(extra for extra in plan.job.extras if extra is not spare)

    def faults(changed: Extra, stock: tuple[Stock, ...] = plan.job.stock) -> str:
        job = replace(plan.job, extras=(*others, changed), stock=stock)
        return " ".join(map(str, check_plan(replace(plan, job=job))))

    assert faults(spare) == ""
    assert "sells no oak" in faults(replace(spare, spare_of="oak"))
    assert "price is not that of" in faults(replace(spare, packs=(Pack(1, 1),)))
    few = tuple(
        replace(row, available=spare.qty) if row.name == spare.spare_of else row
        for row in plan.job.stock
    )
    pieces = sum(piece.stock.name == spare.spare_of for piece in plan.pieces)
    assert pieces
    assert "are bought, there are" in faults(spare, few)


def test_spares_of_an_earlier_plan_are_not_bought_again() -> None:
    plan = planned(BENCH)
    again = make_plan(plan.job, Search(effort=0), Unwatched())
    assert again.job.extras == plan.job.extras


def test_boards_of_a_better_grade_are_never_called_the_cheapest() -> None:
    plan = planned(BENCH)
    bare = make_plan(replace(read_job(BENCH), confidence=None), Search(effort=0), Unwatched())
    before = {result.material: result for result in bare.materials}
    for result in plan.materials:
        assert result.lower_bound <= before[result.material].cost
        if result.cost > before[result.material].cost:
            assert not result.proven


def test_a_chance_nothing_reaches_is_a_warning(tmp_path: Path) -> None:
    folder = tmp_path / "bench"
    shutil.copytree(BENCH, folder, ignore=shutil.ignore_patterns("*-plan", "*-grades"))
    stock = (folder / "stock.csv").read_text().splitlines()
    kept = [line for line in stock if "clear" not in line]
    (folder / "stock.csv").write_text("\n".join(kept) + "\n")
    (folder / "grades.csv").write_text("grade,per_metre,straight\ncommon,0,20\n")
    plan = planned(folder)
    assert {warning.about for warning in plan.warnings} == {"grade"}
    assert not [extra for extra in plan.job.extras if extra.spare_of]


def test_spares_wanted_where_no_chance_is_known_are_a_warning(tmp_path: Path) -> None:
    folder = tmp_path / "bench"
    shutil.copytree(BENCH, folder, ignore=shutil.ignore_patterns("*-plan", "*-grades"))
    parts = "part,qty,length,width,thickness,material\nStrip,2,20,1-1/2,3/4,pine\n"
    (folder / "parts.csv").write_text(parts)
    header = "stock,kind,material,section,length,price,rip,grade\n"

    def warnings(grade: str) -> list[str]:
        (folder / "stock.csv").write_text(f"{header}1x4,board,pine,1x4,8ft,3,yes,{grade}\n")
        plan = make_plan(read_job(folder), Search(effort=0), Unwatched())
        return [warning.text for warning in plan.warnings if warning.about == "grade"]

    (said,) = warnings("common")
    assert "no spares are bought: parts are ripped" in said
    assert warnings("clear") == []


def test_a_grade_spelled_otherwise_than_in_the_stock_list_is_a_fault(tmp_path: Path) -> None:
    folder = tmp_path / "bench"
    shutil.copytree(BENCH, folder, ignore=shutil.ignore_patterns("*-plan", "*-grades"))
    rows = "grade,per_foot,span_from,span_to\nclear,0,,\nbarn,1,1,2\n"
    (folder / "grades.csv").write_text(rows + "comon,0.2,1,3\n")
    with pytest.raises(InputError) as raised:
        read_job(folder)
    (fault,) = raised.value.faults
    assert "grades.csv, row 4, column grade" in str(fault)
    assert 'did you mean "common"?' in str(fault)
    (folder / "grades.csv").write_text(rows + "Common,0.2,1,3\n")
    assert 'grades no row of the stock list has ("barn")' in read_job(folder).notes
