"""Readers of the open sets of board instances; the data stays where it is.

Source: Falkenauer, "A hybrid grouping genetic algorithm for bin packing", 1996,
doi:10.1007/BF00226291; Scholl, Klein and Jürgens, "BISON", 1997,
doi:10.1016/S0305-0548(96)00082-2; Schwerin and Wäscher, "The bin-packing problem: a problem
generator and some numerical experiments with FFD packing and MTP", 1997,
doi:10.1111/j.1475-3995.1997.tb00093.x; Wäscher and Gau, "Heuristics for the integer
one-dimensional cutting stock problem", 1996, doi:10.1007/BF01539705; Belov and Scheithauer,
"A branch-and-cut-and-price algorithm", 2006, doi:10.1016/j.ejor.2004.08.036 (hard28).
"""

from __future__ import annotations

import zipfile
from collections import Counter
from collections.abc import Callable, Iterator

from benchmarks.cases import FOLDER, ORIENTED, Case, record
from benchmarks.made_up_boards import exact_boards, home_boards, large_boards
from cutopt.solve.params import Item, Problem, StockType
from cutopt.units import Ticks

_ONE_D = FOLDER / "one_d"
_NOTHING = Ticks(0)


def _case(of: str, group: str, name: str, room: int, parts: Counter[int]) -> Case:
    items = tuple(
        Item(str(size), Ticks(size), Ticks(1), qty) for size, qty in sorted(parts.items())
    )
    stock = StockType("board", Ticks(room), Ticks(1), 1)
    problem = Problem("boards", items, (stock,), _NOTHING, _NOTHING)
    return Case(of, group, name, ORIENTED, problem, *record(of, name, "1D"))


def falkenauer() -> Iterator[Case]:
    """Give 140 instances; tenths are made whole."""
    for number in range(1, 9):
        path = _ONE_D / "falkenauer" / f"binpack{number}.txt"
        if not path.is_file():
            continue
        words = iter(path.read_text(encoding="utf-8").split())
        for _ in range(int(next(words))):
            name, room, count = next(words), _tenths(next(words)), int(next(words))
            next(words)
            parts = Counter(_tenths(next(words)) for _ in range(count))
            kind = "triplets" if name.startswith("t") else "uniform"
            yield _case("falkenauer", f"{kind} {count}", f"Falkenauer_{name}", room, parts)


def _tenths(text: str) -> int:
    return round(float(text) * 10)


def scholl() -> Iterator[Case]:
    """Give 1210 instances."""
    for number in (1, 2, 3):
        with zipfile.ZipFile(_ONE_D / "scholl" / f"bin{number}data.zip") as folder:
            for file in sorted(folder.namelist()):
                _, room, *sizes = (int(word) for word in folder.read(file).split())
                name = file.removesuffix(".BPP")
                yield _case("scholl", f"bin{number}data", name, room, Counter(sizes))


def _blocks(folder: str, file: str) -> Iterator[tuple[str, int, Counter[int]]]:
    """Give name, room and parts of a file of blocks, each headed by a name in quotes."""
    text = (_ONE_D / folder / file).read_text(encoding="utf-8")
    names = text.split("'")
    for name, block in zip(names[1::2], names[2::2], strict=True):
        _, room, *pairs = (int(word) for word in block.split())
        parts: Counter[int] = Counter()
        for size, qty in zip(pairs[::2], pairs[1::2], strict=True):
            parts[size] += qty
        yield name.replace(" ", ""), room, parts


def schwerin() -> Iterator[Case]:
    """Give 200 instances."""
    for number in (1, 2):
        for name, room, parts in _blocks("schwerin", f"SCH_WAE{number}.BPP"):
            yield _case("schwerin", f"set {number}", f"Schwerin{number}_{name}", room, parts)


def waescher() -> Iterator[Case]:
    """Give the 17 instances of which a record is published."""
    blocks = list(_blocks("waescher", "WAE_GAU1.BPP"))
    named = Counter(name for name, _, _ in blocks)
    seen: Counter[str] = Counter()
    for name, room, parts in blocks:
        # Two instances of one name are told apart by a letter in the records.
        letter = "AB"[seen[name]] if named[name] > 1 else ""
        seen[name] += 1
        yield _case("waescher", "waescher", f"Waescher_{name}{letter}", room, parts)


def hard28() -> Iterator[Case]:
    """Give 28 instances whose bound by mixtures is one short of what is needed, or seems so."""
    for name, room, parts in _blocks("hard28", "hard28"):
        yield _case("hard28", "hard28", f"Hard28_{name}", room, parts)


SETS: dict[str, Callable[[], Iterator[Case]]] = {
    "falkenauer": falkenauer,
    "scholl": scholl,
    "schwerin": schwerin,
    "waescher": waescher,
    "hard28": hard28,
    "home": home_boards,
    "exact": exact_boards,
    "large": large_boards,
}
MADE_UP = ("home", "exact", "large")
