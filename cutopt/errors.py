"""What can go wrong, said to the builder, and the exit code that goes with it."""

from __future__ import annotations

from dataclasses import dataclass
from enum import IntEnum


class ExitCode(IntEnum):
    """Exit codes of the command line."""

    DONE = 0
    CANNOT_PLAN = 1
    BAD_INPUT = 2
    INTERRUPTED = 130


@dataclass(frozen=True, slots=True)
class Fault:
    """One thing that is wrong, where it is, and what would put it right.

    Attributes:
        text: what is wrong, in a builder's words.
        file: name of the file, or "" where there is none.
        row: row as a spreadsheet counts (header = row 1), or None.
        column: column header as it stands in the file, or "".
        found: the offending text, or "".
        help: what would be understood or what to change, or "".
    """

    text: str
    file: str = ""
    row: int | None = None
    column: str = ""
    found: str = ""
    help: str = ""

    def __str__(self) -> str:
        """Give the fault on one line: place, text, what was found, what would do."""
        place = ", ".join(
            word
            for word in (
                self.file,
                f"row {self.row}" if self.row is not None else "",
                f"column {self.column}" if self.column else "",
            )
            if word
        )
        line = f"{place}: {self.text}" if place else self.text
        if self.found:
            line += f' (found "{self.found}")'
        if self.help:
            line += f" - {self.help}"
        return line


class CutoptError(Exception):
    """Base of everything this package raises on purpose; carries all faults at once."""

    exit_code: ExitCode = ExitCode.BAD_INPUT

    def __init__(self, faults: list[Fault] | tuple[Fault, ...] | str) -> None:
        """Take the faults, or one text that becomes a single fault."""
        self.faults: tuple[Fault, ...] = (
            (Fault(faults),) if isinstance(faults, str) else tuple(faults)
        )
        super().__init__("\n".join(str(fault) for fault in self.faults))


class InputError(CutoptError):
    """The job, the command line or the output place is wrong (exit 2)."""

    exit_code = ExitCode.BAD_INPUT


class CannotPlanError(CutoptError):
    """The job is understood but cannot be planned: which part, why, what would do (exit 1)."""

    exit_code = ExitCode.CANNOT_PLAN


class PlanFaultError(CutoptError):
    """The independent replay found a fault in a plan; nothing is written (exit 1)."""

    exit_code = ExitCode.CANNOT_PLAN
