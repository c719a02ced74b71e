"""Tables as people save them: separators, encodings, workbooks, limits."""

from __future__ import annotations

import re
import time
import zipfile

import pandas as pd
import pytest

from cutopt.errors import InputError
from cutopt.model.job import CutoutKind, Kind
from cutopt.read import headers
from cutopt.read.files import MOST_BYTES, read_grids, text_rows
from cutopt.read.grid import Grid
from cutopt.read.job import read_job
from cutopt.read.table import understand
from cutopt.units import Units, inches, millimetres

PARTS = [
    ["part", "qty", "length", "width", "thickness", "material"],
    ["Side", 2, 720.5, 300, 18, "MDF"],
    ["Shelf", 3, 500, 290, 18, "mdf"],
]
STOCK = [
    ["stock", "kind", "material", "length", "width", "thickness", "price"],
    ["MDF 18", "sheet", "MDF", 2440, 1220, 18, 41.5],
]


def save_book(path, **sheets):
    engine = "odf" if path.suffix == ".ods" else "openpyxl"
    with pd.ExcelWriter(path, engine=engine) as book:
        for name, rows in sheets.items():
            pd.DataFrame(rows).to_excel(book, sheet_name=name, header=False, index=False)
    return path


@pytest.mark.parametrize("ending", ["xlsx", "ods"])
def test_a_workbook_is_a_whole_job(tmp_path, ending):
    path = save_book(
        tmp_path / f"cabinet.{ending}",
        Parts=PARTS,
        Stock=STOCK,
        Cutouts=[
            ["part", "kind", "length", "from left", "from front"],
            ["Shelf", "hole", 35, 20, 20],
        ],
        Extras=[["item", "qty", "pack", "price"], ["Shelf pins", 12, 4, 1.2]],
        Job=[["key", "value"], ["units", "mm"], ["name", "Cabinet"], ["store.free_cuts", 2]],
    )
    job = read_job(path)
    assert (job.name, job.units, job.store.free_cuts) == ("Cabinet", Units.MM, 2)
    assert [(part.name, part.qty, part.length) for part in job.parts] == [
        ("Side", 2, millimetres(720.5)),
        ("Shelf", 3, millimetres(500)),
    ]
    assert job.stock[0].price_cents == 4150
    assert job.parts[1].cutouts[0].kind is CutoutKind.HOLE
    assert job.extras[0].packs[0].price_cents == 120


@pytest.mark.parametrize("ending", ["xlsx", "ods"])
def test_a_bare_workbook_is_planned_on_the_starter_stock(tmp_path, ending):
    path = save_book(tmp_path / f"parts.{ending}", Sheet1=PARTS)
    job = read_job(path, units=Units.MM)
    assert {part.material.name for part in job.parts} == {"MDF"}
    assert all(stock.price_cents is None for stock in job.stock)


def test_a_job_file_may_name_a_workbook_for_its_tables(tmp_path):
    save_book(tmp_path / "book.xlsx", Parts=PARTS, Stock=STOCK)
    (tmp_path / "job.toml").write_text('units = "mm"\nparts = "book.xlsx"\nstock = "book.xlsx"\n')
    assert len(read_job(tmp_path).parts) == 2


def test_faults_in_a_workbook_name_the_sheet(tmp_path):
    rows = [*PARTS[:1], ["Side", 2, "72O", 300, 18, "MDF"]]
    path = save_book(tmp_path / "cabinet.xlsx", Parts=rows, Stock=STOCK)
    with pytest.raises(InputError) as caught:
        read_job(path, units=Units.MM)
    fault = caught.value.faults[0]
    assert (fault.file, fault.row, fault.column, fault.found) == (
        "cabinet.xlsx, sheet Parts", 2, "length", "72O",
    )  # fmt: skip


def test_a_length_the_spreadsheet_made_a_date_is_named_as_one(tmp_path):
    rows = [*PARTS[:1], ["Side", 2, pd.Timestamp("2024-03-08"), 300, 18, "MDF"]]
    path = save_book(tmp_path / "cabinet.xlsx", Parts=rows, Stock=STOCK)
    with pytest.raises(InputError, match="turned this length into a date"):
        read_job(path, units=Units.MM)


