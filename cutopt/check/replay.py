"""The replay check: every plan is cut again before anything of it is written.

Nothing here is shared with the search or the sawing: what they got wrong, this must see.
"""

from __future__ import annotations

from cutopt.check.counter import carry_faults, store_faults
from cutopt.check.knots import knot_faults
from cutopt.check.money import money_faults
from cutopt.check.parts import part_faults
from cutopt.check.runs import run_faults
from cutopt.check.saws import saw_faults
from cutopt.check.stages import stage_faults
from cutopt.check.supply import supply_faults
from cutopt.check.tree import replay, tree_faults
from cutopt.errors import Fault
from cutopt.model.plan import Plan


def check_plan(plan: Plan) -> tuple[Fault, ...]:
    """Give everything that is wrong with a plan; empty where it can be sawn as it stands.

    Each fault names the piece of stock and the cut or the part. Checked are sizes and kerfs
    to the tick, the order of cuts, every part's count, blank, grain and distance from raw
    edges and bad spans, parts that run through, the stock there is, leftovers, what each saw
    and the store can do, levels of cuts, rough edges, the car, and all costs, bounds, shares
    and sums.
    """
    job = plan.job
    pieces = [replay(piece) for piece in plan.pieces]
    return (
        *(fault for replayed in pieces for fault in tree_faults(replayed, job)),
        *part_faults(job, pieces),
        *knot_faults(job, pieces),
        *run_faults(job, pieces),
        *supply_faults(job, pieces),
        *saw_faults(job, pieces, plan.warnings),
        *stage_faults(job, pieces),
        *store_faults(job, pieces, plan.warnings),
        *carry_faults(job, pieces, plan.warnings),
        *money_faults(plan, pieces),
    )
