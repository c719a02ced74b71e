"""Cautions, page by page: where the work on it can hurt, and who knows better.

Each is at most two sentences. What the saw's maker, local codes and licensed practice say
comes before all of them.

Source: for push sticks, narrow rips and short pieces see ``cutopt.steps.handling``; guard,
riving knife and push sticks are also asked for by 29 CFR 1910.213 (woodworking machinery);
limits for wood dust in air are set by OSHA, NIOSH and ACGIH; half the load's weight and two
straps or more is the rule for commercial vehicles, 49 CFR 393 subpart I, taken here as good
practice.
"""

from __future__ import annotations

from collections.abc import Iterable

from cutopt.model.job import Kind
from cutopt.model.plan import Plan
from cutopt.steps.handling import CLAMP, PUSH_STICK, SLED_OR_HAND_SAW, TWO_PEOPLE, wants_two_people
from cutopt.steps.phrase import Phrase
from cutopt.steps.setups import Visit
from cutopt.units import Units, inches, millimetres

MANUAL = (
    "The manual of your saw, local codes and licensed practice come before anything on these pages."
)
PROTECTION = (
    "Protect eyes and ears at every saw. Take wood dust off where it is made, or wear a mask."
)
TEST_CUT = (
    "Try each new setting on waste and measure what comes off. "
    "Guard and riving knife stay on; wait for the blade to stop before you reach for a piece."
)
NARROW = (
    "Narrow rips go through with a push stick, never by hand. "
    "Stand beside the line of the blade, not in it."
)
SHORT = (
    "Hands do not hold a short piece at the mitre saw: clamp it, or cut it from a longer one. "
    "The offcut at the stop must be free to move."
)
THIN = "What is thinner than the saw can guide is cut on a sled or by hand."
HEAVY = "Two people carry and steer the pieces that say so, with a stand where they leave the saw."
LOAD = (
    "Tie the load with two straps or more that together hold half its weight, so that it can "
    "neither slide nor lift. On a roof, stay under what the rack's maker allows."
)
LIFT = "A full sheet is lifted by two people with gloves on."
STRENGTH = (
    "These pages say how to cut, not whether a part is strong enough. "
    "Where it carries people, or meets stairs, wiring, gas or a structure, ask local codes and "
    "those licensed for it."
)
BOARD_ENDS = (
    "Hold the long side of a board and let the short end fall free. "
    "Clamp any end that leaves less than a hand's width to hold."
)


SHORT_SHEET = {Units.INCH: inches(0, 1, 8), Units.MM: millimetres(3)}
"""How much a sheet is often short. Common practice, no published source."""


def buy_cautions(plan: Plan) -> tuple[Phrase, ...]:
    """Give what to look at before paying, and how to bring it home."""
    bought = [piece.stock for piece in plan.pieces if not piece.stock.owned]
    kinds = {stock.kind for stock in bought}
    looks: list[Phrase] = []
    if Kind.BOARD in kinds:
        looks.append(("sight along every board for bends and twist",))
    if Kind.SHEET in kinds:
        looks.append(
            (
                "measure one sheet both ways (",
                SHORT_SHEET[plan.job.units],
                " short is common) and its thickness",
            )
        )
    if not looks:
        return ()
    joined: Phrase = (*looks[0], "; ", *looks[1]) if len(looks) == 2 else looks[0]
    found: list[Phrase] = [("Before you pay: ", *joined, ". Note what you find here:")]
    if any(wants_two_people(stock, stock.length, stock.width) for stock in bought):
        found.append((LIFT,))
    found.append((LOAD,))
    return tuple(found)


def saw_cautions(visits: Iterable[Visit]) -> tuple[str, ...]:
    """Give the cautions at the end of the saw pages; those of one kind of cut where it occurs."""
    flags = {flag for visit in visits for setup in visit.setups for flag in setup.capsules}
    special = ((PUSH_STICK, NARROW), (CLAMP, SHORT), (SLED_OR_HAND_SAW, THIN), (TWO_PEOPLE, HEAVY))
    return (
        TEST_CUT,
        *(text for flag, text in special if flag in flags),
        PROTECTION,
        MANUAL,
    )


def board_cautions() -> tuple[str, ...]:
    """Give the cautions of the board pages."""
    return (BOARD_ENDS, PROTECTION, MANUAL)


def tick_cautions() -> tuple[str, ...]:
    """Give the caution at the end of the parts to tick off."""
    return (STRENGTH,)
