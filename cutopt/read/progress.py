"""The record of what is done of a plan, read back."""

from __future__ import annotations

from pathlib import Path

from cutopt.errors import Fault, InputError
from cutopt.model.progress import (
    BadSpan,
    CutsMade,
    Entry,
    Event,
    NotBought,
    PartMade,
    PartSpoiled,
    PieceSpoiled,
    Progress,
)
from cutopt.read.json_value import Value, load_document
from cutopt.units import Ticks

FORMAT = "cutopt-progress"
VERSION = 1
PROGRESS_FILE = "progress.json"


def read_progress(path: Path, mark: str) -> Progress:
    """Give the record beside a plan; an empty one where nothing was recorded yet.

    Raises:
        InputError: the record cannot be read, or belongs to another plan.
    """
    if not path.exists():
        return Progress(mark)
    document = load_document(path)
    top = document.top
    top["format"].should_be(FORMAT, top["format"].text() == FORMAT)
    top["version"].should_be(str(VERSION), top["version"].whole() == VERSION)
    progress = Progress(
        top["plan"].text(), tuple(_entry(entry) for entry in top["entries"].items())
    )
    top.no_more_keys()
    document.raise_faults()
    if progress.plan != mark:
        raise InputError(
            [
                Fault(
                    f"records what was cut of the plan marked {progress.plan}, but plan.json "
                    f"beside it is the plan marked {mark}",
                    path.name,
                    help="put the plan back that was cut from, or move the record elsewhere",
                )
            ]
        )
    return progress


def _entry(value: Value) -> Entry:
    if value.has("undo"):
        entry = Entry(takes_back=value["undo"].flag())
    else:
        entry = Entry(tuple(_event(event) for event in value["events"].items()))
    value.no_more_keys()
    return entry


def _event(value: Value) -> Event:
    kind = value["kind"].text()
    event: Event
    match kind:
        case "cuts":
            steps = tuple(step.whole(1) for step in value["steps"].items())
            event = CutsMade(value["piece"].text(), steps)
        case "made":
            event = PartMade(value["part"].text(), value["copy"].whole(1))
        case "spoiled part":
            event = PartSpoiled(value["part"].text(), value["copy"].whole(1), _sizes(value))
        case "spoiled piece":
            event = PieceSpoiled(value["piece"].text(), value["step"].whole(), _sizes(value))
        case "bad":
            event = BadSpan(value["piece"].text(), value["from"].length(), value["to"].length())
        case "not bought":
            event = NotBought(value["piece"].text())
        case _:
            value["kind"].fault("is not a kind of event known here")
            return CutsMade("", ())
    value.no_more_keys()
    return event


def _sizes(value: Value) -> tuple[tuple[Ticks, Ticks], ...]:
    pairs = (size.pair() for size in value["left"].items())
    return tuple((pair[0].length(), pair[1].length()) for pair in pairs if pair is not None)
