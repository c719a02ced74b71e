"""A JSON document asked value by value, every fault noted with its path."""

from __future__ import annotations

import json
import re
from collections.abc import Callable
from dataclasses import dataclass, field
from decimal import Decimal, InvalidOperation
from difflib import get_close_matches
from enum import StrEnum
from pathlib import Path
from typing import TypeVar, cast

from cutopt.errors import Fault, InputError
from cutopt.units import LONGEST, TICKS_PER_MM, Ticks

Answer = TypeVar("Answer")
Word = TypeVar("Word", bound=StrEnum)

_ROUNDING = Decimal("0.000001")
_MOST = 10**18
_HALF_CHARACTER = re.compile("[\ud800-\udfff]")


class _Missing:
    """Stands where a key is missing; that is told once, and not again by who asks for it."""


_MISSING = _Missing()


class _DuplicateKeyError(ValueError):
    """One key stands twice in an object."""


def load_document(path: Path) -> Document:
    """Give the JSON document in a file.

    Raises:
        InputError: the file cannot be read, or is not JSON in UTF-8.
    """
    try:
        text = path.read_bytes().decode("utf-8-sig")
        value = json.loads(
            text,
            parse_float=Decimal,
            parse_constant=_refuse_constant,
            object_pairs_hook=_object,
        )
    except OSError as error:
        raise InputError([Fault(f"cannot be read: {error.strerror}", path.name)]) from error
    except UnicodeDecodeError as error:
        raise InputError([Fault("is not a text in UTF-8", path.name)]) from error
    except json.JSONDecodeError as error:
        place = f"line {error.lineno}, column {error.colno}"
        raise InputError([Fault(f"is not JSON: {error.msg} at {place}", path.name)]) from error
    except (ValueError, InvalidOperation) as error:
        raise InputError([Fault(f"is not JSON: {error}", path.name)]) from error
    except RecursionError as error:
        raise InputError([Fault("is nested too deeply", path.name)]) from error
    return Document(path.name, value)


def _object(pairs: list[tuple[str, object]]) -> dict[str, object]:
    found = dict(pairs)
    if len(found) < len(pairs):
        twice = next(key for i, (key, _) in enumerate(pairs) if key in dict(pairs[:i]))
        raise _DuplicateKeyError(f"the key {twice!r} stands twice in one object")
    return found


def _refuse_constant(name: str) -> object:
    raise ValueError(f"{name} is not a number")


@dataclass(slots=True)
class Document:
    """A JSON document and what was found wrong with it so far."""

    file: str
    value: object
    faults: list[Fault] = field(default_factory=list)

    @property
    def top(self) -> Value:
        """The outermost value."""
        return Value(self.value, "", self)

    def raise_faults(self) -> None:
        """Raise InputError with all faults noted so far, if there are any."""
        if self.faults:
            raise InputError(self.faults)


