"""Parts laid one by one on sheets, each where it wastes least: a plan at once.

The score is the kernel's (see ``cutopt.solve.kernel.spots``), without its compiled code and
without chance.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable
from dataclasses import dataclass

from cutopt.solve.sheets_sizes import Laid, Sizes
from cutopt.solve.slicing import ACROSS, ALONG, Block, Spot, Spots, open_spots, put


@dataclass(frozen=True, slots=True)
class Weights:
    """What a spot costs beside the waste it makes, as shares of the part's area.

    Attributes:
        ground: for laying a part where its block had not reached.
        residual: for the smaller side left over, times the root of the area.
        empty: for an empty sheet.
    """

    ground: float = 0.3
    residual: float = 0.1
    empty: float = 1.5


ORDERS: tuple[Callable[[int, int], float], ...] = (
    lambda length, width: float(length * width),
    lambda length, width: float(max(length, width)) ** 2,
    lambda length, _: float(length) ** 2,
    lambda _, width: float(width) ** 2,
    lambda length, width: float(length + width) ** 2,
    lambda length, width: float(min(length, width)) ** 2,
)
"""What parts may be ordered by, the largest first."""


class Floor:
    """Sheets with what is laid on them.

    Attributes:
        sheets: type of each sheet.
        roots: block on each sheet, or None.
    """

    def __init__(self, sizes: Sizes, sheets: Iterable[int] = ()) -> None:
        """Take empty sheets (their types)."""
        self.sizes = sizes
        self.sheets = list(sheets)
        self.roots: list[Block | None] = [None] * len(self.sheets)
        # By sheet type and kind, two entries for each way to lie: size along and across, then
        # across and along.
        self._ways = [
            [[side for l, w, _ in lays for side in ((l, w), (w, l))] for lays in of_type]
            for of_type in sizes.lays
        ]
        self._spots: list[Spots | None] = [None] * len(self.sheets)
        # By sheet, the best place there for a kind, while nothing more is laid on it: copies
        # of a part come one after the other.
        self._known: list[dict[int, tuple[float, int, Spot | None] | None]] = [
            {} for _ in self.sheets
        ]
        self._least = min(min(kind.length, kind.width) for kind in sizes.kinds)

    def add_sheet(self, kind_of_sheet: int) -> None:
        """Open another sheet."""
        self.sheets.append(kind_of_sheet)
        self.roots.append(None)
        self._spots.append(None)
        self._known.append({})

    def place(self, kind: int, weights: Weights) -> bool:
        """Lay one part where it costs least; say whether there was room.

        The weights are the same for all parts of a floor.
        """
        found: tuple[float, int, int, Spot | None] | None = None
        for sheet in range(len(self.sheets)):
            known = self._known[sheet]
            if kind not in known:
                known[kind] = self._best_on(sheet, kind, weights)
            here = known[kind]
            if here is not None and (found is None or here[0] < found[0]):
                found = (here[0], sheet, here[1], here[2])
        if found is None:
            return False
        _, sheet, number, where = found
        part = self.sizes.part(kind, self.sizes.lays[self.sheets[sheet]][kind][number // 2])
        way = ACROSS if number & 1 else ALONG
        self.roots[sheet] = part if where is None else put(part, way, where)
        self._spots[sheet] = None
        self._known[sheet] = {}
        return True

    def _best_on(
        self, sheet: int, kind: int, weights: Weights
    ) -> tuple[float, int, Spot | None] | None:
        """Give what the best place for a part on one sheet costs, the way to lie, and the spot."""
        area = self.sizes.kinds[kind].area
        ground = weights.ground * area
        residual = weights.residual * math.sqrt(area)
        kind_of_sheet = self.sheets[sheet]
        root = self.roots[sheet]
        whole = self.sizes.types[kind_of_sheet]
        best = math.inf
        found: tuple[float, int, Spot | None] | None = None
        if root is None:
            for number, lay in enumerate(self.sizes.lays[kind_of_sheet][kind]):
                rest = min(whole.length - lay[0], whole.width - lay[1])
                score = weights.empty * area + residual * rest
                if score < best:
                    best = score
                    found = (score, 2 * number, None)
            return found
        if root.area + area > whole.area:
            return None
        spots = self._spots[sheet]
        if spots is None:
            spots = open_spots(root, whole.length, whole.width, self._least)
            self._spots[sheet] = spots
        both, most = spots
        for number, (run, deep) in enumerate(self._ways[kind_of_sheet][kind]):
            if run > most[number & 1]:
                continue
            for spot in both[number & 1]:
                room, depth, own, own_depth, parent, parent_depth, _, _ = spot
                if run > room or deep > depth:
                    continue
                if deep <= own_depth:
                    score = float((own_depth - deep) * run)
                else:
                    score = float((deep - own_depth) * own)
                grown = own + run - parent
                if grown > 0:
                    score += ground + grown * max(0, parent_depth - max(own_depth, deep))
                if score < best:
                    score += residual * min(room - run, depth - deep)
                    if score < best:
                        best = score
                        found = (score, number, spot)
        return found

    def laid(self) -> Laid:
        """Give the sheets that hold anything: (type, root)."""
        return [
            (kind_of_sheet, root)
            for kind_of_sheet, root in zip(self.sheets, self.roots, strict=True)
            if root is not None
        ]
