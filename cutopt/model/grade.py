"""Grades of boards: how many bad spans, bad ends and how much crook to expect of a board.

A model, not a measurement: bad spans begin at random along a board, at one rate for the whole
grade; their lengths, and those of bad ends, lie evenly between two measures.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from cutopt.units import Ticks, inches

INVENTED = "invented figures, no published source"
"""What is said of every grade that ships with the package."""


@dataclass(frozen=True, slots=True)
class Grade:
    """What to expect of the boards of one grade; lengths in ticks.

    Attributes:
        name: as the stock list's column ``grade`` spells it, without regard to case.
        bad_per_metre: bad spans that begin in a metre of board, on average.
        span_from, span_to: shortest and longest bad span.
        end_chance: of each end to be bad, 0 to 1.
        end_from, end_to: shortest and longest bad end.
        straight: longest part that comes out straight enough, however crooked the board;
            None where crook sets no limit.
        invented: the figures ship with the package; nobody measured them.
    """

    name: str
    bad_per_metre: float = 0.0
    span_from: Ticks = Ticks(0)
    span_to: Ticks = Ticks(0)
    end_chance: float = 0.0
    end_from: Ticks = Ticks(0)
    end_to: Ticks = Ticks(0)
    straight: Ticks | None = None
    note: str = ""
    invented: bool = False

    @property
    def clean(self) -> bool:
        """Nothing is wrong with any board of it."""
        return not self.bad_per_metre and not self.end_chance and self.straight is None


def plain_grade(word: str) -> str:
    """Give a grade's word as it is compared: without case, points, signs and extra spaces."""
    kept = "".join(letter if letter.isalnum() else " " for letter in word.casefold())
    return " ".join(kept.split())


_CLEAR = Grade("clear", invented=True)
_SELECT = Grade(
    "select", 0.15, inches(0, 1, 2), inches(2), 0.05, inches(1), inches(3), invented=True
)
_COMMON = Grade("common", 0.6, inches(1), inches(3), 0.2, inches(1), inches(5), invented=True)
_ECONOMY = Grade(
    "economy", 1.2, inches(1), inches(6), 0.4, inches(2), inches(12), inches(48), invented=True
)

# Common words of the yard; what stands behind each is invented.
SHIPPED: dict[str, Grade] = {
    **dict.fromkeys(("clear", "c", "c and better", "c better", "fas", "clean"), _CLEAR),
    **dict.fromkeys(
        ("select", "d", "d select", "c select", "selects", "prime", "premium", "no 1", "1"), _SELECT
    ),
    **dict.fromkeys(
        ("common", "no 2", "2", "no 2 common", "no 1 common", "standard", "no 2 and better"),
        _COMMON,
    ),
    **dict.fromkeys(
        ("economy", "no 3", "3", "no 3 common", "utility", "rough", "cull", "no 4", "4"), _ECONOMY
    ),
}


def grade_of(word: str, grades: Sequence[Grade]) -> Grade | None:
    """Give what is known of a grade: from the job, else a shipped default, else None."""
    asked = plain_grade(word)
    for grade in grades:
        if plain_grade(grade.name) == asked:
            return grade
    return SHIPPED.get(asked)
