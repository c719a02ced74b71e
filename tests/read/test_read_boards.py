"""Boards already bought and measured: their marks, lengths and bad spans."""

from __future__ import annotations

from pathlib import Path

import pytest

from cutopt.errors import InputError
from cutopt.model.job import Job, Stock
from cutopt.read.job import read_job
from cutopt.read.understood import understood
from cutopt.units import Ticks, inches, millimetres


def read(folder: Path, boards: str, *, units: str = "inch") -> Job:
    scale = "" if units == "inch" else "in"
    stock = (
        "stock,kind,material,length,width,thickness,section,price,owned,available,trim\n"
        f"1x4 8 ft,board,pine,96{scale},,,1x4,6.48,,,\n"
        f"1x4 6 ft,board,pine,72{scale},,,1x4,0,yes,2,0.5{scale}\n"
        f"ply,sheet,birch ply,96{scale},48{scale},0.75{scale},,62,,,\n"
    )
    (folder / "parts.csv").write_text(
        f"part,qty,length,material\nSlat,4,20{scale},1x4\n", encoding="utf-8"
    )
    (folder / "stock.csv").write_text(stock, encoding="utf-8")
    (folder / "boards.csv").write_text(boards, encoding="utf-8")
    (folder / "job.toml").write_text(
        f'name = "rack"\nunits = "{units}"\nboards = "boards.csv"\n', encoding="utf-8"
    )
    return read_job(folder)


def board(job: Job, mark: str) -> Stock:
    return next(row for row in job.stock if row.name == mark)


def bad_of(folder: Path, cell: str, *, units: str = "inch") -> tuple[tuple[Ticks, Ticks], ...]:
    cell = cell.replace('"', '""')
    return board(read(folder, f'board,stock,bad\nA,1x4 8 ft,"{cell}"\n', units=units), "A").bad


def faults(folder: Path, boards: str, *, units: str = "inch") -> list[str]:
    with pytest.raises(InputError) as raised:
        read(folder, boards, units=units)
    return [str(fault) for fault in raised.value.faults]


def test_a_measured_board_is_a_piece_of_its_own_that_costs_nothing(tmp_path: Path):
    job = read(tmp_path, "board,stock,length,bad,note\nA,1x4 8 ft,96 1/4,3-5,cupped\n")
    found = board(job, "A")
    bought = board(job, "1x4 8 ft")
    assert (found.price_cents, found.available, found.owned) == (0, 1, True)
    assert (found.length, found.width) == (inches(96, 1, 4), bought.width)
    assert found.material == bought.material
    assert (found.note, found.bad) == ("cupped", ((inches(3), inches(5)),))
    assert (bought.price_cents, bought.owned, bought.available) == (648, False, None)


@pytest.mark.parametrize(
    ("cell", "ends"),
    [
        ('3"-5", 40 1/2" - 41"', [3, 5, 40.5, 41]),
        ("0-2", [0, 2]),
        ("0–2; 94 – 96", [0, 2, 94, 96]),
        ("3-1/2-5", [3.5, 5]),
        ("2-3-1/2", [2, 3.5]),
        ('3-5"', [3, 5]),
        ("3 to 5 and 9 to 10", [3, 5, 9, 10]),
        ("1' 2\" - 1' 3\"", [14, 15]),
        ("none", []),
    ],
)
def test_bad_spans_as_people_write_them(tmp_path: Path, cell: str, ends: list[float]):
    expected = [Ticks(round(end * 8128)) for end in ends]
    assert [end for span in bad_of(tmp_path, cell) for end in span] == expected


@pytest.mark.parametrize(
    ("cell", "ends"),
    [("80-120", [80, 120]), ("80-120mm, 12,5-14", [12.5, 14, 80, 120]), ("8cm-12cm", [80, 120])],
)
def test_bad_spans_in_millimetres(tmp_path: Path, cell: str, ends: list[float]):
    expected = [millimetres(end) for end in ends]
    found = [end for span in bad_of(tmp_path, cell, units="mm") for end in span]
    assert found == expected


@pytest.mark.parametrize(
    ("cell", "told"),
    [
        ("5-3", "ends where it begins or before: 5-3"),
        ("4-4", "ends where it begins or before"),
        ("7", "this is no bad span: 7"),
        ("3-x", "3-x"),
        ("90-97", 'a bad span ends at 97", the board is 96" long'),
        ("3-5cm", "only one end of this span has a unit"),
    ],
)
def test_a_bad_span_that_makes_no_sense_is_told(tmp_path: Path, cell: str, told: str):
    found = faults(tmp_path, f"board,stock,bad\nA,1x4 8 ft,{cell}\n")
    assert len(found) == 1
    assert told in found[0]
    assert "boards.csv" in found[0]
    assert "row 2" in found[0]


