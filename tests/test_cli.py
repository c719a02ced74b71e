"""The command line as a builder uses it: files, messages, exit codes."""

from __future__ import annotations

import json
import os
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest

import cutopt

SAMPLES = Path(__file__).parent.parent / "sample_jobs"


def cutopt_run(*arguments: object, cwd: Path | None = None) -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        [sys.executable, "-m", "cutopt", *map(str, arguments)],
        capture_output=True,
        text=True,
        encoding="utf-8",
        cwd=cwd,
        check=False,
    )


def bench(folder: Path, parts: str, stock: str, settings: str = "") -> Path:
    folder.mkdir(parents=True, exist_ok=True)
    (folder / "job.toml").write_text(
        f'name = "Bench"\nunits = "inch"\nparts = "parts.csv"\nstock = "stock.csv"\n{settings}'
    )
    (folder / "parts.csv").write_text(parts)
    (folder / "stock.csv").write_text(stock)
    return folder


STICKS = "stock,kind,material,section,length,price\n8 ft,board,pine,1x4,96,5.00\n"
RAILS = "part,qty,length,material\nRail,3,30,pine\n"


def test_version() -> None:
    answer = cutopt_run("--version")
    assert answer.stdout.strip() == f"cutopt {cutopt.__version__}"
    assert answer.returncode == 0


def test_plan_writes_the_files_of_the_contract(tmp_path: Path) -> None:
    job = bench(tmp_path / "bench", RAILS, STICKS)
    answer = cutopt_run("plan", job)
    assert answer.returncode == 0, answer.stderr
    out = job / "bench-plan"
    assert {path.name for path in out.iterdir()} == {
        "plan.json",
        "plan.html",
        "shop.pdf",
        "labels.pdf",
        "buy-list.pdf",
        "buy-list.csv",
        "cut-list.csv",
        "drawings",
    }
    assert "$5.00" in answer.stdout
    assert "proven" in answer.stdout
    assert json.loads((out / "plan.json").read_text())["format"] == "cutopt-plan"


def test_planning_again_replaces_its_own_files_only(tmp_path: Path) -> None:
    job = bench(tmp_path / "bench", RAILS, STICKS)
    assert cutopt_run("plan", job, "--quiet").returncode == 0
    assert cutopt_run("plan", job, "--quiet").returncode == 0
    note = job / "bench-plan" / "my-notes.txt"
    note.write_text("keep me")
    answer = cutopt_run("plan", job)
    assert answer.returncode == 2
    assert "my-notes.txt" in answer.stderr
    assert "--force" in answer.stderr
    assert cutopt_run("plan", job, "--force", "--quiet").returncode == 0
    assert note.read_text() == "keep me"


def test_a_part_longer_than_all_stock_is_named(tmp_path: Path) -> None:
    job = bench(
        tmp_path, "part,qty,length,material\nRidge beam,1,97,pine\nRail,1,30,pine\n", STICKS
    )
    answer = cutopt_run("plan", job)
    assert answer.returncode == 1
    assert "Ridge beam" in answer.stderr
    assert "Rail" not in answer.stderr.replace("Ridge beam", "")
    assert not (tmp_path / f"{tmp_path.name}-plan" / "plan.json").exists()


def test_every_fault_of_the_input_is_told_at_once(tmp_path: Path) -> None:
    parts = "part,qty,length,material\nRail,three,30,pine\nPost,1,2x4,pine\nShelf,1,20,oak\n"
    answer = cutopt_run("check", bench(tmp_path, parts, STICKS))
    assert answer.returncode == 2
    lines = answer.stderr.strip().splitlines()
    assert len(lines) == 3
    for row, text in ((2, "three"), (3, "2x4"), (4, "oak")):
        assert any(f"row {row}" in line and text in line for line in lines)


def test_a_wrong_command_line_is_exit_two() -> None:
    assert cutopt_run("plan").returncode == 2
    assert cutopt_run("plan", "nowhere").returncode == 2
    assert cutopt_run("saw").returncode == 2
    assert cutopt_run("plan", SAMPLES / "potting_bench", "--effort", 4).returncode == 2


