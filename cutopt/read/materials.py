"""Which stock a part comes from: by the material's name, its section, thickness and width."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, replace

from cutopt.model.job import Grain, Kind, Material, Stock
from cutopt.model.sizes import parse_section
from cutopt.model.sources import (
    board_gives,
    boards_among,
    sheet_gives,
    sheets_among,
    stays_a_sheet_part,
)
from cutopt.read.cells import Cells, nearest, quoted
from cutopt.read.columns import parted
from cutopt.read.stock import material_key
from cutopt.units import (
    MILLIMETRE,
    TENTH,
    LengthError,
    Ticks,
    Units,
    format_length,
    parse_length,
    plain_text,
    prints_exactly,
)

NEAR = MILLIMETRE
"""Stock this near to the size asked for is taken."""
WORTH_SAYING = TENTH
"""A difference over this is said in a note."""

_SECTION_INSIDE = re.compile(r"\b(\d+(?:/\d+)?) ?[x×] ?(\d+)s?\b", re.IGNORECASE)
_SIZE_FIRST = re.compile(
    r"(?P<size>[\d./' -]*\d[\d./']* ?(?:\"|mm\b|cm\b|in\b\.?|inch\b)?) ?(?P<name>.+)"
)


_KIN = {
    **dict.fromkeys(("pine", "spruce", "fir", "larch", "whitewood", "spf", "timber"), "softwood"),
    **dict.fromkeys(("lumber", "stud", "studs", "framing"), "softwood"),
    **dict.fromkeys(("chipboard", "melamine"), "particleboard"),
    **dict.fromkeys(("ply", "birch"), "plywood"),
}


@dataclass(frozen=True, slots=True)
class StockList:
    """The stock parts are chosen from; ``starter``: it is the list that ships with the package."""

    stock: tuple[Stock, ...]
    starter: bool = False

    @property
    def called(self) -> str:
        """What it is called in a message."""
        return "the starter stock list" if self.starter else "the stock list"

    @property
    def advice(self) -> str:
        """What to do where it lacks something."""
        if not self.starter:
            return ""
        return " Other stock takes a stock list of its own (cutopt new writes a job with one)."

    def sentence(self, text: str) -> str:
        """Give a text, and the advice, if there is any, as a sentence behind it."""
        return f"{text}.{self.advice}" if self.advice else text


class Choice:
    """Chooses the material of one part; what is wrong goes to the row's faults."""

    def __init__(
        self, listed: StockList, cells: Cells, like: Units, say: Callable[[str, str], None]
    ) -> None:
        """Take the stock, the part's row, how to print sizes and where notes go."""
        self.listed = listed
        self.stock = listed.stock
        self.cells = cells
        self.like = like
        self.say = say
        self.name = cells.text("part")

    def candidates(self, thickness: Ticks | None) -> tuple[list[Stock], Ticks | None]:
        """Give the stock the part's material names, and the thickness asked for.

        The list is empty where nothing fits; a fault then says why.
        """
        text = self.cells.text("material")
        if not text:
            return self._unnamed(thickness), thickness
        named = self._called(text)
        if named:
            return self._of_section(named), thickness
        section = parse_section(text)
        if section is not None:
            return self._one_material(self._with_section(self.stock, section.name)), thickness
        inside = self._name_and_section(text)
        if inside:
            return inside, thickness
        sized = _SIZE_FIRST.fullmatch(plain_text(text))
        if sized is not None and self._called(sized["name"]):
            try:
                stated = parse_length(sized["size"], self.cells.units)
            except LengthError:
                stated = None
            if stated is not None:
                return self._of_section(self._called(sized["name"])), thickness or stated
        self._unknown(text)
        return [], thickness

    def _called(self, text: str) -> list[Stock]:
        key = material_key(text)
        return [stock for stock in self.stock if material_key(stock.material.name) == key]

    def _with_section(self, stock: Iterable[Stock], section: str) -> list[Stock]:
        return [held for held in stock if held.material.section == section]

    def _name_and_section(self, text: str) -> list[Stock]:
        """Give the stock of a text like ``2x4 pine``."""
        found = _SECTION_INSIDE.search(text)
        section = parse_section(found[0]) if found is not None else None
        if found is None or section is None:
            return []
        rest = f"{text[: found.start()]} {text[found.end() :]}".strip(" ,-")
        return self._with_section(self._called(rest), section.name)

    def _unnamed(self, thickness: Ticks | None) -> list[Stock]:
        """Give the stock of a part that names no material: the only one there is or that fits."""
        if self.cells.text("section"):
            return self._one_material(self._of_section(list(self.stock)))
        names = self._names(self.stock)
        if len(names) == 1:
            return list(self.stock)
        fits: list[Stock] = []
        if thickness is not None:
            fits = [held for held in self.stock if abs(held.thickness - thickness) <= NEAR]
            if len(self._names(fits)) == 1:
                self.say(
                    f"where no material is named, {fits[0].material.name} is taken: the only one "
                    f"{self._size(thickness)} thick",
                    self.name,
                )
                return fits
            names = self._names(fits) or names
        self.cells.fault(
            "material",
            "the material is missing",
            f"{self.listed.called} has {quoted(names)}"
            + (" this thick" if fits else self._nominal_hint()),
        )
        return []

    def _of_section(self, stock: list[Stock]) -> list[Stock]:
        """Give the stock that has the section the part's own column names."""
        text = self.cells.text("section")
        if not text:
            return stock
        section = parse_section(text)
        if section is not None:
            fits = self._with_section(stock, section.name)
        else:
            try:
                sizes = sorted(parse_length(word, self.cells.units) for word in parted(text))
            except LengthError:
                sizes = []
            fits = [
                held
                for held in stock
                if held.kind is Kind.BOARD
                and len(sizes) == 2
                and abs(sizes[0] - min(held.thickness, held.width)) <= NEAR
                and abs(sizes[1] - max(held.thickness, held.width)) <= NEAR
            ]
        if not fits:
            self.cells.fault("section", "no board has this section", self._sections(stock))
        return fits

    def _one_material(self, fits: list[Stock]) -> list[Stock]:
        """Give the stock where it is all of one material; else note a fault."""
        names = self._names(fits)
        if len(names) == 1:
            return fits
        if names:
            self.cells.fault(
                "material",
                "more than one material comes in this section",
                f"name one of {quoted(names)}",
            )
        elif not self.cells.text("section"):
            self.cells.fault("material", "no board has this section", self._sections(self.stock))
        return []

    def _sections(self, stock: Iterable[Stock]) -> str:
        sections = list(
            dict.fromkeys(held.material.section for held in stock if held.material.section)
        )
        if not sections:
            return self.listed.sentence(f"{self.listed.called} has no boards of it")
        return self.listed.sentence(f"{self.listed.called} has {', '.join(sections)}")

    def _names(self, stock: Iterable[Stock]) -> list[str]:
        return list(dict.fromkeys(held.material.name for held in stock))

    def _unknown(self, text: str) -> None:
        names = self._names(self.stock)
        words = set(material_key(text).split())
        near = nearest(text, names, cutoff=0.6) or self._kin(words)
        sharing = [name for name in names if words & set(material_key(name).split())]
        hint = quoted([near]) if near else quoted(sharing)
        self.cells.fault(
            "material",
            f"{self.listed.called} has no such material",
            f"did you mean {hint}?{self.listed.advice}"
            if hint
            else self.listed.sentence(f"it has {quoted(names)}"),
        )

    def _kin(self, words: set[str]) -> str:
        """Give the stock's material that is the next of kin of a word, or ""."""
        kin = {other for word, other in _KIN.items() if word in words}
        return next((n for n in self._names(self.stock) if material_key(n) in kin), "")

    def _nominal_hint(self) -> str:
        """Give what to write where the row gives a nominal size (2 and 4) as if it were actual."""
        section = parse_section(f"{self.cells.text('thickness')}x{self.cells.text('width')}")
        if section is None or not self._with_section(self.stock, section.name):
            return ""
        return (
            f"; a {section.name} is {self._size(section.thickness)} x {self._size(section.width)}: "
            f'write "{section.name}" under material instead of a thickness and width'
        )

    def _size(self, ticks: Ticks) -> str:
        return stated(ticks, self.like)

    def of_thickness(self, stock: list[Stock], thickness: Ticks | None) -> list[Stock]:
        """Give the stock of the thickness nearest to the one asked, at most 1 mm off."""
        have = sorted({held.thickness for held in stock})
        if not have:
            return []
        listed = ", ".join(self._size(ticks) for ticks in have)
        name = stock[0].material.name
        if thickness is None:
            if len(have) > 1:
                self.cells.fault(
                    "thickness", "the thickness is missing", f"{name} comes in {listed}"
                )
                return []
            return stock
        by_distance = sorted(have, key=lambda ticks: abs(ticks - thickness))
        off = abs(by_distance[0] - thickness)
        if off > NEAR:
            self.cells.fault(
                "thickness",
                f"{name} does not come in this thickness",
                f"it comes in {listed}{self._nominal_hint()}",
            )
            return []
        if len(have) > 1 and abs(by_distance[1] - thickness) == off:
            self.cells.fault(
                "thickness",
                "two thicknesses are equally near",
                f"write {self._size(by_distance[0])} or {self._size(by_distance[1])}",
            )
            return []
        if off > WORTH_SAYING:
            self.say(
                f"{name} {self._size(by_distance[0])} thick is taken for {self._size(thickness)}",
                self.name,
            )
        return [held for held in stock if held.thickness == by_distance[0]]


