"""Rules of the bill of parts and the stock list, each against the formats page."""

from __future__ import annotations

import pytest

from cutopt.errors import CannotPlanError, InputError
from cutopt.model.job import Grain, Kind
from cutopt.read.cells import ValueFault, one_of
from cutopt.read.job import read_job
from cutopt.units import Units, inches, millimetres

PARTS = "part,qty,length,width,thickness,material,grain,handed,band\n"
STOCK = "stock,kind,material,length,width,thickness,section,price,owned,available,rip,band\n"


@pytest.fixture
def read(tmp_path):
    def read_tables(parts, stock, units=Units.MM):
        (tmp_path / "job.toml").write_text(f'units = "{units}"\n')
        (tmp_path / "parts.csv").write_text(PARTS + parts)
        (tmp_path / "stock.csv").write_text(STOCK + stock)
        return read_job(tmp_path)

    return read_tables


PLY = "Ply,sheet,ply,2440,1220,18,,40,,,,\n"


def test_rows_that_differ_in_qty_only_are_one_part(read):
    job = read(
        "A,2,700,300,18,ply,,,\nB,1,700,300,18,ply,,,\nA,,700,300,18,ply,,,\nA,1,701,300,18,ply,,,\n",
        PLY,
    )
    assert [(p.id, p.name, p.qty, p.row) for p in job.parts] == [
        ("P1", "A", 3, 2), ("P2", "B", 1, 3), ("P3", "A", 1, 5),
    ]  # fmt: skip


@pytest.mark.parametrize(
    ("asked", "noted"), [("18", False), ("18.1", False), ("18.2", True), ("19", True), ("17", True)]
)
def test_thickness_within_a_millimetre_is_taken_and_over_a_tenth_is_noted(read, asked, noted):
    job = read(f"A,1,700,300,{asked},ply,,,\n", PLY)
    assert job.parts[0].thickness == millimetres(18)
    assert bool(job.notes) is noted


@pytest.mark.parametrize("asked", ["16.9", "19.1"])
def test_thickness_over_a_millimetre_off_is_a_fault(read, asked):
    with pytest.raises(InputError, match="does not come in this thickness"):
        read(f"A,1,700,300,{asked},ply,,,\n", PLY)


def test_the_only_material_need_not_be_named(read):
    assert read("A,1,700,300,,,,,\n", PLY).parts[0].material.name == "ply"


def test_a_material_called_like_a_section_wins_over_the_section(read):
    job = read(
        "A,1,700,,,2x4,,,\n",
        "Stud,board,spruce,2440,,,2x4,4,,,,\nMine,board,2x4,2400,90,45,,5,,,,\n",
    )
    assert job.parts[0].material.name == "2x4"


def test_dressed_sizes_stand_for_a_section(read):
    """A 2x4 is 1-1/2 x 3-1/2 in dry: PS 20 Table 3."""
    job = read("A,1,30,,,2x4,,,\n", "Stud,board,spruce,96,,,2x4,4,,,,\n", Units.INCH)
    (part,) = job.parts
    assert (part.thickness, part.width) == (inches(1, 1, 2), inches(3, 1, 2))
    assert part.material.section == "2x4"


def test_boards_by_size_and_by_section_are_one_material(read):
    job = read(
        "A,1,30,,,pine,,,\n",
        "One,board,pine,96,3-1/2,3/4,,4,,,,\nTwo,board,Pine,120,,,1x4,6,,,,\n",
        Units.INCH,
    )
    assert job.stock[0].material == job.stock[1].material == job.parts[0].material


def test_owned_rows_cost_nothing_and_are_one_unless_said(read):
    job = read(
        "A,1,700,300,18,ply,,,\n",
        PLY + "Mine,sheet,ply,900,400,18,,,yes,,,\nOurs,sheet,ply,900,300,18,,,yes,3,,\n",
    )
    assert [(s.price_cents, s.available) for s in job.stock] == [(4000, None), (0, 1), (0, 3)]


def test_a_whole_material_may_be_without_prices(read):
    job = read("A,1,700,300,18,ply,,,\n", PLY.replace("40", ""))
    assert job.stock[0].price_cents is None


def test_grain_defaults_are_none_for_sheets_and_length_for_boards(read):
    job = read("A,1,700,300,18,ply,,,\n", PLY + "L,board,oak,2400,100,20,,9,,,,\n")
    assert [(s.kind, s.grain) for s in job.stock] == [
        (Kind.SHEET, Grain.NONE), (Kind.BOARD, Grain.LENGTH),
    ]  # fmt: skip


