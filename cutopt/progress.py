"""Record what is done of a plan, beside its plan.json."""

from __future__ import annotations

from dataclasses import dataclass, replace
from pathlib import Path

from cutopt.errors import Fault, InputError
from cutopt.model.plan import Plan
from cutopt.model.progress import Entry, Progress
from cutopt.read.plan_json import read_plan
from cutopt.read.progress import PROGRESS_FILE, read_progress
from cutopt.read.progress_words import Said, events_said
from cutopt.steps.floor import lie_on_floor
from cutopt.steps.replan_words import floor_as_json, floor_words
from cutopt.write.plan_json import plan_mark
from cutopt.write.progress import write_progress


@dataclass(frozen=True, slots=True)
class Recorded:
    """A plan, where it lies, and all that is recorded of it."""

    path: Path
    plan: Plan
    progress: Progress

    def as_json(self) -> dict[str, object]:
        """Give what is made, spoiled and still to be cut as JSON values."""
        return floor_as_json(self.plan, lie_on_floor(self.plan, self.progress.in_force()))

    def words(self) -> tuple[str, ...]:
        """Give what is made, spoiled and still to be cut, a line each."""
        return floor_words(self.plan, lie_on_floor(self.plan, self.progress.in_force()))


def record(plan_file: Path, said: Said, *, undo: bool) -> Recorded:
    """Add what is said to the record beside a plan, and give all there is.

    Args:
        plan_file: plan.json.
        said: may be nothing: then only what is recorded is read.
        undo: take back what was recorded last, before anything said now.

    Raises:
        InputError: what is said is not understood, or the record belongs to another plan.
    """
    plan = read_plan(plan_file)
    path = plan_file.with_name(PROGRESS_FILE)
    before = read_progress(path, plan_mark(plan_file.read_text(encoding="utf-8-sig")))
    progress = before
    if undo:
        if not progress.in_force():
            raise InputError([Fault("nothing is recorded that could be taken back", path.name)])
        progress = replace(progress, entries=(*progress.entries, Entry(takes_back=True)))
    events = events_said(plan, said, progress.in_force())
    if events:
        progress = replace(progress, entries=(*progress.entries, Entry(events)))
    if progress != before:
        try:
            write_progress(progress, path)
        except OSError as error:
            raise InputError([Fault(f"cannot be written: {error.strerror}", path.name)]) from error
    return Recorded(plan_file, plan, progress)
