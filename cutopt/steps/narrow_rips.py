"""Rips at home that bring the hands near the blade: counted, so that layouts can do with fewer."""

from __future__ import annotations

from cutopt.model.job import Job, SawKind
from cutopt.model.plan import Cut, Maker, Node, walk
from cutopt.steps.handling import PUSH_STICK_UNDER, THIN_STRIP_UNDER
from cutopt.steps.pieces import across, holds_part
from cutopt.steps.settings import setting_of


def narrow_rips(job: Job, layout: Node) -> tuple[int, int]:
    """Give how many rips at home leave a thin strip with a part in it, and how many a narrow one.

    Counted are cuts at a table saw, and with any saw where none is named; crosscuts, whose piece
    lies with its shorter edge on the fence, go over a sled and are not among them. Thin and
    narrow are what ``cutopt.steps.handling`` says, and its sources.
    """
    saws = {saw.name: saw for saw in job.shop.saws}
    thin = narrow = 0
    for placed in walk(layout):
        cut = placed.node
        if not isinstance(cut, Cut) or cut.by is not Maker.SHOP:
            continue
        saw = saws.get(cut.saw)
        if saw is not None and saw.kind is not SawKind.TABLE:
            continue
        size = setting_of(cut, saw).size
        held = [
            across(side, cut.direction)
            for side in (cut.first, cut.second)
            if side is not None and holds_part(side)
        ]
        if min(held, default=size) < THIN_STRIP_UNDER:
            thin += 1
        elif size < PUSH_STICK_UNDER and size <= across(cut, cut.direction.other):
            narrow += 1
    return thin, narrow
