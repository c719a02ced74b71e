"""What reading a job gathers on its way."""

from __future__ import annotations

from dataclasses import dataclass, field

from cutopt.errors import Fault
from cutopt.read.cells import quoted


@dataclass(slots=True)
class Gathered:
    """Faults, what cannot be planned, and notes."""

    faults: list[Fault] = field(default_factory=list)
    cannot: list[Fault] = field(default_factory=list)
    _notes: dict[str, list[str]] = field(default_factory=dict)

    def say(self, note: str, part: str = "") -> None:
        """Add a note once; the parts it is about are listed behind it."""
        about = self._notes.setdefault(note, [])
        if part and part not in about:
            about.append(part)

    @property
    def notes(self) -> tuple[str, ...]:
        """The notes in the order they came."""
        return tuple(
            f"{note} ({quoted(about, 4)})" if about else note for note, about in self._notes.items()
        )
