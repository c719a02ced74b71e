"""Measured boards and their parts in whole numbers, and the order in which a board is filled.

On a board, all that matters is how many of each kind of part begin in each clear run: parts that
must be clear come first and end in it; those that may contain bad spans follow and may reach past
it. Any arrangement can be put in that order without moving a clear part out of its run, so
nothing is left out.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from math import gcd

import numpy as np
from numpy.typing import NDArray

from cutopt.solve.boards_load import Load
from cutopt.solve.measured_runs import Run, clear_runs
from cutopt.solve.params import Problem, StockType
from cutopt.units import Ticks

Whole = NDArray[np.int64]


@dataclass(frozen=True, slots=True)
class Stages:
    """How a board is filled from left to right: at each stage some parts of one kind.

    Attributes:
        kinds: of the part, for each stage.
        starts: where its parts begin at the earliest, in units of the load.
        stops: where they end at the latest, with a kerf behind the last.
    """

    kinds: Whole
    starts: Whole
    stops: Whole


@dataclass(frozen=True, slots=True)
class MeasuredLoad:
    """Parts and boards in whole numbers; kinds of part differ in length or in ``knots_ok``.

    Attributes:
        load: weights, demands, rooms; boards that cost nothing come first.
        knots_ok: of each kind of part.
        stages: of each kind of board.
        runs: clear runs of each kind of board; none for a board without bad spans.
        parts: for each kind of part the indices of the items merged in it.
        boards: for each kind of board the indices of the stock types merged in it.
    """

    load: Load
    knots_ok: tuple[bool, ...]
    stages: tuple[Stages, ...]
    runs: tuple[tuple[Run, ...], ...]
    parts: tuple[tuple[int, ...], ...]
    boards: tuple[tuple[int, ...], ...]


def measure_load(problem: Problem, kerf: int) -> MeasuredLoad:
    """Give the load of a problem at a kerf, ticks.

    Raises:
        ValueError: a board with bad spans costs money: they are measured once they are bought.
    """
    if any(kind.bad and kind.cost for kind in problem.stock):
        raise ValueError("a measured board is owned")
    by_kind: dict[tuple[int, bool], list[int]] = {}
    for index, item in enumerate(problem.items):
        by_kind.setdefault((item.length + kerf, item.knots_ok), []).append(index)
    kinds = sorted(by_kind, reverse=True)
    copies = sum(item.qty for item in problem.items)

    by_board: dict[tuple[int, int, tuple[Run, ...]], list[int]] = {}
    for index, kind in enumerate(problem.stock):
        if kind.length + kerf >= kinds[-1][0] and kind.available != 0:
            runs = clear_runs(kind) if kind.bad else ()
            by_board.setdefault((kind.cost, -kind.length - kerf, runs), []).append(index)
    boards = sorted(by_board, key=lambda key: (key[0] > 0, key[1], key[0]))
    unit = gcd(
        *(weight for weight, _ in kinds),
        *(at for *_, runs in boards for run in runs for at in (run.start, run.end + kerf)),
    )
    load = Load(
        unit,
        tuple(weight // unit for weight, _ in kinds),
        tuple(sum(problem.items[i].qty for i in by_kind[kind]) for kind in kinds),
        tuple(-room // unit for _, room, _ in boards),
        tuple(cost for cost, *_ in boards),
        tuple(_supply([problem.stock[i] for i in by_board[key]], copies) for key in boards),
    )
    rows = tuple(
        tuple(Run(Ticks(run.start // unit), Ticks((run.end + kerf) // unit)) for run in runs)
        for *_, runs in boards
    )
    knots_ok = tuple(ok for _, ok in kinds)
    return MeasuredLoad(
        load,
        knots_ok,
        tuple(
            _stages(load.weights, knots_ok, room, runs)
            for room, runs in zip(load.rooms, rows, strict=True)
        ),
        rows,
        tuple(tuple(by_kind[kind]) for kind in kinds),
        tuple(tuple(by_board[key]) for key in boards),
    )


def with_leftover(load: MeasuredLoad, weight: int) -> MeasuredLoad:
    """Give the load with one part more, of the last kind: clear, and behind the others in a run."""
    stages = []
    kind = len(load.knots_ok)
    for room, runs, known in zip(load.load.rooms, load.runs, load.stages, strict=True):
        if not runs:
            stages.append(_joined(known, _Row([kind], [0], [room])))
            continue
        weights = (*load.load.weights, weight)
        stages.append(_stages(weights, (*load.knots_ok, False), room, runs, last=kind))
    more = replace(load.load, weights=(*load.load.weights, weight), demands=(*load.load.demands, 1))
    return replace(
        load,
        load=more,
        knots_ok=(*load.knots_ok, False),
        stages=tuple(stages),
        parts=(*load.parts, ()),
    )


def _supply(stock: Sequence[StockType], copies: int) -> int:
    counts = (kind.available for kind in stock)
    return min(copies, sum(copies if count is None else count for count in counts))


@dataclass(slots=True)
class _Row:
    kinds: list[int]
    starts: list[int]
    stops: list[int]

    def add(self, kind: int, weight: int, start: int, stop: int) -> bool:
        """Add a stage where its part has room at all; say whether it has."""
        if start + weight > stop:
            return False
        self.kinds.append(kind)
        self.starts.append(start)
        self.stops.append(stop)
        return True

    def done(self) -> Stages:
        """Give the stages for compiled code."""
        return Stages(
            np.array(self.kinds, np.int64),
            np.array(self.starts, np.int64),
            np.array(self.stops, np.int64),
        )


def _joined(known: Stages, row: _Row) -> Stages:
    more = row.done()
    return Stages(
        np.concatenate((known.kinds, more.kinds)),
        np.concatenate((known.starts, more.starts)),
        np.concatenate((known.stops, more.stops)),
    )


def _stages(
    weights: Sequence[int],
    knots_ok: Sequence[bool],
    room: int,
    runs: Sequence[Run],
    last: int | None = None,
) -> Stages:
    row = _Row([], [], [])
    kinds = [kind for kind in range(len(weights)) if kind != last]
    if not runs:
        for kind in kinds:
            row.add(kind, weights[kind], 0, room)
        return row.done()
    anywhere = [kind for kind in kinds if knots_ok[kind]]
    # Parts laid anywhere need a stage of their own only behind what keeps to a run.
    due = True
    for run in (Run(Ticks(0), Ticks(0)), *runs) if runs[0].start else runs:
        for kind in kinds:
            if not knots_ok[kind]:
                due |= row.add(kind, weights[kind], run.start, run.end)
        if due:
            for kind in anywhere:
                row.add(kind, weights[kind], 0, room)
        due = last is not None and row.add(last, weights[last], run.start, run.end)
    return row.done()