def test_spans_that_overlap_count_as_one_with_a_note(tmp_path: Path):
    job = read(tmp_path, "board,stock,bad\nA,1x4 8 ft,3-5; 4-6; 8-9\n")
    assert board(job, "A").bad == ((inches(3), inches(6)), (inches(8), inches(9)))
    assert any("overlap or touch" in note and '"A"' in note for note in job.notes)


def test_spans_measured_from_the_right_end_are_turned(tmp_path: Path):
    job = read(tmp_path, "mark,item,knots,end\nA,1x4 8 ft,0-2; 10-12,Right\n")
    assert board(job, "A").bad == ((inches(84), inches(86)), (inches(94), inches(96)))


def test_an_owned_row_has_one_board_less_for_each_that_is_measured(tmp_path: Path):
    job = read(tmp_path, "board,stock,bad\nA,1x4 6 ft,3-5\n")
    assert board(job, "1x4 6 ft").available == 1
    three = "".join(f"{mark},1x4 6 ft,3-5\n" for mark in "ABC")
    found = faults(tmp_path, "board,stock,bad\n" + three)
    assert len(found) == 1
    assert "2 of these in the shop, 3 are measured" in found[0]


def test_all_that_is_wrong_is_told_at_once(tmp_path: Path):
    found = faults(
        tmp_path,
        "board,stock,bad\nA,1x4 8 ft,\na,1x4 8ft,\n1x4 6 ft,1x4 8 ft,\nB,ply,\nC,,\n,1x4 8 ft,\n",
    )
    for told in (
        "row 2 has this mark too",
        'did you mean "1x4 8 ft"?',
        "a row of the stock list has this name",
        "only boards are measured",
        "the row of the stock list is missing",
        "the mark written on the board is missing",
    ):
        assert [fault for fault in found if told in fault], (told, found)


def test_clear_runs_are_told(tmp_path: Path):
    job = read(tmp_path, "board,stock,bad\nA,1x4 6 ft,0-3; 70-71 3/4\nB,1x4 8 ft,10-12\n")
    runs = {row.name: row.clear for row in understood(job).stock}
    assert runs["A"] == ((inches(3), inches(70)),)
    assert runs["B"] == ((Ticks(0), inches(10)), (inches(12), inches(96)))
    assert runs["1x4 8 ft"] == ()


def test_a_board_far_longer_than_its_row_of_the_stock_list_is_a_slip_of_the_unit(tmp_path: Path):
    told = faults(tmp_path, "board,stock,length\nA,1x4 8 ft,2438\nB,1x4 6 ft,96\nC,1x4 8 ft,97\n")
    assert [line.partition(":")[0] for line in told] == [
        "boards.csv, row 2, column length",
        "boards.csv, row 3, column length",
    ]
    assert '96" long' in told[0]
    assert '72" long' in told[1]


def test_a_column_that_is_not_there_is_one_fault_at_the_header(tmp_path: Path):
    found = faults(tmp_path, "board;length;bad\nA;;\nB;96;3-5\nC;;\n")
    assert len(found) == 1, found
    assert found[0].startswith('boards.csv, row 1: there is no column "stock"')
    assert '(found "board, length, bad")' in found[0]
    found = faults(tmp_path, "stock,bad\n1x4 8 ft,\n1x4 6 ft,3-5\n")
    assert [fault for fault in found if "row 1" in fault] == found
    # A cell that is blank in one row stays a fault of that row.
    found = faults(tmp_path, "board,stock,bad\nA,,\nB,1x4 8 ft,\n")
    assert [fault for fault in found if "row 2, column stock" in fault] == found


@pytest.mark.parametrize("mark", ["L1", "s12", "S1-a"])
def test_a_mark_that_pieces_in_the_plan_have_is_refused(tmp_path: Path, mark: str):
    found = faults(tmp_path, f"board,stock\n{mark},1x4 8 ft\n")
    assert len(found) == 1
    assert "mark it otherwise" in found[0]


def test_boards_without_rows_or_without_bad_spans_are_noted(tmp_path: Path):
    assert any("lists no boards" in note for note in read(tmp_path, "board,stock,bad\n").notes)
    job = read(tmp_path, "board,stock\nA,1x4 8 ft\n")
    assert any("taken as clear" in note for note in job.notes)
