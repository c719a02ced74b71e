"""Ruin and recreate on slicing trees: lay as many parts as possible on a given set of sheets.

A few parts near each other are taken out and put back where they waste least, bigger ones
first more often than not; worse results are accepted less and less often.

Source: Schrimpf, Schneider, Stamm-Wilbrandt and Dueck, "Record breaking optimization results
using the ruin and recreate principle", 2000, doi:10.1006/jcph.1999.6413; on slicing trees:
Gardeyn and Wauters, "A goal-driven ruin and recreate heuristic for the 2D variable-sized bin
packing problem with guillotine constraints", 2022, doi:10.1016/j.ejor.2021.11.031.
"""

from __future__ import annotations

import math
import random
from collections.abc import Callable, Sequence
from dataclasses import dataclass

from cutopt.solve.sheets_sizes import Laid, Sizes
from cutopt.solve.slicing import (
    ACROSS,
    ALONG,
    Block,
    Spot,
    Spots,
    Trail,
    open_spots,
    parts_in,
    put,
    without,
)


@dataclass(frozen=True, slots=True)
class Taste:
    """What a spot costs beside the waste it makes, as shares of the part's area.

    Attributes:
        noise: random share added.
        ground: for laying a part where its block had not reached.
        residual: for the smaller side left over, times the root of the area.
        empty: for an empty sheet.
        start, end: temperatures, in mean part areas.
        taken: parts taken out at a time, on average.
    """

    noise: float = 0.05
    ground: float = 0.3
    residual: float = 0.1
    empty: float = 1.5
    start: float = 0.2
    end: float = 0.007
    taken: float = 5.0


TASTES = (
    Taste(),
    Taste(noise=0.1, taken=9.0, start=0.3, end=0.01),
    Taste(noise=0.02, ground=0.2, taken=4.0, start=0.1, end=0.005),
    Taste(ground=0.5, residual=0.2, taken=7.0),
)

ORDERS: tuple[Callable[[int, int], float], ...] = (
    lambda length, width: float(length * width),
    lambda length, width: float(max(length, width)) ** 2,
    lambda length, _: float(length) ** 2,
    lambda _, width: float(width) ** 2,
    lambda length, width: float(length + width) ** 2,
    lambda length, width: float(min(length, width)) ** 2,
)

_WHOLE_SHEET = 0.05
_STOP_EARLY = 0.25
_JITTER = 0.3
_LOOKS_A_PART = 20


