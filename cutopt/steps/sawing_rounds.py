"""Saw one piece of stock, at the store and at home, until its kerfs are settled."""

from __future__ import annotations

from cutopt.model.job import Job
from cutopt.model.layout import LaidPiece
from cutopt.steps.sawing import Bench
from cutopt.steps.sawing_measured import is_measured, saw_measured
from cutopt.steps.sawing_pieces import MisfitError, Sawn, Size, raw_edges
from cutopt.steps.sawing_store import store_visit

MOST_ROUNDS = 6


def saw_piece(job: Job, laid: LaidPiece, kerf: int) -> Sawn:
    """Give a whole piece of stock sawn, from a layout that fits its clean size with ``kerf``.

    Raises:
        MisfitError: the layout does not fit.
    """
    if is_measured(laid):
        return saw_measured(job, laid)
    bench = Bench(job, laid.stock, kerf)
    visit = store_visit(job, bench)
    size, edges = Size(laid.stock.length, laid.stock.width), raw_edges(laid.stock)

    def saw() -> Sawn:
        if visit is None:
            return bench.saw(laid.layout, size, edges)
        return visit.part(laid.layout, edges).sawn

    sawn = saw()
    for _ in range(MOST_ROUNDS):
        if not bench.learn(sawn.gaps):
            break
        try:
            sawn = saw()
        except MisfitError:
            break
    return sawn
