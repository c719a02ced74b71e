"""Texts as values: lengths, counts, money, yes or no, one word of several."""

from __future__ import annotations

import difflib
import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from typing import TypeVar

from cutopt.errors import Fault
from cutopt.read.table import Row
from cutopt.units import LengthError, NoUnitError, Ticks, Units, parse_length, plain_text

NO_UNIT = "nothing says whether bare numbers are inches or millimetres"
_YES = frozenset({"yes", "y", "true", "x", "ok", "1", "✓", "✔", "☑"})
_NO = frozenset({"", "no", "n", "false", "0", "none", "-"})
_CURRENCY_MARKS = {"$": "", "€": "EUR", "£": "GBP"}
_MOST_PIECES = 100_000
_MOST_CENTS = 1_000_000_000

T = TypeVar("T")


class ValueFault(ValueError):  # noqa: N818 - it is one fault on its way to its place
    """A text that is not the value asked for.

    Attributes:
        help: what would be understood.
    """

    def __init__(self, problem: str, help: str = "") -> None:  # noqa: A002 - as in Fault
        """Take what is wrong and what would do."""
        self.problem = problem
        self.help = help
        super().__init__(problem)


def nearest(asked: str, known: Iterable[str], *, cutoff: float = 0.5) -> str:
    """Give the known word nearest to the one asked, or "" where none is near."""
    words = {word.casefold(): word for word in known}
    near = difflib.get_close_matches(asked.casefold(), words, n=1, cutoff=cutoff)
    return words[near[0]] if near else ""


def quoted(words: Iterable[str], most: int = 8) -> str:
    """Give words in quotes, parted by commas; past ``most`` of them the rest is counted."""
    every = list(words)
    text = ", ".join(f'"{word}"' for word in every[:most])
    return text if len(every) <= most else f"{text} and {len(every) - most} more"


def length_of(text: str, units: Units | None, *, zero: bool) -> Ticks:
    """Give a length in ticks.

    Raises:
        ValueFault: it is none, or can be read in two ways.
    """
    try:
        return parse_length(text, units, zero=zero)
    except NoUnitError as error:
        raise ValueFault(NO_UNIT, error.help) from error
    except LengthError as error:
        raise ValueFault(error.problem, error.help) from error


def count_of(text: str, *, least: int = 1) -> int:
    """Give a whole number; ``4``, ``4.0``, ``x4``, ``4 pcs`` and ``(4)`` are all 4.

    Raises:
        ValueFault: it is no whole number, or less than ``least``.
    """
    found = re.fullmatch(
        r"\(?(?:x ?)?(\d+)(?:\.0*)?(?: ?(?:x|pcs?\.?|pieces?|ea\.?|each|off|no\.?|×))?\)?",
        plain_text(text).casefold(),
    )
    if found is None:
        raise ValueFault("this is not a whole number", f"write a whole number from {least}")
    number = int(found[1]) if len(found[1]) < 12 else _MOST_PIECES + 1
    if not least <= number <= _MOST_PIECES:
        raise ValueFault(
            f"this must be from {least} to {_MOST_PIECES:,}", f"write a whole number from {least}"
        )
    return number


def cents_of(text: str, currency: str) -> int:
    """Give money in cents; ``$62``, ``62.50``, ``62,50 €`` and ``1,062.50`` are understood.

    Raises:
        ValueFault: it is no amount, negative, or can be read in two ways.
    """
    plain = plain_text(text)
    marks = [mark for mark in _CURRENCY_MARKS if mark in plain]
    for mark in marks:
        other = _CURRENCY_MARKS[mark]
        if other and other != currency:
            raise ValueFault(
                f"the price is in {other}, the job in {currency}",
                f'set currency = "{other}" in the job, or write the price in {currency}',
            )
        plain = plain.replace(mark, "")
    number = plain.upper().replace(currency, "").strip()
    if number.startswith("-"):
        raise ValueFault("money cannot be negative", "write an amount like 62.50")
    if re.fullmatch(r"\d{1,3}(,\d{3})+\.\d{1,2}", number):
        number = number.replace(",", "")
    if re.fullmatch(r"\d+,\d{1,2}", number):
        number = number.replace(",", ".")
    if re.fullmatch(r"\d{1,3}[,.]\d{3}", number):
        raise ValueFault(
            "this can be read as thousands or as decimals", "write an amount like 1062.50"
        )
    if not re.fullmatch(r"\d+(\.\d{0,2}0*)?|\.\d{1,2}", number):
        raise ValueFault("this is not an amount of money", "write an amount like 62.50")
    whole, _, part = number.partition(".")
    cents = int(whole[:12] or 0) * 100 + int(part[:2].ljust(2, "0"))
    if cents > _MOST_CENTS or len(whole) > 12:
        raise ValueFault("this is more than 10 million", "write an amount like 62.50")
    return cents


