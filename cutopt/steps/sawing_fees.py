"""What the store asks for its cuts."""

from __future__ import annotations

from cutopt.model.job import Job
from cutopt.model.plan import Maker, StockPiece


def store_fee(job: Job, cuts: int) -> int:
    """Give what the store asks for that many cuts on one piece, in cents."""
    if job.store is None:
        return 0
    return max(0, cuts - job.store.free_cuts) * job.store.fee_per_cut_cents


def fee_of(job: Job, piece: StockPiece) -> int:
    """Give what the store asks for its cuts in a piece, cents."""
    return store_fee(job, sum(cut.by is Maker.STORE for cut in piece.cuts()))
