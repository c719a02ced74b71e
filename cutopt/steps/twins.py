"""Parts that are easily mistaken for each other."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping, Sequence

from cutopt.model.job import Part
from cutopt.steps.phrase import Phrase
from cutopt.units import inches

NEAR = inches(0, 1, 4)
"""Parts this near in both ways are mistaken for each other. Common practice, no published
source."""
MOST_NAMED = 3
"""Twins named beside one part: the nearest."""


def near_twins(parts: Sequence[Part]) -> Mapping[str, tuple[Phrase, ...]]:
    """Give, by part id, the lines that tell a part from its near twins.

    Twins have the same name, or are of one material and within 1/4 in in both ways without
    being equal in size.
    """
    by_name: dict[str, list[Part]] = defaultdict(list)
    by_place: dict[tuple[object, int, int], list[Part]] = defaultdict(list)
    for part in parts:
        by_name[part.name.casefold()].append(part)
        by_place[part.material, part.length // NEAR, part.width // NEAR].append(part)
    order = {part.id: number for number, part in enumerate(parts)}

    def twins_of(part: Part) -> tuple[Phrase, ...]:
        near = [
            other
            for along in (-1, 0, 1)
            for across in (-1, 0, 1)
            for other in by_place.get(
                (part.material, part.length // NEAR + along, part.width // NEAR + across), ()
            )
            if 0 < _most_apart(part, other) <= NEAR
        ]
        found = {other.id: other for other in (*by_name[part.name.casefold()], *near)}
        found.pop(part.id, None)
        nearest = sorted(found.values(), key=lambda o: (_most_apart(part, o), order[o.id]))
        return tuple(_told_apart(part, other) for other in nearest[:MOST_NAMED])

    return {part.id: twins_of(part) for part in parts}


def _most_apart(part: Part, other: Part) -> int:
    """Give the larger difference of two parts' sizes, ticks."""
    return max(abs(part.length - other.length), abs(part.width - other.width))


def _told_apart(part: Part, other: Part) -> Phrase:
    same_name = part.name.casefold() == other.name.casefold()
    group = f" in {other.group}" if other.group != part.group and other.group else ""
    name = f"{'the other ' if same_name else ''}{other.name}{group}"
    differences: list[str | int] = []
    for mine, theirs, less, more in (
        (part.length, other.length, "shorter", "longer"),
        (part.width, other.width, "narrower", "wider"),
        (part.thickness, other.thickness, "thinner", "thicker"),
    ):
        if mine != theirs:
            joint = " and " if differences else ""
            differences += [joint, abs(mine - theirs), f" {less if mine < theirs else more}"]
    if not differences:
        return (f"not the same as {name}, though of one size",)
    return (f"not the same as {name}: this one is ", *(w for w in differences if w != ""))
