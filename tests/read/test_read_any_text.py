"""Whatever is in the files, the answer is a job or faults with words: never a crash."""

from __future__ import annotations

import contextlib

from hypothesis import given, settings
from hypothesis import strategies as st

from cutopt.errors import CutoptError
from cutopt.read.job import read_job
from cutopt.units import Units

cells = st.one_of(
    st.sampled_from(
        ["", "4", "0", "23-1/2", '3/4"', "18", "1200,5", "2x4", "1x4", "pine", "ply",
         "length", "all", "front", "yes", "sheet", "board", "3/4 x 9 x 30", "part", "Qty", "L x W",
         "Size", "Material", "T", "1e3", "MDF"]
    ),
    st.text(max_size=8),
)  # fmt: skip
rows = st.lists(st.lists(cells, max_size=7), max_size=5)
STUDS = "stock,kind,material,length,section\nStud,board,pine,8',2x4\n"
PARTS_HEADER = ["part", "qty", "length", "width", "thickness", "material", "band"]
STOCK_HEADER = ["stock", "kind", "material", "length", "width", "thickness", "section", "price"]


def text_of(header, body, separator=","):
    return "\n".join(separator.join(row) for row in [header, *body])


@settings(max_examples=100)
@given(rows, rows, st.sampled_from([Units.INCH, Units.MM, None]), st.booleans())
def test_any_tables(tmp_path, parts, stock, units, with_headers):
    (tmp_path / "job.toml").write_text("")
    parts_text = text_of(PARTS_HEADER if with_headers else [], parts)
    (tmp_path / "parts.csv").write_text(parts_text, encoding="utf-8", errors="replace")
    (tmp_path / "stock.csv").write_text(
        text_of(STOCK_HEADER, stock), encoding="utf-8", errors="replace"
    )
    with contextlib.suppress(CutoptError):
        job = read_job(tmp_path, units=units)
        assert all(part.blank_length > 0 and part.blank_width > 0 for part in job.parts)


@settings(max_examples=100)
@given(
    st.binary(max_size=200), st.sampled_from(["parts.csv", "parts.txt", "parts.xlsx", "job.toml"])
)
def test_any_bytes(tmp_path, data, name):
    path = tmp_path / name
    path.write_bytes(data)
    with contextlib.suppress(CutoptError):
        read_job(path, units=Units.MM)


keys = st.sampled_from(
    ["name", "units", "budget", "currency", "parts", "store.kerf", "store", "store.rough",
     "shop.saws", "shop.saws.1.kind", "shop.saws.2.kind", "shop.smallest_offcut", "carry.length",
     "favour", "x.y.z", "", "."]
)  # fmt: skip


@settings(max_examples=100)
@given(st.dictionaries(keys, cells, max_size=4))
def test_any_changed_settings(tmp_path, changes):
    (tmp_path / "job.toml").write_text('units = "inch"\n[[shop.saws]]\nkind = "table saw"\n')
    (tmp_path / "parts.csv").write_text("part,length,material\nLeg,30,2x4\n")
    (tmp_path / "stock.csv").write_text(STUDS)
    with contextlib.suppress(CutoptError):
        read_job(tmp_path, overrides=changes)


values = st.recursive(
    st.one_of(st.booleans(), st.integers(), st.text(alphabet="ab12 /x\u0001", max_size=6)),
    lambda inner: st.lists(inner, max_size=3),
    max_leaves=4,
)


def toml_value(value):
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, list):
        return f"[{', '.join(toml_value(inner) for inner in value)}]"
    return "'" + value.replace("\u0001", "") + "'" if isinstance(value, str) else str(value)


@settings(max_examples=100)
@given(st.dictionaries(keys.filter(lambda key: key.strip(".")), values, max_size=4))
def test_any_settings(tmp_path, held):
    lines = [f"{key} = {toml_value(value)}" for key, value in held.items() if not key[-1].isdigit()]
    (tmp_path / "job.toml").write_text("\n".join(lines), encoding="utf-8")
    (tmp_path / "parts.csv").write_text("part,length,material\nLeg,30 in,2x4\n")
    (tmp_path / "stock.csv").write_text(STUDS)
    with contextlib.suppress(CutoptError):
        read_job(tmp_path)
