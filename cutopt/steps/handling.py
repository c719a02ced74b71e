"""When a piece wants more care than usual: what is said in capsules beside a set-up."""

from __future__ import annotations

from cutopt.model.job import SawKind, Stock
from cutopt.model.sizes import TWO_PEOPLE_KG, weight_kg
from cutopt.units import inches

PUSH_STICK_UNDER = inches(4)
"""Rips narrower than 4 in (100 mm) want a push stick. Source: a cabinetmaking textbook of 2016,
page 405."""
THIN_STRIP_UNDER = inches(0, 1, 2)
"""A strip under 1/2 in (13 mm) is cut on the side away from the fence, or by another way.
Source: the same textbook."""
SHORT_PIECE_UNDER = inches(8)
"""A piece shorter than 8 in is clamped at a mitre saw and never held by hand. Common practice,
no published source."""
TWO_PEOPLE_OVER = inches(60), inches(24)
"""A panel over 60 x 24 in is steered by two people. Common practice, no published source."""

PUSH_STICK = "push stick"
THIN_STRIP = "thin strip: keep it off the fence side"
SLED = "crosscut sled"
CLAMP = "short piece: clamp"
TWO_PEOPLE = "two people"
SLED_OR_HAND_SAW = "sled or hand saw"
NUMBER_THE_RUN = "run: number the parts as they come off"


def wants_two_people(stock: Stock, length: int, width: int) -> bool:
    """Say whether a piece of this stock (ticks) is lifted and steered by two people."""
    long, short = TWO_PEOPLE_OVER
    if max(length, width) > long and min(length, width) > short:
        return True
    material = stock.material
    weight = weight_kg(material.name, length, width, material.thickness, material.section)
    return weight is not None and weight > TWO_PEOPLE_KG


def capsules(
    stock: Stock,
    kind: SawKind | None,
    piece: tuple[int, int],
    setting: int,
    other: int,
    edge: int,
) -> tuple[str, ...]:
    """Give the saw flags of one cut, in words.

    Args:
        stock: what the piece is cut from.
        kind: of the saw; None for any.
        piece: length and width of the piece on the saw, ticks.
        setting: size of the side that is measured, ticks.
        other: size of the other side, ticks; 0 where nothing is left.
        edge: length of the cut: the edge that lies on the fence, ticks.
    """
    found = []
    if setting < THIN_STRIP_UNDER:
        found.append(SLED_OR_HAND_SAW)
    elif kind is SawKind.TABLE:
        if edge < setting:
            found.append(SLED)
        elif setting < PUSH_STICK_UNDER:
            found.append(PUSH_STICK)
    if kind is SawKind.TABLE and 0 < other < THIN_STRIP_UNDER:
        found.append(THIN_STRIP)
    if kind is SawKind.MITRE and max(setting, other) < SHORT_PIECE_UNDER:
        found.append(CLAMP)
    if wants_two_people(stock, *piece):
        found.append(TWO_PEOPLE)
    return tuple(found)
