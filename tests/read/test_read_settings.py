"""Settings of a job against the formats page, and money as people write it."""

from __future__ import annotations

import pytest

from cutopt.errors import InputError
from cutopt.model.job import Budget, Carry, Favour, SawKind, Shop, Store
from cutopt.read.cells import ValueFault, cents_of, count_of
from cutopt.read.job import read_job
from cutopt.units import Ticks, Units, inches, millimetres

TABLES = {
    "parts.csv": "part,length,width,thickness,material\nShelf,30 in,9 in,3/4 in,ply\n",
    "stock.csv": "stock,kind,material,length,width,thickness\nPly,sheet,ply,96 in,48 in,3/4 in\n",
}


@pytest.fixture
def read(tmp_path):
    def read_settings(text, **arguments):
        for name, table in TABLES.items():
            (tmp_path / name).write_text(table)
        (tmp_path / "job.toml").write_text(text, encoding="utf-8")
        return read_job(tmp_path, **arguments)

    return read_settings


WHOLE = """
name = "Mudroom locker"
units = "inch"
budget = [150, 180]
currency = "USD"
parts = "parts.csv"
stock = "stock.csv"
favour = "work"

[store]
kerf = '3/16"'
accuracy = '1/16"'
free_cuts = 2
fee_per_cut = 0.50
most_cuts = 10
smallest_piece = '12"'
rough = true
allowance = '1/4"'
crosscuts_boards = true

[carry]
boards = "10 ft"
length = "5ft 6in"
width = "40 in"

[shop]
kerf = '3/32"'
smallest_offcut = ['4"', '12"']

[[shop.saws]]
name = "old faithful"
kind = "table saw"
kerf = '1/8"'
rip_capacity = '24"'

[[shop.saws]]
kind = "mitre saw"
crosscut_capacity = '10"'

[[shop.saws]]
kind = "track saw"
cut_length = "52 in"
"""


def test_every_setting(read):
    job = read(WHOLE)
    assert job.budget == Budget(15000, 18000)
    assert job.favour is Favour.WORK
    assert job.store == Store(
        kerf=inches(0, 3, 16),
        accuracy=inches(0, 1, 16),
        free_cuts=2,
        fee_per_cut_cents=50,
        most_cuts=10,
        smallest_piece=inches(12),
        rough=True,
        allowance=inches(0, 1, 4),
        crosscuts_boards=True,
    )
    assert job.carry == Carry(inches(66), inches(40), inches(120))
    # In the order given: of boards at full width the first measure alone counts.
    assert (job.shop.kerf, job.shop.smallest_offcut) == (inches(0, 3, 32), (inches(4), inches(12)))
    table, mitre, track = job.shop.saws
    assert (table.name, table.kerf, table.rip_capacity) == (
        "old faithful", inches(0, 1, 8), inches(24),
    )  # fmt: skip
    assert (mitre.name, mitre.kind, mitre.kerf) == ("mitre saw", SawKind.MITRE, job.shop.kerf)
    assert track.cut_length == inches(52)


@pytest.mark.parametrize(
    ("units", "kerf", "keeps"),
    [
        ("inch", inches(0, 1, 8), (inches(12), inches(4))),
        ("mm", millimetres(3.2), (millimetres(300), millimetres(100))),
    ],
)
def test_defaults_of_the_formats_page(read, units, kerf, keeps):
    job = read(f'units = "{units}"\n[store]\n')
    assert job.shop == Shop(kerf, keeps, ())
    assert job.store == Store(kerf=kerf, allowance=kerf)
    assert (job.currency, job.favour, job.budget, job.carry) == ("USD", Favour.OFFCUTS, None, None)


def test_no_tables_of_settings_at_all(read):
    job = read("")
    assert job.store is None
    assert job.units is Units.INCH  # nothing metric in the bill of parts


def test_a_kerf_may_be_zero(read):
    assert read("[shop]\nkerf = 0\n", units=Units.INCH).shop.kerf == Ticks(0)


def test_each_key_of_the_car_is_enough_alone(read):
    assert read('[carry]\nboards = "8ft"\n').carry == Carry(boards=inches(96))


def test_changes_for_one_run(read):
    job = read(
        WHOLE,
        overrides={
            "store.free_cuts": "4",
            "budget": "[100, 120]",
            "shop.smallest_offcut": '10" x 5"',
            "shop.saws.2.kerf": "2 mm",
            "shop.saws.4.kind": "band saw",
            "store.rough": "no",
        },
    )
    assert job.store.free_cuts == 4
    assert not job.store.rough
    assert job.budget == Budget(10000, 12000)
    assert job.shop.smallest_offcut == (inches(10), inches(5))
    assert job.shop.saws[1].kerf == millimetres(2)
    assert job.shop.saws[3].kind is SawKind.BAND


@pytest.mark.parametrize("text", ['"95 %"', "'95 %'", "95 %", "0.95", "95%", '"0.95"'])
def test_a_chance_is_changed_as_the_file_writes_it(read, text):
    assert read("", units=Units.INCH, overrides={"confidence": text}).confidence == 0.95


