"""A job: parts to make, stock to buy or use up, the saws, the store, the car.

All lengths are ticks (see ``cutopt.units``), all prices integer cents.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from enum import StrEnum

from cutopt.model.grade import Grade
from cutopt.units import Ticks, Units, inches


class Kind(StrEnum):
    """How a material is sold: by the sheet (panels too) or by the board."""

    SHEET = "sheet"
    BOARD = "board"


class Grain(StrEnum):
    """Direction of the grain: of a part relative to its own sides, or of stock."""

    LENGTH = "length"
    WIDTH = "width"
    ANY = "any"
    NONE = "none"


class Edge(StrEnum):
    """Edges of a part: front and back run along its length, left and right along its width."""

    FRONT = "front"
    BACK = "back"
    LEFT = "left"
    RIGHT = "right"


class SawKind(StrEnum):
    """Kinds of saw a builder may own."""

    TABLE = "table saw"
    MITRE = "mitre saw"
    TRACK = "track saw"
    CIRCULAR = "circular saw"
    PANEL = "panel saw"
    BAND = "band saw"
    JIGSAW = "jigsaw"
    HAND = "hand saw"


class CutoutKind(StrEnum):
    """Kinds of cutout in a part."""

    NOTCH = "notch"
    OPENING = "opening"
    HOLE = "hole"
    ROUNDED_CORNER = "rounded corner"
    DISC = "disc"


class Favour(StrEnum):
    """What comes after money."""

    OFFCUTS = "offcuts"
    WORK = "work"


@dataclass(frozen=True, slots=True, order=True)
class Material:
    """What parts and stock are matched by: one row of the plan's materials.

    Attributes:
        name: as the stock list spells it.
        kind: sheet or board.
        thickness: actual thickness of the stock.
        section: boards only: nominal ("2x4") or, for stock given by size, its actual
            section in words; None for sheets.
    """

    name: str
    kind: Kind
    thickness: Ticks
    section: str | None = None


@dataclass(frozen=True, slots=True)
class Cutout:
    """A cutout inside a finished part, placed from its left and front edges.

    For a hole or disc ``length`` is the diameter (width the same); for a rounded corner
    it is the radius.
    """

    kind: CutoutKind
    length: Ticks
    width: Ticks
    from_left: Ticks
    from_front: Ticks
    note: str = ""


@dataclass(frozen=True, slots=True)
class Part:
    """One kind of part, ``qty`` times.

    Attributes:
        id: "P1", "P2" ... in the order of the bill of parts.
        length, width, thickness: finished size, bands included.
        blank_length, blank_width: size to cut: finished, less bands, plus extras.
        grain: LENGTH, WIDTH or ANY, relative to the part.
        band: banded edges, in the order front, back, left, right.
        handed: copies come in left and right (mirror) pairs; None where the job is silent.
        last: cut after the rest is fitted and measured.
        match: word shared by parts that come side by side from one strip, or "".
        knots_ok: may contain a board's bad spans.
        row: row in the bill of parts (header = row 1), or None.
        section_named: of a board part: the job names the section, so no other will do. Not
            part of a plan.
        numbers: in a plan made again: the copies' numbers in the first plan; () for 1 to qty.
        of: in a plan made again: how many the first plan makes; 0 for qty.
    """

    id: str
    name: str
    qty: int
    length: Ticks
    width: Ticks
    thickness: Ticks
    blank_length: Ticks
    blank_width: Ticks
    material: Material
    grain: Grain = Grain.ANY
    band: tuple[Edge, ...] = ()
    group: str = ""
    extra_length: Ticks = Ticks(0)
    extra_width: Ticks = Ticks(0)
    last: bool = False
    handed: bool | None = None
    match: str = ""
    knots_ok: bool = False
    cutouts: tuple[Cutout, ...] = ()
    note: str = ""
    row: int | None = None
    section_named: bool = field(default=False, compare=False)
    numbers: tuple[int, ...] = ()
    of: int = 0

    def number(self, copy: int) -> int:
        """Give the number of a copy as it was first planned."""
        return self.numbers[copy - 1] if 0 < copy <= len(self.numbers) else copy

    def count_words(self, copy: int) -> str:
        """Give "2 of 3", as it was first planned."""
        return f"{self.number(copy)} of {self.of or self.qty}"


@dataclass(frozen=True, slots=True)
class Stock:
    """One row of the stock list.

    Attributes:
        price_cents: each; None where unknown, 0 where owned.
        available: how many there are; None for as many as wanted.
        grain: LENGTH or NONE.
        trim: from a raw edge to the first clean edge, kerf included; all four edges of a
            sheet, both ends of a board.
        rip: boards: narrower parts may be ripped from it.
        band: thickness of the band glued on this material, or 0.
        bad: of one measured board: from where to where, from its left end, it is of no use to
            parts that must be clear. In order, apart from each other, inside the board.
        edges: of one piece left of another: what must come off its left, right, near and far
            edge, kerf included; None where that is ``trim``.
    """

    name: str
    material: Material
    length: Ticks
    width: Ticks
    price_cents: int | None = None
    available: int | None = None
    owned: bool = False
    grain: Grain = Grain.NONE
    trim: Ticks = Ticks(0)
    rip: bool = False
    grade: str = ""
    band: Ticks = Ticks(0)
    note: str = ""
    bad: tuple[tuple[Ticks, Ticks], ...] = ()
    edges: tuple[Ticks, Ticks, Ticks, Ticks] | None = None

    @property
    def clean_up(self) -> tuple[Ticks, Ticks, Ticks, Ticks]:
        """What must come off the left, right, near and far edge, ticks, kerf included."""
        if self.edges is not None:
            return self.edges
        across = self.trim if self.kind is Kind.SHEET else Ticks(0)
        return self.trim, self.trim, across, across

    @property
    def thickness(self) -> Ticks:
        """Actual thickness, ticks."""
        return self.material.thickness

    @property
    def kind(self) -> Kind:
        """Sheet or board."""
        return self.material.kind


@dataclass(frozen=True, slots=True)
class OpeningNeed:
    """What a job asks of the openings of a group, for air.

    Attributes:
        asked: the area as it is written: "40 sq in".
        least: the same in square ticks.
        grille: what covers the openings: a kind that is known, or where ``free_share`` is given
            any words or "".
        free_share: what lets air through, 0 to 1, as its maker says; None to go by ``grille``.
    """

    group: str
    asked: str
    least: int
    grille: str
    free_share: float | None = None


@dataclass(frozen=True, slots=True)
class Pack:
    """A pack size of an extra and its price (None where unknown)."""

    size: int
    price_cents: int | None


@dataclass(frozen=True, slots=True)
class Extra:
    """Something bought, not cut: screws, hinges, band, spare boards.

    Attributes:
        spare_of: the row of the stock list that spare boards are of, else "".
    """

    item: str
    qty: int
    packs: tuple[Pack, ...]
    group: str = ""
    note: str = ""
    spare_of: str = ""


@dataclass(frozen=True, slots=True)
class Saw:
    """A saw at home; capacities are None where it has no limit."""

    name: str
    kind: SawKind
    kerf: Ticks
    rip_capacity: Ticks | None = None
    crosscut_capacity: Ticks | None = None
    cut_length: Ticks | None = None


@dataclass(frozen=True, slots=True)
class Store:
    """The store's panel saw; it cuts bought stock only.

    Attributes:
        free_cuts: per piece bought, not pooled.
        most_cuts: per piece bought; None for no limit.
        smallest_piece: no store cut leaves a side (waste too) under this.
        rough: a part's edge made at the store gets ``allowance`` and is cut again at home.
        allowance: least taken off such an edge at home, that cut's kerf included.
    """

    kerf: Ticks
    accuracy: Ticks = Ticks(0)
    free_cuts: int = 0
    fee_per_cut_cents: int = 0
    most_cuts: int | None = None
    smallest_piece: Ticks = Ticks(0)
    rough: bool = False
    allowance: Ticks = Ticks(0)
    crosscuts_boards: bool = False


@dataclass(frozen=True, slots=True)
class Carry:
    """What the car takes; None where it sets no limit."""

    length: Ticks | None = None
    width: Ticks | None = None
    boards: Ticks | None = None

    def takes(self, length: int, width: int, kind: Kind) -> bool:
        """Say whether a piece of this size (ticks) fits the car."""
        long, short = max(length, width), min(length, width)
        if kind is Kind.BOARD and self.boards is not None:
            return long <= self.boards
        return (self.length is None or long <= self.length) and (
            self.width is None or short <= self.width
        )


RIP_SAVING = 10
"""Percent of a lumber's cost that ripping has to save where a job does not say; our own choice."""