def test_one_band_thickness_goes_to_every_row_of_the_material(read):
    job = read("A,1,700,300,18,ply,,,front\n", PLY + "Half,sheet,ply,1220,1220,18,,22,,,,0.5\n")
    assert [s.band for s in job.stock] == [millimetres(0.5)] * 2
    assert job.parts[0].blank_width == millimetres(299.5)


def test_a_board_part_takes_its_boards_width_within_a_millimetre(read):
    job = read("A,1,700,89,38,spruce,,,\n", "Stud,board,spruce,2440,,,2x4,4,,,,\n")
    assert job.parts[0].blank_width == inches(3, 1, 2)


def test_a_narrower_part_needs_a_board_that_may_be_ripped(read):
    stock = "Wide,board,oak,2400,140,20,,9,,,{},\n"
    job = read("A,1,700,60,20,oak,,,\n", stock.format("yes"))
    assert job.parts[0].blank_width == millimetres(60)
    with pytest.raises(CannotPlanError, match="no oak board is this wide"):
        read("A,1,700,60,20,oak,,,\n", stock.format(""))


def test_a_nominal_size_given_as_actual_is_explained(read):
    with pytest.raises(InputError, match='write "2x4" under material'):
        read("A,1,30,4,2,spruce,,,\n", "Stud,board,spruce,96,,,2x4,4,,,,\n", Units.INCH)


@pytest.mark.parametrize(
    ("row", "asks"),
    [
        ("A,2,700,300,18,ply,,,front", False),  # the handed column is there and says no
        ("A,3,700,300,18,ply,,yes,front", True),
    ],
)
def test_pairs(read, row, asks):
    job = read(row + "\n", PLY.replace(",,,,\n", ",,,,1\n"))
    assert any("pair" in note for note in job.notes) is asks


def test_a_note_asks_where_pairs_are_likely(tmp_path):
    (tmp_path / "job.toml").write_text('units = "mm"\n')
    (tmp_path / "stock.csv").write_text(STOCK + PLY.replace(",,,,\n", ",,,,1\n"))
    header = "part,qty,length,width,thickness,material,band\n"
    (tmp_path / "parts.csv").write_text(
        header
        + "Side,2,700,300,18,ply,front\nTop,1,700,300,18,ply,front\nLid,2,700,300,18,ply,all\n"
    )
    assert read_job(tmp_path).notes == (
        'do "Side" come in left and right pairs? A column handed with yes or no says so',
    )


@pytest.mark.parametrize("word", ["", "slats"])
def test_a_note_says_that_matched_board_parts_are_kept_together_by_hand(tmp_path, word):
    (tmp_path / "job.toml").write_text('units = "mm"\n')
    (tmp_path / "stock.csv").write_text(
        "stock,kind,material,length,width,thickness,price\noak,board,oak,2400,90,20,9\n"
    )
    (tmp_path / "parts.csv").write_text(f"part,qty,length,material,match\nSlat,4,396,oak,{word}\n")
    said = '"Slat": board parts marked match are cut like any others; keep them together by hand'
    assert read_job(tmp_path).notes == ((said,) if word else ())


def test_metric_stock_of_an_inch_job_is_told_in_millimetres(read):
    with pytest.raises(InputError, match="it comes in 18 mm") as caught:
        read("A,1,20,9,1/2,ply,,,\n", PLY.replace(",18,", ",18 mm,"), Units.INCH)
    assert "45/64" not in str(caught.value)


def test_only_words_that_are_listed_as_known_are_suggested():
    words = {"length": 1, "none": 0, "yes": 1}  # yes is understood, not recommended
    with pytest.raises(ValueFault) as caught:
        one_of("maybe", words, ("length", "none"))
    assert caught.value.help == "known are length, none"
    with pytest.raises(ValueFault, match="not known") as caught:
        one_of("lenght", words, ("length", "none"))
    assert caught.value.help.startswith('did you mean "length"?')


def test_widths_no_board_has_are_told_with_all_else_that_is_wrong(read):
    stock = "b,board,pine,2400,95,19,,9,,,,\nc,board,pine,2400,145,19,,9,,,,\n"
    with pytest.raises(InputError) as caught:
        read("A,1,700,,,pine,,,\nB,1,700,100,,pine,,,\n", stock)
    assert [fault.row for fault in caught.value.faults] == [2, 3]
    with pytest.raises(CannotPlanError):
        read("B,1,700,100,,pine,,,\n", stock)
