"""What openings come to, in words."""

from __future__ import annotations

from cutopt.model.job import CutoutKind, PlanWarning
from cutopt.model.openings import OpeningCheck
from cutopt.units import TICKS_PER_INCH, TICKS_PER_MM, Units, format_length

OPENING = "opening"
"""What warnings about openings are about."""

DEFERS = "Local codes and the maker of the equipment say how much is needed."


def area_words(square_ticks: float, units: Units) -> str:
    """Give an area: "144.0 sq in" or "929.0 cm2"."""
    if units is Units.INCH:
        return f"{square_ticks / TICKS_PER_INCH**2:.1f} sq in"
    return f"{square_ticks / (10 * TICKS_PER_MM) ** 2:.1f} cm2"


def opening_words(check: OpeningCheck, units: Units) -> str:
    """Give whether a group's openings leave enough free, by how much, and what would do."""
    need = check.need
    share = f"{check.share:.4f}".rstrip("0").rstrip(".")
    percent = f"{float(share) * 100:g} %"
    by = "by its maker" if need.free_share is not None else "its maker's figure may differ"
    cover = f"{need.grille}, {by}" if need.grille else by
    counted = f"{_places(check)}, {area_words(check.cut_out, units)}"
    if check.share < 1 or need.grille != "open":
        counted += f", of which {percent} is free ({cover})"
    apart = abs(check.free - need.least)
    way = "more than" if check.met else "short of"
    free, least = area_words(check.free, units), area_words(need.least, units)
    text = (
        f"Openings of {need.group}: {free} free, {area_words(apart, units)} {way} "
        f"the {least} asked for; {counted}."
    )
    return f"{text}{'' if check.met else _growth(check, units)} {DEFERS}"


def _places(check: OpeningCheck) -> str:
    counts = ((check.openings, "opening"), (check.holes, "hole"))
    words = [f"{count} {word}{'' if count == 1 else 's'}" for count, word in counts if count]
    return " and ".join(words) or "no opening or hole"


def opening_warnings(checks: tuple[OpeningCheck, ...], units: Units) -> tuple[PlanWarning, ...]:
    """Give a warning for each group whose openings leave too little free."""
    return tuple(
        PlanWarning(OPENING, opening_words(check, units)) for check in checks if not check.met
    )


def _growth(check: OpeningCheck, units: Units) -> str:
    grown = check.grown
    if not (check.openings or check.holes):
        return " Its parts have none in the table of cutouts."
    if grown is None:
        return " No one of its openings can grow enough in its part: add another, or free more."

    def size(length: int, width: int) -> str:
        sides = (length, width) if grown.before.kind is CutoutKind.OPENING else (length,)
        return " x ".join(format_length(side, units, unit_mark=True) for side in sides)

    each = f" in each of {grown.count}" if grown.count > 1 else ""
    return (
        f" It would do with the {grown.before.kind.value} of {grown.part.name} "
        f"{size(grown.after.length, grown.after.width)} instead of "
        f"{size(grown.before.length, grown.before.width)}{each}."
    )
