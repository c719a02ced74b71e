"""What boards and strips are cut into: columns of the programme over rips and crosscuts."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import combinations

import numpy as np
from numpy.typing import NDArray

from cutopt.solve.sheets_sizes import Sizes
from cutopt.solve.slicing import ACROSS, Block, joined

Whole = NDArray[np.int64]

_NEAR = 80
"""Percent of the longer that the shorter of two parts measures that are ripped from one length."""
_MOST_PAIRS = 150


@dataclass(frozen=True, slots=True)
class Rip:
    """A board ripped into strips all along."""

    board: int
    strips: Mapping[int, int]


@dataclass(frozen=True, slots=True)
class Length:
    """A length of a strip: a part as wide, or narrower ones side by side to be ripped."""

    length: int
    counts: Mapping[int, int]
    block: Block


@dataclass(frozen=True, slots=True)
class Crosscut:
    """A strip crosscut into lengths, and the parts they give."""

    strip: int
    counts: Mapping[int, int]
    blocks: tuple[Block, ...]


@dataclass(frozen=True, slots=True)
class Free:
    """A board cut any way."""

    board: int
    counts: Mapping[int, int]
    block: Block


Column = Rip | Crosscut | Free


class Lengths:
    """All lengths that strips of one width may be crosscut into, as a table."""

    def __init__(self, lengths: Sequence[Length]) -> None:
        """Set up a row for each: one kind of part or two."""
        self.rows = tuple(lengths)
        self.lengths = [one.length for one in lengths]
        pairs = [tuple(one.counts.items()) for one in lengths]
        kinds = [(pair[0][0], pair[-1][0]) for pair in pairs]
        counts = [(pair[0][1], pair[-1][1] if len(pair) > 1 else 0) for pair in pairs]
        self._kinds = np.array(kinds, np.int64).reshape(-1, 2)
        self._counts = np.array(counts, np.int64).reshape(-1, 2)
        self._divisors = np.where(self._counts, self._counts, np.array(counts)[:, :1])

    def worths(self, of_parts: Whole) -> list[int]:
        """Give what each length is worth."""
        worths: list[int] = (of_parts[self._kinds] * self._counts).sum(axis=1).tolist()
        return worths

    def limits(self, wanted: Whole) -> list[int]:
        """Give how often each may be cut until one of its parts is made often enough."""
        limits: list[int] = (wanted[self._kinds] // self._divisors).min(axis=1).tolist()
        return limits


def lengths_of(sizes: Sizes, width: int, kinds: Sequence[int]) -> Iterator[Length]:
    """Yield what a strip may be crosscut into: one kind across it, or two much as long."""
    across = [sizes.kinds[k] for k in kinds]
    for k, size in zip(kinds, across, strict=True):
        yield _beside(sizes, {k: min(width // size.width, size.qty)})
    pairs = [
        (abs(one.length - two.length), {k: 1, j: min(room // two.width, two.qty)})
        for (k, one), (j, two) in combinations(zip(kinds, across, strict=True), 2)
        if two.width <= (room := width - one.width)
        and 100 * min(one.length, two.length) >= _NEAR * max(one.length, two.length)
    ]
    pairs.sort(key=lambda pair: pair[0])
    for _, counts in pairs[:_MOST_PAIRS]:
        yield _beside(sizes, counts)


def _beside(sizes: Sizes, counts: Mapping[int, int]) -> Length:
    kinds = sizes.kinds
    parts = [
        sizes.part(k, (kinds[k].length, kinds[k].width, False))
        for k, count in counts.items()
        for _ in range(count)
    ]
    return Length(max(kinds[k].length for k in counts), counts, joined(ACROSS, parts))
