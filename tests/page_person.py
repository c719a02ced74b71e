"""A person who has only the printed pages: reads their words, and saws what they say.

Nothing here knows of plans. Pages are read as ``pdftotext -layout`` gives them; what a person
brings along is eyes, a tape, and a store saw whose blade takes what it takes.
"""

from __future__ import annotations

import re
import subprocess
from collections.abc import Iterator
from dataclasses import dataclass, field
from fractions import Fraction
from pathlib import Path

LENGTH = r"\d+[ -]\d+/\d+|\d+/\d+|\d+(?:\.\d+)?"
SIZE = rf"({LENGTH})(?: mm|\")? × ({LENGTH})(?: mm|\")?"
SHEET = re.compile(r"^ *((?:[SG]\d+(?:-[SG]\d+)?,? ?)+) +\S")
STORE_TITLE = re.compile(r"^ *((?:[SG]\d+(?:-[SG]\d+)?,? ?)+) *Store cuts")
STORE_CUT = re.compile(rf"(Rip|Crosscut) ({LENGTH})(?: mm|\")\s*(.*)$")
STORE_WHERE = re.compile(
    r"(?:the whole sheet|piece ([A-Z]+)), from its "
    r"(left end|right end|bottom edge|top edge)\s*(.*)$"
)
AGAIN = re.compile(r"([A-Z]+)\s+is cut again")
READY = re.compile(rf"([A-Z]+)\s+{SIZE}")
KERF = re.compile(rf"kerf ({LENGTH})")
SETTING = re.compile(rf"^ *\d+ +({LENGTH})(?: mm|\") ")
HOME_CUT = re.compile(
    rf"(?P<source>[SGL]\d\S*(?: [SGL]\d\S*)*(?: +[A-Z]\S*)?) +(?P<action>rip|crosscut|trim)"
    rf" of (?P<whole>{LENGTH})(?: mm|\")? +(?P<result>\S.*?)  +cuts? (?P<cuts>\d[\d, -]*\d|\d)"
)
BESIDE = re.compile(r" {20,}(?:\S.* )?cuts? [\d, -]+$")
MEASURE = re.compile(rf"the other side must come out ({LENGTH})")
STOP_GROUP = re.compile(rf"(?<!\S)([a-z]{{1,2}}) *({LENGTH})(?: mm|\") +(\S+(?: \S+)*)")
BOARD = re.compile(r"^ *(L\d+(?:[ -]+L\d+)*)  +(\S.*)$")


class NotToldError(AssertionError):
    """The pages do not say what a person needs to know."""


def text_of(pdf: Path) -> list[str]:
    """Give the lines of a document that hold words."""
    said = subprocess.run(
        ["pdftotext", "-layout", str(pdf), "-"], check=True, capture_output=True, text=True
    ).stdout
    return [line for line in said.replace("\f", "\n").splitlines() if line.strip()]


def measure(text: str) -> Fraction:
    """Give a printed measure as a number."""
    return sum((Fraction(word) for word in re.split("[ -]", text)), Fraction(0))


def ids_of(text: str) -> tuple[str, ...]:
    """Give the sheets that "S1 S4" or "S1-S3" names."""
    found: list[str] = []
    for word in re.findall(r"[SGL]\d+(?:-[SGL]\d+)?", text):
        first, _, last = word.partition("-")
        end = last[1:] or first[1:]
        found += [f"{first[0]}{number}" for number in range(int(first[1:]), int(end) + 1)]
    return tuple(found)


