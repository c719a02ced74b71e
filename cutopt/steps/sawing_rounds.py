"""Saw one piece of stock, at the store and at home, until its kerfs are settled."""

from __future__ import annotations

from cutopt.model.job import Job
from cutopt.model.layout import LaidPiece
from cutopt.steps.sawing import Bench
from cutopt.steps.sawing_measured import is_measured, saw_measured
from cutopt.steps.sawing_pieces import MisfitError, Sawn, Size, raw_edges
from cutopt.steps.sawing_store import MOST_WORK_REGROUPED, store_visit

MOST_ROUNDS = 6


def saw_piece(job: Job, laid: LaidPiece, kerf: int, *, regroup: bool = True) -> Sawn:
    """Give a whole piece of stock sawn, from a layout that fits its clean size with ``kerf``.

    ``regroup``: where something stays amiss, children of a line are looked at in other orders.

    Raises:
        MisfitError: the layout does not fit.
    """
    if is_measured(laid):
        return saw_measured(job, laid)
    bench = Bench(job, laid.stock, kerf)
    visit = store_visit(job, bench, regroup=regroup)
    size, edges = Size(laid.stock.length, laid.stock.width), raw_edges(laid.stock)

    def saw() -> Sawn:
        if visit is not None:
            return visit.part(laid.layout, edges).sawn
        bench.regroup_until = 0
        as_it_lies = bench.saw(laid.layout, size, edges)
        if not (regroup and as_it_lies.tally.missing) or bench.keeps_levels:
            return as_it_lies
        bench.regroup_until = bench.rack.asked + MOST_WORK_REGROUPED
        regrouped = bench.saw(laid.layout, size, edges)
        return min(as_it_lies, regrouped, key=lambda sawn: sawn.tally.missing)

    sawn = saw()
    for _ in range(MOST_ROUNDS):
        if not bench.learn(sawn.gaps):
            break
        try:
            sawn = saw()
        except MisfitError:
            break
    return sawn
