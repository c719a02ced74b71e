"""Whether the saw named for a cut at home can make it."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence

from cutopt.check.tree import Replayed
from cutopt.check.words import cut_text, length_text
from cutopt.errors import Fault
from cutopt.model.job import Job, PlanWarning, Saw, SawKind
from cutopt.model.layout import Direction
from cutopt.model.plan import ANY_SAW, Cut, Maker, Node, PartPiece
from cutopt.units import inches

LEAST_AT_FENCE = inches(0, 1, 2)
LAST_RESORT = (SawKind.BAND, SawKind.JIGSAW, SawKind.HAND)


def saw_faults(
    job: Job, pieces: Sequence[Replayed], warnings: Sequence[PlanWarning]
) -> Iterator[Fault]:
    """Yield cuts made at home with a saw that cannot, or should not, make them."""
    saws = {saw.name: saw for saw in job.shop.saws}
    for replayed in pieces:
        for cut in replayed.cuts:
            if cut.by is Maker.STORE:
                continue
            name = cut_text(replayed.piece, cut)
            if cut.saw == ANY_SAW:
                able = [saw.name for saw in job.shop.saws if _can_make(saw, cut)]
                if able:
                    yield Fault(f"{name} is left to any saw, but the {able[0]} can make it")
                elif saws and not warned(warnings, "saw", replayed.piece.id, str(cut.step)):
                    yield Fault(f"{name}: no saw at home can make it, and no warning says so")
            elif cut.saw in saws:
                yield from _named_saw_faults(job, name, cut, saws[cut.saw])


def _named_saw_faults(job: Job, name: str, cut: Cut, saw: Saw) -> Iterator[Fault]:
    if not _can_make(saw, cut):
        line = length_text(_line_and_sides(cut)[0], job.units)
        yield Fault(f"{name}: the {saw.name} cannot make this {cut.direction} {line} long")
    if saw.kind in LAST_RESORT:
        able = [
            other.name
            for other in job.shop.saws
            if other.kind not in LAST_RESORT and _can_make(other, cut)
        ]
        if able:
            yield Fault(f"{name} is made with the {saw.name}, but the {able[0]} can make it")


def warned(warnings: Sequence[PlanWarning], about: str, *names: str) -> bool:
    """Say whether one warning about this holds all of these names, each as a whole word."""
    words = [re.compile(rf"(?<!\w){re.escape(name)}(?!\w)") for name in names]
    return any(
        warning.about == about and all(word.search(warning.text) for word in words)
        for warning in warnings
    )


def _line_and_sides(cut: Cut) -> tuple[int, int, int]:
    """Give the length of the cut line and both sides measured across it, ticks."""
    crosscut = cut.direction is Direction.CROSSCUT
    line, along = (cut.width, cut.length) if crosscut else (cut.length, cut.width)
    return line, cut.at, along - cut.at - cut.kerf


def _can_make(saw: Saw, cut: Cut) -> bool:
    line, first, second = _line_and_sides(cut)
    match saw.kind:
        case SawKind.TABLE:
            sides = [(first, _holds_part(cut.first)), (second, _holds_part(cut.second))]
            if any(holds for _, holds in sides):
                sides = [side for side in sides if side[1]]
            most = saw.rip_capacity
            return any(
                size >= LEAST_AT_FENCE and (most is None or size <= most) for size, _ in sides
            )
        case SawKind.MITRE:
            return saw.crosscut_capacity is None or line <= saw.crosscut_capacity
        case SawKind.TRACK | SawKind.CIRCULAR:
            return saw.cut_length is None or line <= saw.cut_length
        case SawKind.PANEL | SawKind.BAND | SawKind.JIGSAW | SawKind.HAND:
            return True


def _holds_part(node: Node | None) -> bool:
    waiting = [node]
    while waiting:
        here = waiting.pop()
        if isinstance(here, PartPiece):
            return True
        if isinstance(here, Cut):
            waiting += [here.first, here.second]
    return False
