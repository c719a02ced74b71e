"""What has been done of a plan so far: cuts made, parts made, parts and pieces spoiled."""

from __future__ import annotations

from dataclasses import dataclass

from cutopt.units import Ticks


@dataclass(frozen=True, slots=True)
class CutsMade:
    """Cuts of one piece of stock that are made, by their steps."""

    piece: str
    steps: tuple[int, ...]


@dataclass(frozen=True, slots=True)
class PartMade:
    """A copy of a part that is cut and good."""

    part: str
    copy: int


@dataclass(frozen=True, slots=True)
class PartSpoiled:
    """A copy of a part that was cut and is no good; ``left`` are (length, width) still usable."""

    part: str
    copy: int
    left: tuple[tuple[Ticks, Ticks], ...] = ()


@dataclass(frozen=True, slots=True)
class PieceSpoiled:
    """The piece that lay on the saw for a step is no good, or a whole one where step is 0."""

    piece: str
    step: int = 0
    left: tuple[tuple[Ticks, Ticks], ...] = ()


@dataclass(frozen=True, slots=True)
class BadSpan:
    """A span of a board not yet cut, from its left end, that is of no use to clear parts."""

    piece: str
    start: Ticks
    end: Ticks


@dataclass(frozen=True, slots=True)
class NotBought:
    """A piece of the plan that has not been bought yet."""

    piece: str


Event = CutsMade | PartMade | PartSpoiled | PieceSpoiled | BadSpan | NotBought


@dataclass(frozen=True, slots=True)
class Entry:
    """What was said at one time; or that the last thing said is taken back."""

    events: tuple[Event, ...] = ()
    takes_back: bool = False


@dataclass(frozen=True, slots=True)
class Progress:
    """All that was said of the plan with this mark, in order; nothing is ever taken out."""

    plan: str
    entries: tuple[Entry, ...] = ()

    def in_force(self) -> tuple[Event, ...]:
        """Give what holds now: all that was said and not taken back."""
        held: list[Entry] = []
        for entry in self.entries:
            if not entry.takes_back:
                held.append(entry)
            elif held:
                held.pop()
        return tuple(event for entry in held for event in entry.events)
