"""Parts to tick off, by group, with all a builder must know to finish each."""

from __future__ import annotations

from dataclasses import dataclass

from cutopt.model.job import Part
from cutopt.steps.phrase import Phrase


@dataclass(frozen=True, slots=True)
class TickRow:
    """One kind of part and its boxes.

    The sketch draws ``part`` itself: finished size, front edge down, bands, grain, cutouts.

    Attributes:
        facts: the line below: material, cut size, bands, grain, note.
        cutouts: each cutout in words.
        twins: "not the same as Shelf, 1/8 shorter".
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
    """A sub-assembly; ``name`` is "" where the job names none."""

    name: str
    rows: tuple[TickRow, ...]

    @property
    def count(self) -> int:
        """Parts in the group."""
        return sum(row.part.qty for row in self.rows)