def test_a_formula_that_was_never_worked_out_is_named(tmp_path):
    rows = [*PARTS[:1], ["Side", 2, "=700+20", 300, 18, "MDF"]]
    path = save_book(tmp_path / "cabinet.xlsx", Parts=rows, Stock=STOCK, Notes=[["=1+1"]])
    with pytest.raises(InputError) as caught:
        read_job(path, units=Units.MM)
    (fault,) = caught.value.faults
    assert str(fault) == (
        "cabinet.xlsx, sheet Parts, row 2, column C: the formula has no stored value"
        ' (found "=700+20") - open and save the file in the spreadsheet'
    )


def test_a_formula_with_its_value_is_read_as_the_value(tmp_path):
    rows = [*PARTS[:1], ["Side", 2, "=700+20", 300, 18, "MDF"]]
    path = save_book(tmp_path / "cabinet.xlsx", Parts=rows, Stock=STOCK)
    with zipfile.ZipFile(path) as packed:
        held = {name: packed.read(name) for name in packed.namelist()}
    sheet = "xl/worksheets/sheet1.xml"
    held[sheet] = re.sub(rb"<f>700\+20</f><v ?/>", b"<f>700+20</f><v>720</v>", held[sheet])
    with zipfile.ZipFile(path, "w") as packed:
        for name, data in held.items():
            packed.writestr(name, data)
    assert read_job(path, units=Units.MM).parts[0].length == millimetres(720)


@pytest.mark.parametrize(
    "file", ["parts.csv", "Cut-List.csv", "bill of parts.csv", "cutlist 2.csv"]
)
def test_a_bare_table_whose_name_says_nothing_is_called_after_its_folder(tmp_path, file):
    folder = tmp_path / "Wall shelf"
    folder.mkdir()
    sized = "part,length,width,thickness,material\nA,20,9,3/4,plywood\n"
    for name in (file, "tool chest.csv"):
        (folder / name).write_text(sized)
    assert read_job(folder / file, units=Units.INCH).name == "Wall shelf"
    assert read_job(folder / "tool chest.csv", units=Units.INCH).name == "tool chest"


def test_a_broken_workbook_is_a_fault_not_a_crash(tmp_path):
    for name in ("parts.xlsx", "parts.ods"):
        path = tmp_path / name
        path.write_bytes(b"PK\x03\x04 not really")
        with pytest.raises(InputError, match="not a workbook that can be read"):
            read_job(path)


@pytest.mark.parametrize("separator", [",", ";", "\t", "|"])
@pytest.mark.parametrize("line_end", ["\n", "\r\n", "\r"])
@pytest.mark.parametrize(
    "encoding", ["utf-8", "utf-8-sig", "utf-16", "utf-16-le-bom", "utf-32", "cp1252"]
)
def test_separators_line_ends_and_encodings_read_alike(tmp_path, separator, line_end, encoding):
    rows = [["Part", "Qty.", "L", "W", "Thk", "Mat'l"], ["Tür", "2", "23½", "9¼", "¾", "plywood"]]
    text = line_end.join(separator.join(row) for row in rows) + line_end
    data = (
        b"\xff\xfe" + text.encode("utf-16-le")
        if encoding == "utf-16-le-bom"
        else text.encode(encoding)
    )
    path = tmp_path / "parts.csv"
    path.write_bytes(data)
    job = read_job(path, units=Units.INCH)
    (part,) = job.parts
    assert (part.name, part.qty, part.length, part.width) == (
        "Tür", 2, inches(23, 1, 2), inches(9, 1, 4),
    )  # fmt: skip
    assert any("Windows-1252" in note for note in job.notes) is (encoding == "cp1252")


def test_rows_are_numbered_as_a_spreadsheet_counts():
    text = 'part,note\n\nShelf,"two\nlines"\nDoor,\n'
    table = understand(Grid("p.csv", text_rows(text, "p.csv")), headers.PARTS)
    assert [(row.number, row.text("part")) for row in table.rows] == [(3, "Shelf"), (4, "Door")]


def test_a_file_over_20_mb_is_refused_unread(tmp_path):
    path = tmp_path / "parts.csv"
    with path.open("wb") as file:
        file.truncate(MOST_BYTES + 1)
    with pytest.raises(InputError, match="larger than 20 MB"):
        read_grids(path)