def test_a_setting_is_changed_for_one_run(tmp_path: Path) -> None:
    job = bench(tmp_path, "part,qty,length,material\nRail,3,31.95,pine\n", STICKS)
    with_kerf = cutopt_run("plan", job, "--json")
    without = cutopt_run("plan", job, "--json", "--set", "shop.kerf=0")
    assert json.loads(with_kerf.stdout)["totals"]["stock"] == 10.0
    assert json.loads(without.stdout)["totals"]["stock"] == 5.0
    wrong = cutopt_run("plan", job, "--set", "shop.kurf=0")
    assert wrong.returncode == 2
    assert "did you mean kerf" in wrong.stderr


def test_strict_turns_warnings_into_exit_one(tmp_path: Path) -> None:
    parts = "part,qty,length,material\nRail,1,90,pine\n"
    job = bench(tmp_path, parts, STICKS, '[carry]\nboards = "6ft"\n')
    relaxed = cutopt_run("plan", job, "--quiet")
    assert relaxed.returncode == 0
    assert "carry" in relaxed.stderr
    strict = cutopt_run("plan", job, "--quiet", "--strict")
    assert strict.returncode == 1
    assert (tmp_path / f"{tmp_path.name}-plan" / "plan.json").exists()


def test_new_writes_a_job_that_plans_as_it_is(tmp_path: Path) -> None:
    for units in ("inch", "mm"):
        folder = tmp_path / units
        assert cutopt_run("new", folder, "--units", units).returncode == 0
        answer = cutopt_run("plan", folder, "--strict")
        assert answer.returncode == 0, answer.stderr
        again = cutopt_run("new", folder)
        assert again.returncode == 2
        assert "job.toml" in again.stderr


def test_draw_makes_the_same_pages_from_the_plan_alone(tmp_path: Path) -> None:
    job = bench(tmp_path / "bench", RAILS, STICKS)
    out = tmp_path / "out"
    cutopt_run("plan", job, "--out", out, "--quiet")
    before = {path.name: path.read_bytes() for path in sorted(out.glob("*.*"))}
    (tmp_path / "alone").mkdir()
    (tmp_path / "alone" / "plan.json").write_bytes(before["plan.json"])
    assert cutopt_run("draw", tmp_path / "alone" / "plan.json").returncode == 0
    after = {path.name: path.read_bytes() for path in sorted((tmp_path / "alone").glob("*.*"))}
    assert after == before


def test_a_damaged_plan_is_refused_with_its_place(tmp_path: Path) -> None:
    (tmp_path / "plan.json").write_text('{"format": "cutopt-plan", "version": 1}')
    answer = cutopt_run("draw", tmp_path / "plan.json")
    assert answer.returncode == 2
    assert "plan.json" in answer.stderr
    assert "Traceback" not in answer.stderr


@pytest.mark.skipif(os.name == "nt", reason="Ctrl-C is a signal elsewhere")
def test_ctrl_c_writes_the_best_plan_so_far(tmp_path: Path) -> None:
    rows = "".join(f"Panel {n},1,{20 + n * 1.37:.2f},{9 + n * 0.83:.2f},ply\n" for n in range(40))
    job = bench(
        tmp_path,
        f"part,qty,length,width,material\n{rows}",
        "stock,kind,material,length,width,thickness,price\n"
        "4x8,sheet,ply,96,48,0.75,60\n5x5,sheet,ply,60,60,0.75,41\n",
    )
    out = tmp_path / "out"
    # On a busy machine the first plan may take a while; an earlier Ctrl-C leaves none.
    for seconds in (4, 12, 36):
        search = subprocess.Popen(
            [sys.executable, "-m", "cutopt", "plan", str(job), "--effort", "3", "--out", str(out)],
            stdout=subprocess.PIPE,
            stderr=subprocess.PIPE,
        )
        time.sleep(seconds)
        search.send_signal(signal.SIGINT)
        _, stderr = search.communicate(timeout=120)
        assert search.returncode == 130, stderr.decode()
        if out.exists():
            break
    assert (out / "plan.json").exists()
    assert (out / "shop.pdf").exists()