def test_inch_marks_at_the_end_of_a_change_stay(read):
    job = read("", units=Units.INCH, overrides={"shop.kerf": '3/32"', "name": '"12" rack"'})
    assert job.shop.kerf == inches(0, 3, 32)
    assert job.name == '"12" rack"'


def test_a_file_keeps_its_settings_after_a_changed_run(read):
    changed = read(WHOLE, overrides={"store.free_cuts": "4"})
    assert (changed.store.free_cuts, read(WHOLE).store.free_cuts) == (4, 2)


@pytest.mark.parametrize(
    ("text", "line", "says"),
    [
        ('name = "a"\nunits = "inches?"', 2, "units are not known"),
        ("[store]\nkerf = '1/8\"'\nfree_cuts = -1", 3, "not a whole number"),
        ("[store]\nfree_cuts = 2.5", 2, "not a whole number"),
        ("[[shop.saws]]\nkind = 'table saw'\n[[shop.saws]]\nkind = 'mitre'", 4, "mitre saw"),
        ("[[shop.saws]]\nkind = 'table saw'\n[[shop.saws]]\nkind = 'table saw'", 3, "one name"),
        ("[[shop.saws]]\nkerf = 2", 1, "needs a kind"),
        ("[shop]\nsmallest_offcut = '12 in'", 2, "two measures"),
        ("budget = [180, 150]", 1, "the first amount is the larger"),
        ("budget = [1, 2, 3]", 1, "one amount or two"),
        ("budget = -5", 1, "cannot be negative"),
        ("currency = 'dollars'", 1, "three letters"),
        ("favour = 'offcut'", 1, 'did you mean "offcuts"?'),
        ("rough = true", 1, "did you mean store.rough?"),
        ("[stor]\nkerf = 1", 1, "did you mean store?"),
        ("store = 3", 1, "a table of settings"),
        ("[store]\nrough = 'perhaps'", 2, "yes or no"),
        ("[carry]\nlength = 0", 2, "0 is not a length here"),
        ("[store]\nrough = true\naccuracy = '1/4\"'", 3, "allowance"),
    ],
)
def test_faults_name_their_line(read, text, line, says):
    with pytest.raises(InputError) as caught:
        read(text, units=Units.INCH)
    faults = [fault for fault in caught.value.faults if fault.file == "job.toml"]
    assert says in str(faults[0])
    assert faults[0].row == line


@pytest.mark.parametrize("text", ['budget = "x"', 'budget = "plenty"', "budget = true"])
def test_one_wrong_amount_is_one_fault_with_what_was_found(read, text):
    with pytest.raises(InputError) as caught:
        read(text, units=Units.INCH)
    (fault,) = (fault for fault in caught.value.faults if fault.file == "job.toml")
    assert fault.found.casefold() == text.split(" = ")[1].strip('"')


@pytest.mark.parametrize("text", ["12in x 4in", '12" x 4"', "12 × 4", "12x4", '12", 4"'])
def test_two_measures_in_one_text(read, text):
    job = read(f"[shop]\nsmallest_offcut = '{text}'", units=Units.INCH)
    assert job.shop.smallest_offcut == (inches(12), inches(4))


def test_a_capacity_of_another_saw_is_noted(read):
    job = read("[[shop.saws]]\nkind = 'mitre saw'\nrip_capacity = '30\"'\n")
    assert job.notes == ("rip_capacity is not used for a mitre saw",)


@pytest.mark.parametrize("outside", [True, False])
def test_files_outside_the_folder_only_where_allowed(tmp_path, outside):
    (tmp_path / "stock.csv").write_text(TABLES["stock.csv"])
    folder = tmp_path / "job"
    folder.mkdir()
    (folder / "parts.csv").write_text(TABLES["parts.csv"])
    (folder / "job.toml").write_text('stock = "../stock.csv"\n')
    if outside:
        assert read_job(folder, outside=True).stock[0].name == "Ply"
    else:
        with pytest.raises(InputError, match="outside the job's folder"):
            read_job(folder)


@pytest.mark.parametrize(
    ("text", "cents"),
    [
        ("62", 6200), ("62.5", 6250), ("$62.50", 6250), ("62,50", 6250), ("1,062.50", 106250),
        ("USD 62", 6200), (".99", 99), ("0", 0), ("62.00", 6200),
    ],
)  # fmt: skip
def test_money(text, cents):
    assert cents_of(text, "USD") == cents


@pytest.mark.parametrize(
    "text", ["", "1,062", "1.062", "-1", "€62", "62.505", "1e3", "sixty", "9" * 30]
)
def test_what_is_no_amount_of_money(text):
    with pytest.raises(ValueFault):
        cents_of(text, "USD")


@pytest.mark.parametrize("text", ["4", "4.0", "x4", "4x", "4 pcs", "(4)", "4 ea.", "４"])
def test_four_pieces(text):
    assert count_of(text) == 4


@pytest.mark.parametrize("text", ["0", "-4", "4.5", "four", "", "1e3", "999999999999"])
def test_what_is_no_count(text):
    with pytest.raises(ValueFault):
        count_of(text)
