"""Settings as they stand in ``job.toml``: their lines, and changes to them for one run."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path

from cutopt.errors import Fault, InputError
from cutopt.read.cells import nearest
from cutopt.read.files import decode, read_bytes

Document = dict[str, object]

KEYS: Mapping[str, tuple[str, ...]] = {
    "": (
        "name", "units", "budget", "currency", "parts", "stock", "cutouts", "extras", "favour",
        "grades", "boards", "confidence", "trip", "store", "carry", "shop",
        "openings",
    ),
    "store": (
        "kerf", "accuracy", "free_cuts", "fee_per_cut", "most_cuts", "smallest_piece", "rough",
        "allowance", "crosscuts_boards",
    ),
    "carry": ("length", "width", "boards"),
    "shop": ("kerf", "smallest_offcut", "stages", "rip_saving", "saws"),
    "saw": ("name", "kind", "kerf", "rip_capacity", "crosscut_capacity", "cut_length"),
    "opening": ("group", "free_area", "grille", "free_share"),
}  # fmt: skip
TABLES = ("store", "carry", "shop")
LISTS = ("shop.saws", "openings")
"""Settings of which there may be several, one table each."""


@dataclass(frozen=True, slots=True)
class Source:
    """Where settings stand: the file and its lines, so that a fault can name its line.

    Attributes:
        changed: dotted keys that the command line has set for this run.
    """

    file: str
    lines: tuple[str, ...] = ()
    changed: frozenset[str] = frozenset()

    def fault(self, key: str, text: str, found: object = "", help: str = "") -> Fault:  # noqa: A002
        """Give a fault at a dotted key."""
        return Fault(
            f"{key}: {text}" if key else text,
            "--set" if key in self.changed else self.file,
            None if key in self.changed else self.line_of(key),
            found="" if found == "" else str(found),
            help=help,
        )

    def line_of(self, key: str) -> int | None:
        """Give the line a dotted key stands on, or None."""
        words = key.split(".")
        listed = next((name for name in LISTS if key.startswith(f"{name}.")), "")
        below = key.removeprefix(f"{listed}.").split(".") if listed else []
        number_in = int(below[0]) if below else 0
        table = listed or ".".join(words[:-1])
        current, seen = "", 0
        for number, line in enumerate(self.lines, start=1):
            head = re.match(r"\s*\[\[?\s*([\w. -]+?)\s*\]", line)
            if head is not None:
                current = head[1]
                seen += bool(listed) and current == listed
                if current == key or (listed == current and number_in == seen and len(below) == 1):
                    return number
            elif current == table and (not listed or number_in == seen):
                entry = re.match(r"\s*\"?([\w-]+)\"?\s*=", line)
                if entry is not None and entry[1] == words[-1]:
                    return number
        return None


def load_toml(path: Path) -> tuple[Document, Source]:
    """Give the settings in a TOML file as they stand.

    Raises:
        InputError: no such file, or it is not TOML.
    """
    text, _ = decode(read_bytes(path), path.name)
    source = Source(path.name, tuple(text.splitlines()))
    try:
        return tomllib.loads(text), source
    except tomllib.TOMLDecodeError as error:
        line = re.search(r"line (\d+)", str(error))
        row = int(line[1]) if line else None
        raise InputError(
            [
                Fault(
                    "this is not understood as TOML: " + re.sub(r" \(at .*\)$", "", str(error)),
                    path.name,
                    row,
                    found=source.lines[row - 1].strip() if row and row <= len(source.lines) else "",
                    help='a text stands in quotes (name = "Potting bench"); a length with an '
                    "inch mark in single ones (kerf = '1/8\"')",
                )
            ]
        ) from error


def override(document: Document, changes: Mapping[str, str], faults: list[Fault]) -> Document:
    """Give the settings with dotted keys set to texts (``store.free_cuts`` to ``4``).

    Saws and openings are counted from 1: ``shop.saws.1.kerf``. Quotes around a whole text, as
    TOML wants them, are no part of it.
    """
    changed = _copy(document)
    for dotted, text in changes.items():
        words = dotted.strip().split(".")
        here: object = changed
        for depth, word in enumerate(words[:-1]):
            if isinstance(here, list):
                here = _entry_at(here, word)
            elif isinstance(here, dict):
                empty: object = [] if ".".join(words[: depth + 1]) in LISTS else {}
                here = here.setdefault(word, empty)
        if isinstance(here, dict):
            quoted = re.fullmatch(r"\"([^\"]*)\"|'([^']*)'", text)
            here[words[-1]] = text if quoted is None else quoted[1] or quoted[2] or ""
        else:
            what = f"{dotted}: there is no such setting"
            faults.append(Fault(what, "--set", help=nearest_key(dotted)))
    return changed


def _copy(value: Document) -> Document:
    """Give a copy of nested settings."""

    def copied(inner: object) -> object:
        if isinstance(inner, dict):
            return {key: copied(held) for key, held in inner.items()}
        return [copied(held) for held in inner] if isinstance(inner, list) else inner

    return {key: copied(held) for key, held in value.items()}


def _entry_at(entries: list[object], word: str) -> object:
    """Give the settings of the entry with a number, a new one where it is the next."""
    if not word.isdigit() or not 1 <= int(word) <= len(entries) + 1:
        return None
    if int(word) == len(entries) + 1:
        entries.append({})
    return entries[int(word) - 1]


def nearest_key(dotted: str) -> str:
    """Give a hint at the known key nearest to a dotted one."""
    every = [key for key in KEYS[""] if key not in TABLES]
    every += [f"{table}.{key}" for table in TABLES for key in KEYS[table]]
    last = dotted.rsplit(".", maxsplit=1)[-1]
    same = [key for key in every if key.rsplit(".", maxsplit=1)[-1] == last]
    near = " or ".join(same) or nearest(dotted, every, cutoff=0.6) or nearest(last, every)
    return f"did you mean {near}?" if near else ""