def test_what_the_car_costs_and_single_cuts_are_said_in_words(tmp_path: Path) -> None:
    stock = "stock,kind,material,section,length,price\n12 ft,board,pine,1x4,144,5\n"
    stock += "8 ft,board,pine,1x4,96,4\n"
    # Two of 60 come from one 12 ft board with a cut each; the car takes two of 8 ft.
    job = bench(tmp_path / "bench", "part,qty,length,material\nRail,2,60,pine\n", stock)
    free = cutopt_run("plan", job)
    assert "2 cuts at home" in free.stdout
    tied = cutopt_run("plan", job, "--set", "carry.boards=8ft")
    assert "$5.00 would do without the limits of the car" in " ".join(tied.stdout.split())
    checked = cutopt_run("check", bench(tmp_path / "one", RAILS.replace(",3,", ",1,"), STICKS))
    assert "1 part of 1 kind" in checked.stdout


def test_boards_of_one_size_are_told_apart_by_their_name(tmp_path: Path) -> None:
    stock = (
        "stock,kind,material,section,length,price,available,grade\n"
        "1x4 common,board,pine,1x4,96,3.00,1,common\n1x4 clear,board,pine,1x4,96,5.00,,clear\n"
    )
    parts = "part,qty,length,material\nRail,2,90,pine\n"
    answer = cutopt_run("plan", bench(tmp_path / "two", parts, stock))
    assert "(1x4 common)" in answer.stdout
    assert "(1x4 clear)" in answer.stdout
    # One grade of two: still named, or the wrong boards are bought.
    answer = cutopt_run("plan", bench(tmp_path / "cheap", parts.replace("2", "1"), stock))
    assert "(1x4 common)" in answer.stdout
    answer = cutopt_run("plan", bench(tmp_path / "one", RAILS, STICKS))
    assert "(8 ft)" not in answer.stdout


def test_check_lists_the_grades_and_what_is_expected_of_them(tmp_path: Path) -> None:
    stock = (
        "stock,kind,material,section,length,price,grade\n1x4 a,board,pine,1x4,96,3.00,common\n"
        "1x4 b,board,pine,1x4,96,5.00,barn\n2x4,board,pine,2x4,96,5.00,economy\n"
    )
    folder = bench(tmp_path, "part,qty,length,material\nRail,2,90,1x4\n", stock)
    answer = cutopt_run("check", folder, "--set", 'confidence="90 %"')
    assert answer.returncode == 0
    assert "0.18 bad spans a foot" in answer.stdout
    assert "invented figures" in " ".join(answer.stdout.split())
    assert "barn    nothing says how bad they are; taken as clear" in answer.stdout
    assert "all parts come out with 90 %" in answer.stdout
    assert "economy" not in answer.stdout.split("what is expected of boards")[1]
    facts = json.loads(cutopt_run("check", folder, "--json").stdout)
    assert [grade["word"] for grade in facts["grades"]] == ["common", "barn"]
    assert facts["grades"][1]["expected"] is None


def test_done_and_replan_tell_one_json_object_and_what_was_made_before(tmp_path: Path) -> None:
    cutopt_run("plan", bench(tmp_path / "bench", RAILS, STICKS), "-q")
    first = tmp_path / "bench" / "bench-plan"
    state = json.loads(cutopt_run("done", first, "--cut", "L1:1", "--json").stdout)
    assert state["made"] == ["Rail 1 of 3"]
    assert state["to_cut"] == ["L1"]
    told = json.loads(cutopt_run("replan", first, "--spoiled", "Rail:3", "--json").stdout)
    assert told["replans"]["made"][0]["numbers"] == [1, 2]
    assert told["totals"]["stock"] == 5.0
    assert told["says"][0].startswith("Buy 1 x 8 ft")
    lines = cutopt_run("done", told["folder"]).stdout.splitlines()
    assert lines[0] == "made before this plan: Rail 1 and 2 of 3"
    assert "--not-bought" not in lines[1]


def test_a_part_that_is_a_whole_board_is_made_once_it_is_bought(tmp_path: Path) -> None:
    post = "part,qty,length,material\nPost,1,96,pine\n"
    cutopt_run("plan", bench(tmp_path / "bench", post, STICKS), "-q")
    folder = tmp_path / "bench" / "bench-plan"
    assert "Post (else say --not-bought)" in cutopt_run("done", folder).stdout
    assert cutopt_run("done", folder, "--not-bought", "L1").stdout == "to buy: L1\n"
