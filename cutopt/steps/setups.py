"""Set-ups: the cuts of all sheets in the order of walking from saw to saw."""

from __future__ import annotations

from dataclasses import dataclass

from cutopt.units import Ticks


@dataclass(frozen=True, slots=True)
class Outcome:
    """Something that comes off a cut: a part, a piece that goes on, or an offcut to keep.

    Attributes:
        kind: "part", "piece" or "offcut".
        name: "Cleat", "S1 B2", "keep S1-a".
        count: how many come off the passes of the line.
    """

    kind: str
    name: str
    count: int = 1

    @property
    def words(self) -> str:
        """Give "4 × Cleat" or "S1 B2"."""
        return self.name if self.count == 1 else f"{self.count} × {self.name}"


@dataclass(frozen=True, slots=True)
class SetupLine:
    """One line of a set-up: a piece, what is done, what comes out.

    Attributes:
        ids: stock pieces cut alike.
        piece: name of the piece that lies on the saw, without ids: "B2".
        action: "rip", "crosscut" or "trim".
        outcomes: what is kept; waste is not listed.
        done: "edge clean", "to length", "to width", or "" where a part comes off.
        steps: numbers of the cuts on each stock piece.
        measure_first: what the other side must come out where the fence rests on waste.
    """

    ids: tuple[str, ...]
    piece: str
    action: str
    outcomes: tuple[Outcome, ...]
    done: str
    steps: tuple[int, ...]
    measure_first: Ticks | None = None

    @property
    def boxes(self) -> int:
        """Passes of the saw, one box each."""
        return len(self.steps) * len(self.ids)

    @property
    def source(self) -> str:
        """Give what lies on the saw: "S1 B2", "S1 S4 B2", "L3"."""
        return f"{' '.join(self.ids)} {self.piece}".rstrip()

    @property
    def result(self) -> str:
        """Give what comes out: "4 × Cleat + S1 B2", "S1 B, edge clean"."""
        kept = " + ".join(outcome.words for outcome in self.outcomes)
        return f"{kept}, {self.done}" if self.done else kept

    @property
    def cut_numbers(self) -> str:
        """Give "cut 5", "cuts 11-14", "cuts 4, 7"."""
        if len(self.steps) == 1:
            return f"cut {self.steps[0]}"
        if self.steps[-1] - self.steps[0] == len(self.steps) - 1:
            return f"cuts {self.steps[0]}-{self.steps[-1]}"
        return f"cuts {', '.join(map(str, self.steps))}"


@dataclass(frozen=True, slots=True)
class Setup:
    """One setting of one saw and everything cut with it.

    Attributes:
        number: 1..n through the job.
        setting: ticks.
        kind: "fence", "stop", "mark" or "sled stop".
        capsules: saw flags in words.
    """

    number: int
    setting: Ticks
    kind: str
    lines: tuple[SetupLine, ...]
    capsules: tuple[str, ...]

    @property
    def cuts(self) -> int:
        """Passes of the saw."""
        return sum(line.boxes for line in self.lines)


@dataclass(frozen=True, slots=True)
class Visit:
    """All that is done at one saw before walking on.

    Attributes:
        title: "Table saw", "Any saw".
        saw: the saw's name in the job, or "any".
        how: what the settings mean: "fence to blade".
        kerf: ticks.
    """

    saw: str
    title: str
    how: str
    kerf: Ticks
    setups: tuple[Setup, ...]
