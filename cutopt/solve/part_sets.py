"""Every set of chosen parts that one sheet can give, listed from small to large.

Each set is kept with all the least boxes that hold it: those of any two sets it parts into,
side by side along or across. A size is raised to the largest that leaves room for the same
parts beside it, which makes many boxes one.

Source: Wang, "Two algorithms for constrained two-dimensional cutting stock problems", 1983,
doi:10.1287/opre.31.3.573 (building cut sets from two smaller ones); Terno, Lindemann and
Scheithauer, "Zuschnittprobleme und ihre praktische Lösung", 1987 (sizes that leave the same
room are as good as one another); the complete listing with all least boxes is this
project's own.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from cutopt.solve.kernel.part_sets import (
    BOX,
    BOXES,
    CLOSES,
    DONE,
    FILLED,
    HOLD,
    HOLD_MORE,
    KIND,
    PARENT,
    PAUSED,
    SETS,
    WORK,
    grow,
    grown_by,
    weigh_sets,
)
from cutopt.solve.sheets_sizes import Lay, Sizes
from cutopt.solve.slicing import ACROSS, ALONG, Block, joined

Whole = NDArray[np.int64]

MOST_TYPES = 62
"""A set keeps the sheet types it fits as bits of one number."""
_BOXES_A_SET = 12
_MOST_STOPS = 2048
_ROUND = 5_000_000


@dataclass(frozen=True, slots=True)
class PartSets:
    """All sets of the chosen parts that fit one sheet of any type of one grain.

    Attributes:
        counts: how many parts of each kind were chosen.
        types: the sheet types listed for, by number.
        lays: by kind, how one part may lie on them.
        sets, boxes, masks: as the kernel lists them, cut to what is used.
    """

    counts: tuple[int, ...]
    types: tuple[int, ...]
    lays: tuple[tuple[Lay, ...], ...]
    sets: NDArray[np.int32]
    boxes: NDArray[np.int32]
    masks: Whole

    def __len__(self) -> int:
        """Give the number of sets, the empty one among them."""
        return int(self.sets.shape[1])

    def weights(self, values: Whole) -> Whole:
        """Give what every set weighs, given a value a kind."""
        weights = np.empty(len(self), np.int64)
        weigh_sets(self.sets, len(self), values, weights)
        return weights

    def full(self, sheet: int) -> NDArray[np.int64]:
        """Give the sets that fit a type of sheet but not with any part more."""
        bit = self.types.index(sheet)
        alone = self.masks[HOLD] & ~self.masks[HOLD_MORE]
        return np.flatnonzero(alone >> bit & 1)

    def counts_of(self, one: int) -> dict[int, int]:
        """Give how many parts of each kind are in a set, by kind."""
        held: dict[int, int] = {}
        while one:
            kind = int(self.sets[KIND, one])
            held[kind] = held.get(kind, 0) + 1
            one = int(self.sets[PARENT, one])
        return dict(sorted(held.items()))

    def lay(self, one: int, length: int, width: int, sizes: Sizes) -> Block:
        """Give a block that holds a set within a length and width its boxes fit."""
        held = self.counts_of(one)
        if sum(held.values()) == 1:
            kind = next(iter(held))
            lay = next(lay for lay in self.lays[kind] if lay[0] <= length and lay[1] <= width)
            return sizes.part(kind, lay)
        for way, first, second, at in self._partings(one, length, width):
            if way == ALONG:
                blocks = (
                    self.lay(first, at, width, sizes),
                    self.lay(second, length - at, width, sizes),
                )
            else:
                blocks = (
                    self.lay(first, length, at, sizes),
                    self.lay(second, length, width - at, sizes),
                )
            return joined(way, blocks)
        raise LookupError("the set was not listed for this size")

    def _partings(self, one: int, length: int, width: int) -> Iterator[tuple[int, int, int, int]]:
        """Yield how a set parts in two within a size: way, the two sets, where."""
        inside = [0]
        for kind, many in self.counts_of(one).items():
            layer = inside
            for _ in range(many):
                layer = [grown_by(self.sets, smaller, kind) for smaller in layer]
                inside = inside + layer
        for first, second in zip(inside[1:-1], inside[-2:0:-1], strict=True):
            for a, b in self._boxes(first):
                if a > length or b > width:
                    continue
                for c, d in self._boxes(second):
                    if a + c <= length and d <= width:
                        yield ALONG, first, second, a
                    if b + d <= width and c <= length:
                        yield ACROSS, first, second, b

    def _boxes(self, one: int) -> list[tuple[int, int]]:
        start = int(self.sets[BOX, one])
        rows = self.boxes[start : start + int(self.sets[BOXES, one])]
        return [(int(a), int(b)) for a, b in rows]


def list_part_sets(
    sizes: Sizes,
    types: tuple[int, ...],
    counts: tuple[int, ...],
    most: int,
    limit: int,
    stopped: Callable[[], bool],
) -> tuple[PartSets | None, int]:
    """Give all sets that fit a sheet of these types, or None past a limit; and the work done.

    Args:
        sizes: the problem.
        types: sheet types on which parts may lie the same ways, ``MOST_TYPES`` at most.
        counts: how many parts of each kind to list sets of.
        most: sets to list.
        limit: work allowed: ways of parting a set in two, and their boxes.
        stopped: says whether to give up now.
    """
    if len(types) > MOST_TYPES:
        return None, 0
    lays = tuple(
        tuple(sorted({lay for t in types for lay in sizes.lays[t][kind]}))
        for kind in range(len(counts))
    )
    rows = [
        (kind, lay[0], lay[1]) for kind, count in enumerate(counts) if count for lay in lays[kind]
    ]
    if not rows:
        nothing = np.zeros((7, 1), np.int32)
        return (
            PartSets(counts, types, lays, nothing, np.zeros((0, 2), np.int32), _no_masks(1)),
            0,
        )
    table = np.array(rows, np.int64)
    sheets = np.array([(sizes.types[t].length, sizes.types[t].width) for t in types], np.int64)
    loose_along, along = _stops(sheets[:, 0], table[:, 1], table[:, 0], counts)
    loose_across, across = _stops(sheets[:, 1], table[:, 2], table[:, 0], counts)
    limits = np.array(
        [
            sheets[:, 0].max(),
            sheets[:, 1].max(),
            loose_along,
            loose_across,
            max(sizes.types[t].area for t in types),
            min(sizes.kinds[kind].area for kind, _, _ in rows),
            0,
        ],
        np.int64,
    )
    limits[CLOSES] = len(types) == 1
    parts = np.array([(n, k.area) for n, k in zip(counts, sizes.kinds, strict=True)], np.int64)
    # Untouched room costs no memory.
    sets = np.empty((7, most + 1), np.int32)
    boxes = np.empty((_BOXES_A_SET * (most + 1), 2), np.int32)
    masks = np.empty((2, most + 1), np.int64)
    areas = np.empty(most + 1, np.int64)
    masks[:, 0] = 0
    state = np.zeros(4, np.int64)
    status = PAUSED
    while status == PAUSED and state[WORK] <= limit and not stopped():
        status = grow(
            parts,
            table,
            sheets,
            limits,
            along,
            across,
            sets,
            boxes,
            masks,
            areas,
            state,
            min(limit, int(state[WORK]) + _ROUND),
        )
    if status != DONE:
        return None, int(state[WORK])
    count, filled = int(state[SETS]), int(state[FILLED])
    kept = PartSets(
        counts,
        types,
        lays,
        sets[:, :count],
        boxes[:filled],
        masks[:, :count],
    )
    return kept, int(state[WORK])


def _no_masks(count: int) -> Whole:
    return np.zeros((2, count), np.int64)


def _stops(sheets: Whole, sides: Whole, kinds: Whole, counts: tuple[int, ...]) -> tuple[int, Whole]:
    """Give the size past which sizes are raised, and the sizes they are raised to.

    A size over half the longest sheet has only parts beside it that are not raised
    themselves: the most of their sums that still fits beside it is what it must leave room
    for. Source: as for the module.
    """
    longest = int(sheets.max())
    sums = 1
    inside = (1 << (longest // 2 + 1)) - 1
    for side, kind in zip(sides.tolist(), kinds.tolist(), strict=True):
        for _ in range(min(counts[kind], longest // (2 * side))):
            more = (sums | sums << side) & inside
            if more == sums:
                break
            sums = more
    raw = np.frombuffer(sums.to_bytes(longest // 16 + 1, "little"), np.uint8)
    beside = np.flatnonzero(np.unpackbits(raw, bitorder="little"))
    reach = longest - longest // 2 - 1
    if len(beside) > _MOST_STOPS:
        reach = int(beside[_MOST_STOPS]) - 1
        beside = beside[:_MOST_STOPS]
    stops = np.unique((sheets[:, None] - beside[None, :]).ravel())
    return longest - reach - 1, stops[stops > 0].astype(np.int64)