@dataclass
class Person:
    """What lies in front of one who saws by the pages.

    Attributes:
        near: how near two measures are that the pages print alike.
        store_kerf: what the store's blade takes; the store's business, not the page's.
        pieces: (length, width) of each piece by sheet and letters.
    """

    near: Fraction
    store_kerf: Fraction
    pieces: dict[tuple[str, str], tuple[Fraction, Fraction]] = field(default_factory=dict)
    sheets: dict[str, tuple[Fraction, Fraction]] = field(default_factory=dict)
    parts: list[tuple[str, Fraction, Fraction]] = field(default_factory=list)

    def at_the_store(self, lines: list[str]) -> None:
        """Make every cut of store.pdf, and hold what comes of it against what is printed."""
        ids: tuple[str, ...] = ()
        whole: tuple[Fraction, Fraction] | None = None
        for number, line in enumerate(lines):
            title = STORE_TITLE.match(line)
            if title:
                ids, whole = ids_of(title[1]), None
            elif whole is None and ids and (size := re.search(SIZE, line)):
                whole = measure(size[1]), measure(size[2])
            if alike := re.search(r"\d+ alike: (S\d+) to S(\d+)", line):
                ids = ids_of(f"{alike[1]}-S{alike[2]}")
            cut = STORE_CUT.search(line)
            if cut is None:
                continue
            where = next(
                filter(None, map(STORE_WHERE.search, lines[number + 1 : number + 3])), None
            )
            if where is None or whole is None:
                raise NotToldError(line)
            self._store_cut(ids, whole, cut, where, f"{cut[3]}  {where[3]}")

    def _store_cut(
        self,
        ids: tuple[str, ...],
        whole: tuple[Fraction, Fraction],
        cut: re.Match[str],
        where: re.Match[str],
        results: str,
    ) -> None:
        sides = {m[1]: None for m in AGAIN.finditer(results)} | {
            m[1]: (measure(m[2]), measure(m[3])) for m in READY.finditer(results)
        }
        ordered = sorted(sides, key=lambda letters: results.index(f"{letters} "))
        if "waste" in results:
            ordered.insert(0 if results.index("waste") < results.index(ordered[0]) else 1, "")
        for sheet in ids:
            length, width = self.pieces.pop((sheet, where[1])) if where[1] else whole
            across = 0 if cut[1] == "Crosscut" else 1
            setting = measure(cut[2])
            rest = (length, width)[across] - setting - self.store_kerf
            measured = [setting, rest]
            if where[2] in {"right end", "top edge"}:
                measured.reverse()
            for letters, side in zip(ordered, measured, strict=False):
                if not letters:
                    continue
                came = (side, width) if across == 0 else (length, side)
                printed = sides[letters]
                # Sizes of results are rounded; the tape tells the rest.
                if printed and not all(
                    abs(a - b) <= self.near * 8 for a, b in zip(printed, came, strict=True)
                ):
                    raise NotToldError(f"{sheet} {letters}: {printed} is printed, {came} came")
                self.pieces[sheet, letters] = came

    def at_home(self, lines: list[str]) -> None:
        """Make every cut of the set-ups, then those of the boards."""
        ids: tuple[str, ...] = ()
        for line in _of_pages(lines, "shop sheet"):
            if sheet := SHEET.match(line):
                ids = ids_of(sheet[1])
            if ids and (size := re.search(rf"{SIZE} .*kerf|{SIZE} *$", line)):
                sides = [measure(side) for side in size.groups() if side]
                self.sheets |= dict.fromkeys(ids, (sides[0], sides[1]))
                ids = ()
        kerf = setting = Fraction(0)
        setups = list(_of_pages(lines, "set-ups"))
        for number, line in enumerate(setups):
            if found := KERF.search(line):
                kerf = measure(found[1])
            if found := SETTING.match(line):
                setting = measure(found[1])
            # What stands at the right of a row may be read after the words under it.
            beside = [
                below
                for below in setups[number + 1 : number + 3]
                if BESIDE.match(below) and not HOME_CUT.search(below)
            ]
            if cut := HOME_CUT.search(line) or HOME_CUT.search(line + "".join(beside[:1])):
                after = setups[number + 1] if number + 1 < len(setups) else ""
                first = MEASURE.search(after)
                self._home_cut(cut, setting, kerf, measure(first[1]) if first else None)
        self._boards(lines)

    def _home_cut(
        self, cut: re.Match[str], setting: Fraction, kerf: Fraction, other: Fraction | None
    ) -> None:
        sheets, letters = ids_of(cut["source"]), re.sub(r"[SGL]\d\S*", "", cut["source"]).strip()
        passes = sum(
            int(last or first) - int(first) + 1
            for first, last in re.findall(r"(\d+)(?:-(\d+))?", cut["cuts"])
        )
        said, _, done = cut["result"].partition(", ") if "keep" not in cut["result"] else (
            cut["result"], "", "",
        )  # fmt: skip
        outcomes: list[str] = []
        for words in said.split(" + "):
            count = re.match(r"(\d+) × (.*)", words)
            each = int(count[1]) // passes if count else 1
            outcomes += [count[2] if count else words] * each
        for sheet in sheets:
            for turn in range(passes):
                piece = self.pieces.pop((sheet, letters), None) or self._whole(sheet)
                whole = measure(cut["whole"]) if turn == 0 else None
                across = self._across(piece, whole, cut["action"])
                rest = piece[across] - setting - kerf
                sides = [setting, rest]
                if len(outcomes) == 1 and (other is not None or cut["action"] == "trim"):
                    sides = [max(setting, rest)] if other is None else [other]
                for words, side in zip(outcomes, sides, strict=False):
                    came = (side, piece[1]) if across == 0 else (piece[0], side)
                    self._put(sheet, words, came)
                if done and len(outcomes) != 1:
                    raise NotToldError(cut[0])

    def _put(self, sheet: str, words: str, came: tuple[Fraction, Fraction]) -> None:
        if words.startswith("keep "):
            return
        if re.match(r"[SGL]\d", words):
            self.pieces[sheet, re.sub(r"[SGL]\d\S*", "", words).strip()] = came
        else:
            self.parts.append((words, max(came), min(came)))

    def _whole(self, sheet: str) -> tuple[Fraction, Fraction]:
        if sheet not in self.sheets or any(name == sheet for name, _ in self.pieces):
            raise NotToldError(f"what lies on the saw is not among {sorted(self.pieces)}: {sheet}")
        return self.sheets.pop(sheet)

    def _across(self, piece: tuple[Fraction, Fraction], whole: Fraction | None, action: str) -> int:
        """Say which measure of a piece is parted, by what the page says of it."""
        if whole is None:
            return self.last_across
        near = [i for i in (0, 1) if abs(piece[i] - whole) <= 2 * self.near]
        if not near:
            raise NotToldError(f"no side of {piece} is {whole}")
        usual = 1 if action == "rip" else 0
        self.last_across = near[0] if len(near) == 1 else usual
        return self.last_across

    last_across: int = 0

    def _boards(self, lines: list[str]) -> None:
        """Cut every board that is drawn on a tape, mark by mark."""
        width = kerf = Fraction(0)
        names: dict[str, str] = {}
        for number, line in enumerate(lines):
            if "all marks in" in line:
                size = list(re.finditer(SIZE, line))[-1]
                kerfs = KERF.findall(line)
                width, kerf = measure(size[2]), measure(kerfs[0])
            names |= {found[1]: found[3] for found in STOP_GROUP.finditer(line)}
            board = BOARD.match(line)
            if board is None or width == 0:
                continue
            marks = []
            for below in lines[number + 1 : number + 4]:
                if BOARD.match(below) or "Hook the tape" in below:
                    break
                marks += [measure(found) for found in re.findall(LENGTH, below)]
            self._board(ids_of(board[1]), board[2], names, marks, width, kerf)

    def _board(
        self,
        ids: tuple[str, ...],
        row: str,
        names: dict[str, str],
        marks: list[Fraction],
        width: Fraction,
        kerf: Fraction,
    ) -> None:
        for letter, name, length in re.findall(
            rf"(?<!\S)([a-z]{{1,2}}) +(?:(\D+?) +)?({LENGTH})(?!\S)", row
        ):
            if letter not in names:
                raise NotToldError(f"{row}: no stop-block group {letter}")
            size = measure(length)
            made = (name or names[letter], max(size, width), min(size, width))
            self.parts += [made] * len(ids)
            # A part ends at a mark; it begins at the end, at a mark, or a blade after one.
            begins = {Fraction(0), *marks, *(mark + kerf for mark in marks)}
            ends = [end for end in marks for at in begins if abs(end - at - size) <= self.near * 2]
            self.unmarked += bool(marks) and not ends

    unmarked: int = 0


def _of_pages(lines: list[str], kind: str) -> Iterator[str]:
    """Give the lines of the pages of one kind."""
    inside = False
    for line in lines:
        if re.search(r"page \d+ of \d+", line):
            inside = kind in line
        elif inside:
            yield line