@dataclass(frozen=True, slots=True)
class Shop:
    """The saws at home and what is worth keeping.

    Attributes:
        kerf: of a cut made with any saw.
        smallest_offcut: least size of a piece worth keeping, in the order given: pieces of
            boards at full width need but the first measure.
        stages: most levels of cuts in one direction that part a sheet; None for any number.
        rip_saving: share of a lumber's cost, in percent, that ripping narrower parts out of
            wider boards has to save to be done.
    """

    kerf: Ticks = inches(0, 1, 8)
    smallest_offcut: tuple[Ticks, Ticks] = (inches(12), inches(4))
    saws: tuple[Saw, ...] = ()
    stages: int | None = None
    rip_saving: int = RIP_SAVING

    def keeps(self, length: int, width: int, stock: Stock) -> bool:
        """Say whether a leftover of this size (ticks) is an offcut and not waste.

        A board's leftover counts at full width and the first measure, too.
        """
        first, second = self.smallest_offcut
        if stock.kind is Kind.BOARD and width == stock.width and length >= first:
            return True
        return (length >= first and width >= second) or (length >= second and width >= first)


@dataclass(frozen=True, slots=True)
class Budget:
    """What may be spent, in cents: from ``low`` (0 where not given) to ``high``."""

    low_cents: int
    high_cents: int


@dataclass(frozen=True, slots=True)
class PlanWarning:
    """Something the builder must know before cutting; ``about`` is one word of the trade."""

    about: str
    text: str


@dataclass(frozen=True, slots=True)
class Job:
    """Everything read from the job's files.

    Attributes:
        grades: what the job says of the grades in its stock list.
        confidence: chance, 0.5 to under 1, with which all parts are to come out of the boards
            bought; None where no spares are wanted.
        openings: what is asked of the openings of groups.
        trip_cents: what going back to the store costs; None where the job does not say.
        notes: what the reader understood that may surprise (never a fault).
        warnings: what the reader must warn of.
    """

    name: str
    units: Units
    parts: tuple[Part, ...]
    stock: tuple[Stock, ...]
    shop: Shop = Shop()
    store: Store | None = None
    carry: Carry | None = None
    budget: Budget | None = None
    currency: str = "USD"
    favour: Favour = Favour.OFFCUTS
    extras: tuple[Extra, ...] = ()
    grades: tuple[Grade, ...] = ()
    confidence: float | None = None
    trip_cents: int | None = None
    openings: tuple[OpeningNeed, ...] = ()
    notes: tuple[str, ...] = ()
    warnings: tuple[PlanWarning, ...] = ()

    @property
    def materials(self) -> tuple[Material, ...]:
        """Materials that parts are made of, in the order of the bill of parts."""
        return tuple(dict.fromkeys(part.material for part in self.parts))