class Value:
    """One value of a document; asked for what it is not, it notes a fault and gives a filler.

    The fillers let reading go on so that every fault is found; ``raise_faults`` then keeps
    what was read from being used.
    """

    __slots__ = ("_asked", "_document", "_found", "path")

    def __init__(self, found: object, path: str, document: Document) -> None:
        """Take the value, its path from the top, and the document it stands in."""
        self.path = path
        self._found = found
        self._document = document
        self._asked: dict[str, Value] = {}

    def fault(self, text: str, help: str = "") -> None:  # noqa: A002 - as in errors.Fault
        """Note what is wrong with this value."""
        shown = ""
        if not isinstance(self._found, (dict, list, _Missing)):
            shown = json.dumps(self._found, ensure_ascii=False, default=str)[:60]
        place = f"{self.path}: " if self.path else ""
        self._document.faults.append(
            Fault(place + text, self._document.file, found=shown.strip('"'), help=help)
        )

    def should_be(self, wanted: str, fits: bool) -> bool:
        """Note a fault where the value does not fit; say whether it does."""
        if not fits and not isinstance(self._found, _Missing):
            self.fault(f"should be {wanted}")
        return fits

    def __getitem__(self, key: str) -> Value:
        """Give the value of a key; a missing key is a fault."""
        if key not in self._asked:
            path = f"{self.path}.{key}" if self.path else key
            value = Value(_MISSING, path, self._document)
            if isinstance(self._found, dict):
                value = Value(self._found.get(key, _MISSING), path, self._document)
                if isinstance(value._found, _Missing):
                    value.fault("is missing")
            elif not self._asked:
                self.should_be("an object", False)
            self._asked[key] = value
        return self._asked[key]

    def has(self, key: str) -> bool:
        """Say whether there is a value for a key that may be missing."""
        return isinstance(self._found, dict) and key in self._found

    def no_more_keys(self) -> None:
        """Note every key that was not asked for."""
        if isinstance(self._found, dict):
            for key in self._found:
                if key not in self._asked:
                    near = get_close_matches(key, list(self._asked), 1)
                    does = f"did you mean {near[0]!r}?" if near else ""
                    self.fault(f"has an unknown key {key!r}", does)

    def items(self) -> list[Value]:
        """Give the values of a list."""
        if not self.should_be("a list", isinstance(self._found, list)):
            return []
        return [
            Value(item, f"{self.path}[{i}]", self._document)
            for i, item in enumerate(cast("list[object]", self._found))
        ]

    def pair(self) -> tuple[Value, Value] | None:
        """Give the values of a list of two."""
        fits = isinstance(self._found, list) and len(self._found) == 2
        if not self.should_be("a list of two", fits):
            return None
        first, second = self.items()
        return first, second

    def or_none(self, ask: Callable[[Value], Answer]) -> Answer | None:
        """Give None for null, else what ``ask`` makes of the value."""
        return None if self._found is None else ask(self)

    def text(self) -> str:
        """Give a text."""
        fits = isinstance(self._found, str) and not _HALF_CHARACTER.search(self._found)
        return cast("str", self._found) if self.should_be("a text", fits) else ""

    def flag(self) -> bool:
        """Give true or false."""
        return self.should_be("true or false", isinstance(self._found, bool)) and bool(self._found)

    def whole(self, least: int = 0) -> int:
        """Give a whole number from ``least`` on."""
        fits = type(self._found) is int and least <= self._found <= _MOST
        wanted = f"a whole number from {least} on"
        return cast("int", self._found) if self.should_be(wanted, fits) else least

    def word(self, words: type[Word]) -> Word:
        """Give one of an enumeration's words."""
        known = [word.value for word in words]
        if self.should_be("one of " + ", ".join(known), self._found in known):
            return words(cast("str", self._found))
        return next(iter(words))

    def number(self) -> Decimal:
        """Give a number from 0 on, exactly as it is written."""
        fits = type(self._found) in {int, Decimal} and 0 <= cast("Decimal", self._found) <= _MOST
        if not self.should_be("a number from 0 on", fits):
            return Decimal(0)
        return Decimal(cast("int", self._found))

    def length(self) -> Ticks:
        """Give ticks for millimetres that are a whole number of ticks to six decimals."""
        number = self.number()
        ticks = round(number * TICKS_PER_MM)
        exact = abs(Decimal(ticks) / TICKS_PER_MM - number) < _ROUNDING
        fits = exact and ticks <= LONGEST
        wanted = "millimetres up to 100 m, a whole number of 1/320 mm"
        return Ticks(ticks) if self.should_be(wanted, fits) else Ticks(0)

    def money(self) -> int:
        """Give cents for an amount in currency."""
        cents = self.number() * 100
        return int(cents) if self.should_be("an amount in whole cents", cents == int(cents)) else 0

    def share(self) -> float:
        """Give a share between 0 and 1."""
        number = self.number()
        return float(number) if self.should_be("a share from 0 to 1", number <= 1) else 0.0

    def agrees(self, answer: object, expected: object, source: str) -> None:
        """Note a fault where the value repeats ``source`` and says something else."""
        if answer != expected and not isinstance(self._found, _Missing):
            self.fault(f"does not agree with {source}")