def stated(ticks: Ticks, like: Units) -> str:
    """Give a size of stock as its list states it: in the other units where only those are exact."""
    others = [units for units in Units if units is not like]
    exact = [units for units in (like, *others) if prints_exactly(ticks, units)]
    return format_length(ticks, exact[0] if exact else like, unit_mark=True)


def names_section(listed: StockList, cells: Cells) -> bool:
    """Say whether a part's row names a section of board, in its own column or as the material."""
    text = cells.text("material")
    key = material_key(text)
    if any(material_key(held.material.name) == key for held in listed.stock):
        text = ""
    inside = parse_section(text) is not None or _SECTION_INSIDE.search(text) is not None
    return inside or bool(cells.text("section"))


def cheapest_to_rip(stock: Iterable[Stock], width: Ticks, kerf: Ticks) -> Material | None:
    """Give the material of the boards that give strips of a width at least cost a strip.

    Boards without a price count by width. None where no board may be ripped to it.
    """
    fits = [held for held in stock if held.rip and held.width >= width and not held.owned]
    fits = fits or [held for held in stock if held.rip and held.width >= width]
    if not fits:
        return None
    priced = all(held.price_cents is not None for held in fits)

    def cost(held: Stock) -> tuple[float, int]:
        strips = (held.width + kerf) // (width + kerf)
        whole = (held.price_cents or 0) / held.length if priced else float(held.width)
        return whole / strips, held.width

    return min(fits, key=cost).material


def of_one_kind(
    fits: Sequence[Stock], length: int, width: int, grain: Grain, match: str
) -> list[Stock]:
    """Give the sheets or the boards that a part is planned on, of stock of one thickness.

    Boards where one gives the blank, ticks: as wide as it, at most 1 mm off, or wider and
    ripped; else sheets. What no sheet holds and a board gives is a board's in any case.
    """
    boards, sheets = boards_among(fits), sheets_among(fits)
    if not (boards and sheets):
        return list(fits)
    near = [held for held in boards if abs(held.width - width) <= NEAR]
    give = [held for held in boards if board_gives(held, length, width)]
    give += [held for held in near if board_gives(held, length, held.width)]
    held_whole = any(sheet_gives(replace(held, rip=True), length, width) for held in sheets)
    if not give or (stays_a_sheet_part(grain, match) and held_whole):
        return sheets
    return [held for held in boards if held in give]