class Floor:
    """Sheets with what is laid on them, and the parts that have found no place yet.

    Attributes:
        sheets: type of each sheet.
        extents: usable length and width of each sheet (its own, unless shortened).
        roots: block on each sheet, or None.
        left: kinds of the parts with no place, one entry a part.
        work: spots looked at so far, with a fixed share for every part and sheet tried.
    """

    def __init__(
        self,
        sizes: Sizes,
        sheets: Sequence[int],
        rng: random.Random,
        left: Sequence[int] = (),
    ) -> None:
        """Take sheets (their types), all empty, and the parts to lay."""
        self.sizes = sizes
        self.rng = rng
        self.sheets = list(sheets)
        self.extents = [(sizes.types[t].length, sizes.types[t].width) for t in sheets]
        self.roots: list[Block | None] = [None] * len(sheets)
        self.left = list(left)
        self.work = 0
        self._holds = [sizes.types[t].area for t in sheets]
        # By sheet type and kind, two entries for each way to lie: size along and across, then
        # across and along.
        self._ways = [
            [[side for l, w, _ in lays for side in ((l, w), (w, l))] for lays in of_type]
            for of_type in sizes.lays
        ]
        self._spots: list[Spots | None] = [None] * len(sheets)
        self._least = min(min(kind.length, kind.width) for kind in sizes.kinds)
        self._areas = [kind.area for kind in sizes.kinds]
        self._roots_of_area = [math.sqrt(kind.area) for kind in sizes.kinds]
        self._orders = [
            tuple(order(kind.length, kind.width) for kind in sizes.kinds) for order in ORDERS
        ]

    def lay(self, sheet: int, root: Block | None) -> None:
        """Put a block on a sheet in place of what lies there."""
        self.roots[sheet] = root
        self._spots[sheet] = None

    def add_sheet(self, kind_of_sheet: int) -> None:
        """Open another sheet."""
        sheet = self.sizes.types[kind_of_sheet]
        self.sheets.append(kind_of_sheet)
        self.extents.append((sheet.length, sheet.width))
        self._holds.append(sheet.area)
        self.roots.append(None)
        self._spots.append(None)

    def shorten(self, sheet: int, length: int, width: int) -> None:
        """Let a sheet be used only so far; parts that no longer fit lose their place."""
        self.extents[sheet] = (length, width)
        self._holds[sheet] = length * width
        root = self.roots[sheet]
        self._spots[sheet] = None
        if root is not None and (root.length > length or root.width > width):
            self.roots[sheet] = None
            self.left.extend(part.kind for part in parts_in(root))

    def unplaced(self) -> int:
        """Give the area of the parts with no place."""
        areas = self._areas
        return sum(areas[kind] for kind in self.left)

    def place(self, kind: int, taste: Taste) -> bool:
        """Lay one part where it costs least; say whether there was room."""
        looks = _LOOKS_A_PART + len(self.sheets) // 2
        rng = self.rng.random
        area = self._areas[kind]
        ground = taste.ground * area
        noise = taste.noise * area
        residual = taste.residual * self._roots_of_area[kind]
        best = math.inf
        found: tuple[int, int, Spot | None] | None = None
        for sheet, kind_of_sheet in enumerate(self.sheets):
            root = self.roots[sheet]
            if root is None:
                if taste.empty * area < best:
                    length, width = self.extents[sheet]
                    for number, lay in enumerate(self.sizes.lays[kind_of_sheet][kind]):
                        if lay[0] <= length and lay[1] <= width:
                            rest = min(length - lay[0], width - lay[1])
                            score = taste.empty * area + residual * rest + noise * rng()
                            if score < best:
                                best = score
                                found = (sheet, 2 * number, None)
                continue
            if root.area + area > self._holds[sheet]:
                continue
            spots = self._spots[sheet]
            if spots is None:
                length, width = self.extents[sheet]
                spots = self._spots[sheet] = open_spots(root, length, width, self._least)
            both, most = spots
            for number, (a, b) in enumerate(self._ways[kind_of_sheet][kind]):
                if a > most[number & 1]:
                    continue
                there = both[number & 1]
                looks += len(there)
                for spot in there:
                    room, depth, own, own_depth, parent, parent_depth, _, _ = spot
                    if a > room or b > depth:
                        continue
                    if b <= own_depth:
                        score = float((own_depth - b) * a)
                        deep = own_depth
                    else:
                        score = float((b - own_depth) * own)
                        deep = b
                    grown = own + a - parent
                    if grown > 0:
                        score += ground
                        if parent_depth > deep:
                            score += grown * (parent_depth - deep)
                    if score >= best:
                        continue
                    score += residual * min(room - a, depth - b)
                    if score < best:
                        score += noise * rng()
                        if score < best:
                            best = score
                            found = (sheet, number, spot)
        self.work += looks
        if found is None:
            return False
        sheet, number, where = found
        part = self.sizes.part(kind, self.sizes.lays[self.sheets[sheet]][kind][number // 2])
        way = ACROSS if number & 1 else ALONG
        self.roots[sheet] = part if where is None else put(part, way, where)
        self._spots[sheet] = None
        return True

    def place_all(self, kinds: Sequence[int], taste: Taste) -> list[int]:
        """Lay parts in this order; give those that found no room."""
        failed: set[int] = set()
        missed: list[int] = []
        for kind in kinds:
            if kind in failed or not self.place(kind, taste):
                failed.add(kind)
                missed.append(kind)
        return missed

    def _take_out(self, taste: Taste, out: list[int]) -> None:
        """Take a few parts out of one or two sheets."""
        rng = self.rng.random
        used = [sheet for sheet, root in enumerate(self.roots) if root is not None]
        if not used:
            return
        if len(used) > 1 and rng() < _WHOLE_SHEET:
            sheet = used[int(rng() * len(used))]
            root = self.roots[sheet]
            if root is not None:
                out.extend(part.kind for part in parts_in(root))
            self.lay(sheet, None)
            return
        wanted = 1 + int(-math.log(1.0 - rng()) * taste.taken)
        chosen = [used[int(rng() * len(used))]]
        if rng() < 0.5:
            chosen.append(used[int(rng() * len(used))])
        taken = tries = 0
        while taken < wanted and tries < 4 * wanted + 8:
            tries += 1
            sheet = chosen[int(rng() * len(chosen))]
            block = self.roots[sheet]
            if block is None:
                continue
            trail: Trail = None
            while block.children:
                place = int(rng() * len(block.children))
                trail = (block, place, trail)
                block = block.children[place]
                if rng() < _STOP_EARLY:
                    break
            for part in parts_in(block):
                out.append(part.kind)
                taken += 1
            self.lay(sheet, without(trail))

    def _order(self, kinds: list[int]) -> None:
        """Put parts in the order to lay them: mostly the biggest first, by some measure."""
        rng = self.rng.random
        draw = rng()
        if draw < 0.45:
            key = self._orders[0]
        elif draw < 0.65:
            key = self._orders[1]
        elif draw < 0.75:
            key = self._orders[2]
        elif draw < 0.85:
            key = self._orders[3]
        elif draw < 0.95:
            key = self._orders[4]
        else:
            self.rng.shuffle(kinds)
            return
        jitter = [
            (key[kind] * (1.0 + _JITTER * (rng() - 0.5)), place) for place, kind in enumerate(kinds)
        ]
        jitter.sort(reverse=True)
        kinds[:] = [kinds[place] for _, place in jitter]

    def improve(self, limit: int, taste: Taste, stopped: Callable[[], bool]) -> bool:
        """Search until every part has a place or ``limit`` more work is done; say which.

        The floor is left as it was at its best.
        """
        areas = self._areas
        missing = self.unplaced()
        best, best_roots, best_left = missing, list(self.roots), list(self.left)
        mean = self.sizes.area / self.sizes.count
        hot, cold = taste.start * mean, taste.end * mean
        begun = self.work
        rounds = 0
        while missing and self.work - begun < limit:
            rounds += 1
            if not rounds & 63 and stopped():
                break
            heat = hot * (cold / hot) ** ((self.work - begun) / limit)
            old_roots, old_spots, old_left = list(self.roots), list(self._spots), list(self.left)
            out = list(self.left)
            self._take_out(taste, out)
            self.work += _LOOKS_A_PART
            self._order(out)
            self.left = self.place_all(out, taste)
            new = sum(areas[kind] for kind in self.left)
            if new <= missing or new - missing < -heat * math.log(1.0 - self.rng.random()):
                missing = new
                if new < best:
                    best, best_roots, best_left = new, list(self.roots), list(self.left)
            else:
                self.roots, self._spots, self.left = old_roots, old_spots, old_left
        self.roots, self.left = best_roots, best_left
        self._spots = [None] * len(self.roots)
        return best == 0

    def laid(self) -> Laid:
        """Give the sheets that hold anything: (type, root)."""
        return [
            (kind_of_sheet, root)
            for kind_of_sheet, root in zip(self.sheets, self.roots, strict=True)
            if root is not None
        ]
