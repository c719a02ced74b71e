"""What was understood of a job, as plain data to look over before anything is planned."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from fractions import Fraction

from cutopt.model.grade import Grade, grade_of
from cutopt.model.job import Grain, Job, Kind, Material, Part, Stock
from cutopt.model.opening_words import opening_words
from cutopt.model.openings import check_openings
from cutopt.model.sizes import TWO_PEOPLE_KG, board_feet, parse_section, weight_kg
from cutopt.units import TICKS_PER_INCH, TICKS_PER_MM, Ticks

_SQUARE_METRE = (1000 * TICKS_PER_MM) ** 2


@dataclass(frozen=True, slots=True)
class UnderstoodPart:
    """One row of the bill of parts as understood; sizes in ticks.

    Attributes:
        finished: length, width, thickness.
        blank: length and width to cut.
        area_m2: of all its blanks; for sheets.
        board_feet: of all its blanks, counted as lumber is sold; for boards.
        weight_kg: of one finished part, approximate; None where the material is unknown.
    """

    id: str
    name: str
    qty: int
    finished: tuple[Ticks, Ticks, Ticks]
    blank: tuple[Ticks, Ticks]
    material: str
    section: str | None
    grain: str
    band: tuple[str, ...]
    group: str
    area_m2: float | None
    board_feet: float | None
    weight_kg: float | None
    row: int | None
    note: str


@dataclass(frozen=True, slots=True)
class UnderstoodStock:
    """One row of the stock list as understood; sizes in ticks, money in cents.

    Attributes:
        size: length, width, thickness.
        used: whether any part is of its material.
        weight_kg: of one piece, approximate; None where the material is unknown.
        two_people: it weighs more than one person should lift.
        bad, clear: of a measured board: bad spans, and runs between them that are left once
            both ends are trimmed; from-to from its left end. Empty where it has no bad span.
    """

    name: str
    kind: str
    material: str
    section: str | None
    size: tuple[Ticks, Ticks, Ticks]
    price_cents: int | None
    available: int | None
    owned: bool
    used: bool
    weight_kg: float | None
    two_people: bool
    bad: tuple[tuple[Ticks, Ticks], ...] = ()
    clear: tuple[tuple[Ticks, Ticks], ...] = ()
    grade: str = ""


@dataclass(frozen=True, slots=True)
class UnderstoodGrade:
    """A grade of the boards that parts may come from, "" for boards without one.

    Attributes:
        expected: what is wrong with its boards; None where nothing says it: taken as clear.
    """

    word: str
    expected: Grade | None


@dataclass(frozen=True, slots=True)
class UnderstoodMaterial:
    """What the parts of one material come to; sheets by area, boards by length and board feet."""

    material: str
    kind: str
    thickness: Ticks
    section: str | None
    parts: int
    pieces: int
    area_m2: float
    length: Ticks
    board_feet: float | None
    weight_kg: float | None


@dataclass(frozen=True, slots=True)
class Understood:
    """A job as understood.

    Attributes:
        pieces: parts to make, copies counted.
        grades: none where no board has one.
        confidence: chance that all parts come out of the boards bought, 0 to 1; None where
            none is asked for.
        openings: of each group whose openings have to let air through, whether they do.
        weight_kg: of all finished parts together, approximate; None where any is unknown.
    """

    name: str
    units: str
    parts: tuple[UnderstoodPart, ...]
    stock: tuple[UnderstoodStock, ...]
    materials: tuple[UnderstoodMaterial, ...]
    pieces: int
    weight_kg: float | None
    notes: tuple[str, ...]
    grades: tuple[UnderstoodGrade, ...] = ()
    confidence: float | None = None
    openings: tuple[str, ...] = ()


def understood(job: Job) -> Understood:
    """Give what was understood of a job."""
    parts = tuple(_part(part) for part in job.parts)
    used = set(job.materials)
    return Understood(
        name=job.name,
        units=str(job.units),
        parts=parts,
        stock=tuple(_stock(row, used=row.material in used) for row in job.stock),
        materials=tuple(_material(material, job) for material in job.materials),
        pieces=sum(part.qty for part in job.parts),
        weight_kg=_sum(
            None if part.weight_kg is None else part.weight_kg * part.qty for part in parts
        ),
        notes=job.notes,
        grades=_grades(job),
        confidence=job.confidence,
        openings=tuple(
            opening_words(check, job.units)
            for check in check_openings(job.openings, job.parts, job.units)
        ),
    )


def _grades(job: Job) -> tuple[UnderstoodGrade, ...]:
    used = set(job.materials)
    words = dict.fromkeys(
        row.grade
        for row in job.stock
        if row.kind is Kind.BOARD and row.material in used and not row.owned
    )
    if not any(words):
        return ()
    return tuple(UnderstoodGrade(word, grade_of(word, job.grades)) for word in words)


def _sum(weights: Iterable[float | None]) -> float | None:
    """Give the sum in kg, or None where any is unknown."""
    total = 0.0
    for weight in weights:
        if weight is None:
            return None
        total += weight
    return total


def blank_board_feet(part: Part) -> Fraction | None:
    """Give the board feet of one blank of a board part, None for sheets.

    A nominal section is counted by its name, other boards by their actual size.
    """
    material = part.material
    if material.kind is Kind.SHEET:
        return None
    section = parse_section(material.section or "")
    if section is not None:
        return board_feet(section.nominal_thickness, section.nominal_width, part.blank_length)
    thickness = Fraction(material.thickness, TICKS_PER_INCH)
    return board_feet(thickness, Fraction(part.blank_width, TICKS_PER_INCH), part.blank_length)


def _weight(material: Material, length: int, width: int) -> float | None:
    return weight_kg(material.name, length, width, material.thickness, material.section)


def _area_m2(part: Part) -> float:
    return part.qty * part.blank_length * part.blank_width / _SQUARE_METRE


def _part(part: Part) -> UnderstoodPart:
    feet = blank_board_feet(part)
    return UnderstoodPart(
        id=part.id,
        name=part.name,
        qty=part.qty,
        finished=(part.length, part.width, part.thickness),
        blank=(part.blank_length, part.blank_width),
        material=part.material.name,
        section=part.material.section,
        grain="" if part.grain is Grain.ANY else str(part.grain),
        band=tuple(str(edge) for edge in part.band),
        group=part.group,
        area_m2=_area_m2(part) if feet is None else None,
        board_feet=None if feet is None else float(part.qty * feet),
        weight_kg=_weight(part.material, part.length, part.width),
        row=part.row,
        note=part.note,
    )


def _stock(row: Stock, *, used: bool) -> UnderstoodStock:
    weight = _weight(row.material, row.length, row.width)
    return UnderstoodStock(
        name=row.name,
        kind=str(row.kind),
        material=row.material.name,
        section=row.material.section,
        size=(row.length, row.width, row.thickness),
        price_cents=row.price_cents,
        available=row.available,
        owned=row.owned,
        used=used,
        weight_kg=weight,
        two_people=weight is not None and weight > TWO_PEOPLE_KG,
        bad=row.bad,
        clear=_clear_runs(row) if row.bad else (),
        grade=row.grade,
    )


def _clear_runs(row: Stock) -> tuple[tuple[Ticks, Ticks], ...]:
    starts = [row.trim, *(max(end, row.trim) for _, end in row.bad)]
    last = Ticks(row.length - row.trim)
    ends = [*(min(start, last) for start, _ in row.bad), last]
    return tuple((a, b) for a, b in zip(starts, ends, strict=True) if a < b)


def _material(material: Material, job: Job) -> UnderstoodMaterial:
    parts = [part for part in job.parts if part.material == material]
    feet = [blank_board_feet(part) for part in parts]
    weights = [_weight(material, part.length, part.width) for part in parts]
    return UnderstoodMaterial(
        material=material.name,
        kind=str(material.kind),
        thickness=material.thickness,
        section=material.section,
        parts=len(parts),
        pieces=sum(part.qty for part in parts),
        area_m2=sum(_area_m2(part) for part in parts),
        length=Ticks(sum(part.qty * part.blank_length for part in parts)),
        board_feet=None
        if material.kind is Kind.SHEET
        else float(sum((p.qty * f for p, f in zip(parts, feet, strict=True) if f), Fraction(0))),
        weight_kg=_sum(
            None if weight is None else weight * part.qty
            for part, weight in zip(parts, weights, strict=True)
        ),
    )
