"""What reading a job gathers on its way."""

from __future__ import annotations

from dataclasses import dataclass, field

from cutopt.errors import Fault


@dataclass(slots=True)
class Gathered:
    """What reading a job gathers: faults, what cannot be planned, and notes."""

    faults: list[Fault] = field(default_factory=list)
    cannot: list[Fault] = field(default_factory=list)
    notes: list[str] = field(default_factory=list)

    def say(self, note: str) -> None:
        """Add a note once."""
        if note not in self.notes:
            self.notes.append(note)
