"""The record of what is done, beside the plan it belongs to."""

from __future__ import annotations

import json
from pathlib import Path

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
from cutopt.read.progress import FORMAT, VERSION
from cutopt.units import to_mm
from cutopt.write.atomic import write_text


def write_progress(progress: Progress, path: Path) -> None:
    """Write the record in one step.

    Raises:
        OSError: the place cannot be written.
    """
    data = {
        "format": FORMAT,
        "version": VERSION,
        "plan": progress.plan,
        "entries": [_entry(entry) for entry in progress.entries],
    }
    write_text(path, json.dumps(data, indent=1, ensure_ascii=False) + "\n")


def _entry(entry: Entry) -> dict[str, object]:
    if entry.takes_back:
        return {"undo": True}
    return {"events": [_event(event) for event in entry.events]}


def _event(event: Event) -> dict[str, object]:
    match event:
        case CutsMade(piece, steps):
            return {"kind": "cuts", "piece": piece, "steps": list(steps)}
        case PartMade(part, copy):
            return {"kind": "made", "part": part, "copy": copy}
        case PartSpoiled(part, copy, left):
            return {"kind": "spoiled part", "part": part, "copy": copy, "left": _sizes(left)}
        case PieceSpoiled(piece, step, left):
            return {"kind": "spoiled piece", "piece": piece, "step": step, "left": _sizes(left)}
        case BadSpan(piece, start, end):
            return {"kind": "bad", "piece": piece, "from": to_mm(start), "to": to_mm(end)}
        case NotBought(piece):
            return {"kind": "not bought", "piece": piece}


def _sizes(left: tuple[tuple[int, int], ...]) -> list[list[float]]:
    return [[to_mm(length), to_mm(width)] for length, width in left]
