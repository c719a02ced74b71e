"""Parts to tick off, by group, with all a builder must know to finish each."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from cutopt.model.job import Edge, Grain, Job, Kind, Material, Part
from cutopt.model.opening_words import area_words, opening_words
from cutopt.model.openings import open_area
from cutopt.model.plan import PartPiece, Plan, walk
from cutopt.steps.bands import band_words
from cutopt.steps.blanks import extra_phrase
from cutopt.steps.cutouts import cutout_phrases
from cutopt.steps.hands import differs_mirrored, hand_of
from cutopt.steps.materials import material_name, material_words
from cutopt.steps.openings import opening_checks
from cutopt.steps.phrase import Phrase, listed
from cutopt.steps.runs import run_places
from cutopt.steps.twins import near_twins

_GRAIN = {
    Grain.LENGTH: "grain along",
    Grain.WIDTH: "grain across",
    Grain.ANY: "grain either way",
}
LAST = "cut after fitting"


@dataclass(frozen=True, slots=True)
class TickRow:
    """One kind of part and its boxes.

    The sketch draws ``part`` itself: finished size, front edge down, bands, grain, cutouts.

    Attributes:
        facts: the line below: material, cut size, bands, grain, note.
        cutouts: each cutout in words.
        twins: "not the same as Shelf: this one is 1/8 shorter".
        pair: what to do about left and right, or ().
        hands: "left"/"right" for each box of a handed part, else ().
    """

    part: Part
    facts: tuple[Phrase, ...]
    cutouts: tuple[Phrase, ...]
    twins: tuple[Phrase, ...]
    pair: Phrase
    hands: tuple[str, ...]

    @property
    def boxes(self) -> int:
        """One a copy."""
        return self.part.qty


@dataclass(frozen=True, slots=True)
class TickGroup:
    """A sub-assembly; ``name`` is "" where the job names none.

    Attributes:
        openings: whether its openings let through the air that is asked for.
    """

    name: str
    rows: tuple[TickRow, ...]
    openings: tuple[str, ...] = ()

    @property
    def count(self) -> int:
        """Parts in the group."""
        return sum(row.part.qty for row in self.rows)


def tick_groups(plan: Plan) -> tuple[TickGroup, ...]:
    """Give all parts by sub-assembly, in the order of the bill of parts."""
    twins = near_twins(plan.job.parts)
    sources = _sources(plan)
    groups: dict[str, list[TickRow]] = {}
    for part in plan.job.parts:
        hands = tuple(hand_of(part, copy) for copy in range(1, part.qty + 1))
        row = TickRow(
            part=part,
            facts=tuple(_facts(plan.job, part, sources.get(part.id, [part.material]))),
            cutouts=cutout_phrases(part),
            twins=twins[part.id],
            pair=_pair(part),
            hands=hands if part.handed else (),
        )
        groups.setdefault(part.group, []).append(row)
    openings: dict[str, list[str]] = {}
    for check in opening_checks(plan):
        words = opening_words(check, plan.job.units)
        openings.setdefault(check.need.group, []).append(words)
    return tuple(
        TickGroup(name, tuple(rows), tuple(openings.get(name, ()))) for name, rows in groups.items()
    )


def _sources(plan: Plan) -> dict[str, list[Material]]:
    """Give the materials that the copies of each part are cut from: boards may be of several."""
    found: dict[str, dict[Material, None]] = {}
    for piece in plan.pieces:
        for placed in walk(piece.layout):
            if isinstance(placed.node, PartPiece):
                found.setdefault(placed.node.part, {})[piece.stock.material] = None
    return {part: list(materials) for part, materials in found.items()}


def _facts(job: Job, part: Part, materials: Sequence[Material]) -> list[Phrase]:
    """Give what stands below the name: material, cut size, bands, grain, when to cut, note."""
    facts = [material_words(part.material)]
    if len(materials) > 1:
        facts = [(listed([material_name(material) for material in materials]),)]
    if (part.blank_length, part.blank_width) != (part.length, part.width):
        then = ", then band" if part.band else ""
        facts.append(("cut ", part.blank_length, " × ", part.blank_width, then))
    if extra := extra_phrase(part):
        then = ": trim before the cutouts are marked" if part.cutouts else ""
        facts.append((*extra, then))
    if area := open_area(part):
        facts.append((f"{area_words(area, job.units)} cut out",))
    if part.band:
        facts.append((band_words(part),))
    if part.material.kind is Kind.SHEET and any(
        stock.material == part.material and stock.grain is Grain.LENGTH for stock in job.stock
    ):
        facts.append((_GRAIN.get(part.grain, _GRAIN[Grain.ANY]),))
    facts += _run(job, part)
    if part.knots_ok:
        facts.append(("knots allowed",))
    if part.last:
        facts.append((LAST,))
    if part.numbers and len(part.numbers) < (part.of or part.qty):
        numbers = listed([str(number) for number in part.numbers])
        facts.append((f"still to make: number {numbers} of {part.of or part.qty}",))
    if part.note:
        facts.append((part.note,))
    return facts


def _run(job: Job, part: Part) -> list[Phrase]:
    """Give the places of a part's copies in their run, and what the figure runs on from."""
    places = run_places(job)
    if (part.id, 1) not in places:
        return []
    first, last = places[part.id, 1], places[part.id, part.qty]
    words = first.words
    if part.qty > 1:
        words = f"run {first.word}, {first.number} to {last.number} of {first.count}"
    if first.number > 1:
        before = next(
            other.name
            for other in job.parts
            if (place := places.get((other.id, other.qty))) is not None
            and other.material == part.material
            and (place.word, place.number) == (first.word, first.number - 1)
        )
        words += f", runs on from {before}"
    return [(words,)]


def _pair(part: Part) -> Phrase:
    """Give what to think of where copies may have to mirror each other, or ()."""
    if part.handed:
        return ("left ones as drawn; right ones are their mirror image",)
    one_long_edge = (Edge.FRONT in part.band) != (Edge.BACK in part.band)
    cut = differs_mirrored(part)
    if part.handed is False or part.qty % 2 or not (cut or one_long_edge):
        return ()
    copies, turned = ("one left, one right", "one") if part.qty == 2 else ("left and right", "half")
    before = part.cutouts[0].kind.value if cut else "band"
    return (f"{copies}? turn {turned} over before the {before}",)
