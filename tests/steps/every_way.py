"""Every way to saw a few parts from sheets, by store, car and saws: the judge of who cuts what.

Nothing here is shared with what plans. A piece is its size, its rough edges and the parts it
must yield. At home it yields them if it is one of them, or if some cut that a saw can make
leaves two pieces that yield them; at the store it costs as few cuts as the best cut before
it costs, or none where the car takes it and it can be sawn at home.

Sizes are whole multiples of one unit, and so are all cuts that are tried. That loses
nothing: where the cuts of a tree may lie is a system of differences between positions, with
bounds that are whole multiples, and such a system has a whole solution where it has any.

Source: for the last step, total unimodularity of difference constraints, A. Schrijver,
"Theory of Linear and Integer Programming" (1986), section 19.3.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache
from itertools import combinations

Parts = tuple[tuple[int, int], ...]
Rough = tuple[bool, bool, bool, bool]
"""Whether the left end, right end, near edge and far edge are rough from the store's saw."""

NEVER = 10**6


@dataclass(frozen=True)
class Small:
    """A small job, every size in units; None where there is no limit or no such saw.

    Attributes:
        table: most between blade and fence; at least one unit.
        mitre, track: longest line of a cut.
        saws: False where none is named, so that any will do.
    """

    length: int
    width: int
    parts: Parts
    shop_kerf: int
    store_kerf: int | None
    most_cuts: int | None = None
    smallest_piece: int = 0
    allowance: int = 0
    carry_length: int | None = None
    carry_width: int | None = None
    saws: bool = True
    table: int | None = None
    mitre: int | None = None
    track: int | None = None

    def takes(self, length: int, width: int) -> bool:
        long, short = max(length, width), min(length, width)
        return (self.carry_length is None or long <= self.carry_length) and (
            self.carry_width is None or short <= self.carry_width
        )

    def saws_reach(self, line: int, sides: tuple[int, ...]) -> bool:
        """Say whether a saw makes a cut that long with one of these sides at the fence."""
        return (
            not self.saws
            or (self.table is not None and any(1 <= side <= self.table for side in sides))
            or (self.mitre is not None and line <= self.mitre)
            or (self.track is not None and line <= self.track)
        )


def splits(parts: Parts) -> list[tuple[Parts, Parts]]:
    """Give every way to share parts out between the two sides of a cut, each once."""
    found = {}
    for count in range(len(parts) + 1):
        for chosen in combinations(range(len(parts)), count):
            one = tuple(parts[i] for i in chosen)
            other = tuple(parts[i] for i in range(len(parts)) if i not in chosen)
            found[one, other] = None
    return list(found)


def sides_of(total: int, kerf: int) -> Iterator[tuple[int, int, int]]:
    """Yield (first, removed, second) for every place of a cut across a measure.

    Where the blade runs off an edge it removes less than its kerf, and one side is nothing.
    """
    yield from ((at, kerf, total - at - kerf) for at in range(1, total - kerf))
    for removed in range(1, min(kerf, total - 1) + 1):
        yield 0, removed, total - removed
        yield total - removed, removed, 0


class Judge:
    """Answers for one small job."""

    def __init__(self, job: Small) -> None:
        self.job = job
        self.at_home = cache(self._at_home)
        self.at_store = cache(self._at_store)

    def _fits(self, length: int, width: int, parts: Parts) -> bool:
        return sum(a * b for a, b in parts) <= length * width and all(
            (a <= length and b <= width) or (b <= length and a <= width) for a, b in parts
        )

    def _at_home(self, length: int, width: int, rough: Rough, parts: Parts) -> bool:
        if not parts:
            return True
        if not self._fits(length, width, parts):
            return False
        if len(parts) == 1 and not any(rough) and parts[0] in {(length, width), (width, length)}:
            return True
        job = self.job
        for across, line, low, high in ((length, width, 0, 1), (width, length, 2, 3)):
            for first, removed, second in sides_of(across, job.shop_kerf):
                # An edge made at home is clean where enough came off the rough one behind it.
                if rough[low] and second and first + removed < job.allowance:
                    continue
                if rough[high] and first and second + removed < job.allowance:
                    continue
                for one, other in splits(parts):
                    if (one and not first) or (other and not second):
                        continue
                    held = tuple(side for side, has in ((first, one), (second, other)) if has)
                    if not job.saws_reach(line, held):
                        continue
                    if self._home_piece(
                        across is length, first, line, clean(rough, high), one
                    ) and self._home_piece(
                        across is length, second, line, clean(rough, low), other
                    ):
                        return True
        return False

    def _home_piece(
        self,
        along: bool,
        side: int,
        line: int,
        rough: Rough,
        parts: Parts,
    ) -> bool:
        size = (side, line) if along else (line, side)
        return self.at_home(*size, rough, parts)

    def _at_store(self, length: int, width: int, rough: Rough, parts: Parts) -> int:
        """Give the least cuts by which a piece gets home and can be sawn there, or NEVER."""
        job = self.job
        if not parts:
            return 0
        if not self._fits(length, width, parts):
            return NEVER
        if job.takes(length, width) and self.at_home(length, width, rough, parts):
            return 0
        if job.store_kerf is None:
            return NEVER
        best = NEVER
        is_rough = job.allowance > 0
        for across, line, low, high in ((length, width, 0, 1), (width, length, 2, 3)):
            if line < job.smallest_piece:
                continue
            for first, _, second in sides_of(across, job.store_kerf):
                if any(0 < side < max(1, job.smallest_piece) for side in (first, second)):
                    continue
                for one, other in splits(parts):
                    if (one and not first) or (other and not second):
                        continue
                    cost = 1
                    for side, edge, held in ((first, high, one), (second, low, other)):
                        if cost >= best or not held:
                            continue
                        edges = made(rough, edge) if is_rough else rough
                        size = (side, line) if across is length else (line, side)
                        cost += self.at_store(*size, edges, held)
                    best = min(best, cost)
        return best

    def cheapest(self, sheet_cents: int, free: int, fee_cents: int) -> tuple[int, int] | None:
        """Give (cents, sheets) of the cheapest plan with nothing amiss, or None."""
        job = self.job

        @cache
        def best(parts: Parts) -> tuple[int, int]:
            if not parts:
                return 0, 0
            found = (NEVER * 100, 0)
            for one, other in splits(parts[1:]):
                cuts = self.at_store(job.length, job.width, (False,) * 4, (parts[0], *one))
                if cuts >= NEVER or (job.most_cuts is not None and cuts > job.most_cuts):
                    continue
                cents, sheets = best(other)
                fee = max(0, cuts - free) * fee_cents
                found = min(found, (sheet_cents + fee + cents, sheets + 1))
            return found

        cents, sheets = best(job.parts)
        return None if cents >= NEVER else (cents, sheets)


def clean(rough: Rough, edge: int) -> Rough:
    """Give the edges of a piece that a cut at home has given this edge."""
    return (*rough[:edge], False, *rough[edge + 1 :])


def made(rough: Rough, edge: int) -> Rough:
    """Give the edges of a piece that a cut at the store has given this edge."""
    return (*rough[:edge], True, *rough[edge + 1 :])
