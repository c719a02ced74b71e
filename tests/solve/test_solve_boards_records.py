"""Published one-dimensional instances: no fewer boards than the record, seldom more.

The sets (Falkenauer 1996; Scholl, Klein and Jürgens 1997; Schwerin and Wäscher 1997) are
not part of the project; CUTOPT_BENCHMARKS names their folder. Records: BPPLIB.
"""

from __future__ import annotations

import csv
import os
import zipfile
from collections import Counter
from collections.abc import Iterator
from pathlib import Path

import pytest

from cutopt.solve.boards import plan_boards
from cutopt.solve.params import Item, Problem, Search, StockType, Unwatched

FOLDER = Path(
    os.environ.get("CUTOPT_BENCHMARKS", Path(__file__).parents[3] / "shared" / "benchmarks")
)
pytestmark = pytest.mark.skipif(
    not (FOLDER / "one_d").is_dir(), reason=f"no benchmark sets in {FOLDER}"
)


def least_boards(room: int, parts: Counter[int], effort: int = 1) -> tuple[int, int]:
    """Boards used and the bound."""
    answer = plan_boards(
        Problem(
            "bins",
            tuple(Item(str(size), size, 1, qty) for size, qty in parts.items()),
            (StockType("bin", room, 1, 1),),
            0,
            0,
        ),
        Search(effort),
        Unwatched(),
    )
    return answer.cost, answer.lower_bound


def records(name: str) -> dict[str, tuple[int, int]]:
    with (FOLDER / "best_known.csv").open(newline="", encoding="utf-8") as file:
        return {
            row["instance"]: (int(row["lower_bound"]), int(row["best_known"]))
            for row in csv.DictReader(file)
            if row["set"] == name
        }


def falkenauer(number: int) -> Iterator[tuple[str, int, Counter[int], int]]:
    """Instances of one file: name, room, parts, best known; tenths are made whole."""
    words = iter((FOLDER / "one_d" / "falkenauer" / f"binpack{number}.txt").read_text().split())
    for _ in range(int(next(words))):
        name, room, count = next(words), round(float(next(words)) * 10), int(next(words))
        best = int(next(words))
        yield name, room, Counter(round(float(next(words)) * 10) for _ in range(count)), best


@pytest.mark.parametrize("number", [2, 3, 5, 6])
def test_falkenauer(number):
    for name, room, parts, best in list(falkenauer(number))[:2]:
        assert least_boards(room, parts) == (best, best), name


def test_schwerin():
    known = records("schwerin")
    text = (FOLDER / "one_d" / "schwerin" / "SCH_WAE1.BPP").read_text()
    blocks = text.split("'BPP")[1:]
    for block in blocks[::25]:
        number, _, room, *pairs = (int(word) for word in block.replace("'", " ").split())
        sizes: Counter[int] = Counter()
        for size, qty in zip(pairs[::2], pairs[1::2], strict=True):
            sizes[size] += qty
        assert least_boards(room, sizes) == known[f"Schwerin1_BPP{number}"], number


def test_waescher_and_gau_where_hardly_any_length_is_over():
    known = records("waescher")
    text = (FOLDER / "one_d" / "waescher" / "WAE_GAU1.BPP").read_text()
    for name in ("TEST0005", "TEST0058"):
        room, *pairs = map(int, text.split(f"'{name}")[1].split("'")[1].split()[1:])
        sizes: Counter[int] = Counter()
        for size, qty in zip(pairs[::2], pairs[1::2], strict=True):
            sizes[size] += qty
        assert least_boards(room, sizes) == known[f"Waescher_{name}"], name


@pytest.mark.parametrize(("archive", "step"), [(1, 120), (2, 80)])
def test_scholl(archive, step):
    known = records("scholl")
    with zipfile.ZipFile(FOLDER / "one_d" / "scholl" / f"bin{archive}data.zip") as files:
        names = sorted(name for name in files.namelist() if name.endswith(".BPP"))
        for name in names[::step]:
            _, room, *sizes = (int(word) for word in files.read(name).split())
            assert least_boards(room, Counter(sizes)) == known[name.removesuffix(".BPP")], name


@pytest.mark.slow
def test_hard28_is_at_most_one_board_over_and_seldom_so():
    known = records("hard28")
    text = (FOLDER / "one_d" / "hard28" / "hard28").read_text()
    over = 0
    names = text.split("'")
    for name, block in zip(names[1::2], names[2::2], strict=True):
        _, room, *pairs = (int(word) for word in block.split())
        sizes: Counter[int] = Counter()
        for size, qty in zip(pairs[::2], pairs[1::2], strict=True):
            sizes[size] += qty
        boards, bound = least_boards(room, sizes)
        _, best = known[f"Hard28_{name.replace(' ', '')}"]
        assert bound <= best <= boards <= best + 1, name
        over += boards - best
    assert over <= 4


@pytest.mark.slow
def test_scholl_hard():
    known = records("scholl")
    with zipfile.ZipFile(FOLDER / "one_d" / "scholl" / "bin3data.zip") as files:
        for name in sorted(files.namelist()):
            _, room, *sizes = (int(word) for word in files.read(name).split())
            boards, bound = least_boards(room, Counter(sizes))
            _, best = known[name.removesuffix(".BPP")]
            assert bound <= best <= boards <= best + 1, name