def test_more_than_100_000_rows_are_refused():
    with pytest.raises(InputError, match="more than 100,000 rows"):
        text_rows("part,qty\n" + "a,1\n" * 100_000, "p.csv")


def test_five_hundred_parts_are_read_in_a_moment(tmp_path):
    lines = ["part,qty,length,width,thickness,material"]
    lines += [
        f"Part {n},{n % 4 + 1},{10 + n % 70}-{n % 7 + 1}/8,{4 + n % 20},3/4,plywood"
        for n in range(500)
    ]
    path = tmp_path / "parts.csv"
    path.write_text("\n".join(lines))
    start = time.process_time()
    job = read_job(path, units=Units.INCH)
    assert time.process_time() - start < 3
    assert len(job.parts) == 500


@pytest.mark.parametrize(
    ("header", "means"),
    [
        ("Qty.", "qty"), ("QUANTITY", "qty"), ("Pcs", "qty"), ("#", "qty"), ("No. off", "qty"),
        ("L", "length"), ("Len.", "length"), ("Thk", "thickness"), ("Mat'l", "material"),
        ("Edge banding", "band"), ("Edging", "band"), ("Description", "part"),
        ("extra_length", "extra_length"), ("Extra Length", "extra_length"), ("Colour", None),
    ],
)  # fmt: skip
def test_headers_mean_what_the_trade_means(header, means):
    assert headers.meaning_of(header, headers.PARTS) == means


@pytest.mark.parametrize("known", [headers.PARTS, headers.STOCK, headers.CUTOUTS, headers.EXTRAS])
def test_every_column_is_known_by_its_own_name(known):
    assert [headers.meaning_of(name, known) for name in known.columns] == list(known.columns)


def test_a_header_that_would_mean_two_columns_is_refused_when_it_is_listed():
    with pytest.raises(ValueError, match="length and width"):
        headers.vocabulary({"length": ("long",), "width": ("Long",)})


@pytest.mark.parametrize(
    ("header", "order"),
    [
        ("T x W x L", ("thickness", "width", "length")),
        ("TxWxL", ("thickness", "width", "length")),
        ("L × W", ("length", "width")),
        ("Size (L x W x T)", ("length", "width", "thickness")),
        ("Length by Width", ("length", "width")),
        ("Dimensions L*W", ("length", "width")),
        ("Finished size: Thick. x Width x Length", ("thickness", "width", "length")),
        ("Dimensions (mm) L x W", ("length", "width")),
        ("Size LxWxT", ("length", "width", "thickness")),
        ("Size", None), ("L x L", None), ("Box x 2", None), ("Length", None),
    ],
)  # fmt: skip
def test_a_combined_header_names_its_order(header, order):
    assert headers.measures_in(header) == order


def test_an_exact_header_wins_over_a_vague_one():
    text = "No.,Part,Description,Qty,Length\n1,Shelf,oak veneer,2,30\n"
    table = understand(Grid("p.csv", text_rows(text, "p.csv")), headers.PARTS)
    (row,) = table.rows
    assert not table.faults
    assert (row.text("part"), row.text("qty")) == ("Shelf", "2")
    assert row.others == (("Description", "oak veneer"),)


def test_stock_kinds_of_the_starter_list(tmp_path):
    path = tmp_path / "parts.csv"
    path.write_text("part,length,material\nLeg,30,2x4\n")
    job = read_job(path, units=Units.INCH)
    assert {stock.kind for stock in job.stock} == {Kind.SHEET, Kind.BOARD}
    assert len({stock.name for stock in job.stock}) == len(job.stock)


@pytest.mark.parametrize(
    ("header", "bare", "units"),
    [
        ("Length (mm)", "Length", Units.MM),
        ("Width [in.]", "Width", Units.INCH),
        ("Thickness, mm", "Thickness", Units.MM),
        ('L (")', "L", Units.INCH),
        ("Fits in", "Fits in", None),
        ("Length (finished)", "Length (finished)", None),
    ],
)
def test_a_header_may_state_the_unit(header, bare, units):
    assert headers.without_unit(header) == (bare, units)