def yes_of(text: str) -> bool:
    """Say yes or no.

    Raises:
        ValueFault: it is neither.
    """
    word = text.strip().casefold()
    if word in _YES:
        return True
    if word in _NO:
        return False
    raise ValueFault("this is neither yes nor no", "write yes or no")


def one_of(text: str, words: Mapping[str, T], most_help: Iterable[str]) -> T:
    """Give what a word stands for, without case, hyphens and extra spaces.

    Raises:
        ValueFault: the word is not known; the nearest known one is named.
    """
    word = " ".join(text.casefold().replace("-", " ").replace("_", " ").split())
    if word in words:
        return words[word]
    helps = list(most_help)
    near = nearest(word, helps)
    known = f"known are {', '.join(helps)}"
    raise ValueFault(
        "this word is not known here", f'did you mean "{near}"? {known}' if near else known
    )


@dataclass(frozen=True, slots=True)
class Cells:
    """The cells of one row as values; what is wrong is added to ``faults`` and reads as None."""

    row: Row
    units: Units | None
    faults: list[Fault] = field(default_factory=list)

    def text(self, column: str) -> str:
        """Give the text of a cell."""
        return self.row.text(column)

    def fault(self, column: str, text: str, help: str = "") -> None:  # noqa: A002 - as in Fault
        """Note a fault in this row."""
        self.faults.append(self.row.fault(column, text, help))

    def needed(self, column: str, what: str) -> str:
        """Give a text that must not be blank."""
        text = self.row.text(column)
        if not text:
            self.fault(column, f"{what} is missing")
        return text

    def length(self, column: str, *, zero: bool = False) -> Ticks | None:
        """Give a length, or None where the cell is blank or wrong."""
        text = self.row.text(column)
        if not text:
            return None
        known = self.row.columns.get(column)
        units = known.units if known is not None and known.units is not None else self.units
        try:
            return length_of(text, units, zero=zero)
        except ValueFault as fault:
            self.fault(column, fault.problem, fault.help)
            return None

    def count(self, column: str, *, least: int = 1) -> int | None:
        """Give a whole number, or None where the cell is blank or wrong."""
        text = self.row.text(column)
        if not text:
            return None
        try:
            return count_of(text, least=least)
        except ValueFault as fault:
            self.fault(column, fault.problem, fault.help)
            return None

    def cents(self, column: str, currency: str) -> int | None:
        """Give money in cents, or None where the cell is blank or wrong."""
        text = self.row.text(column)
        if not text:
            return None
        try:
            return cents_of(text, currency)
        except ValueFault as fault:
            self.fault(column, fault.problem, fault.help)
            return None

    def yes(self, column: str) -> bool | None:
        """Give yes or no, or None where the cell is blank or wrong."""
        text = self.row.text(column)
        if not text:
            return None
        try:
            return yes_of(text)
        except ValueFault as fault:
            self.fault(column, fault.problem, fault.help)
            return None

    def word(self, column: str, words: Mapping[str, T], known: Iterable[str]) -> T | None:
        """Give what a word stands for, or None where the cell is blank or wrong."""
        text = self.row.text(column)
        if not text:
            return None
        try:
            return one_of(text, words, known)
        except ValueFault as fault:
            self.fault(column, fault.problem, fault.help)
            return None

    def note(self) -> str:
        """Give the note, and after it each cell whose column has no known meaning."""
        said = [self.row.text("note")]
        said += [f"{header}: {text}" if header else text for header, text in self.row.others]
        return "; ".join(text for text in said if text)
