"""Which saw at home makes a cut, what it removes, and how hard the cut is there."""

from __future__ import annotations

from collections.abc import Iterator
from typing import NamedTuple

from cutopt.model.job import Job, Kind, Material, Saw, SawKind, Shop
from cutopt.model.layout import Direction
from cutopt.model.plan import ANY_SAW
from cutopt.units import Ticks, inches

LEAST_ON_FENCE = inches(0, 1, 2)
"""Least measure between fence and blade of a table saw."""

LARGE_LONG, LARGE_SHORT = inches(60), inches(24)
"""A piece over both is a large one: hard to push over a saw alone (common practice, no
published source)."""

_ORDER = (
    SawKind.TABLE,
    SawKind.MITRE,
    SawKind.TRACK,
    SawKind.CIRCULAR,
    SawKind.PANEL,
    SawKind.BAND,
    SawKind.JIGSAW,
    SawKind.HAND,
)
_LAST_RESORT = (SawKind.BAND, SawKind.JIGSAW, SawKind.HAND)
_GUIDED = (SawKind.TRACK, SawKind.CIRCULAR)


class Place(NamedTuple):
    """Where a cut is to be made on a piece; what the blade removes is not known yet.

    Attributes:
        total: measure of the piece across the cut.
        first, second: measures that must remain on each side; None for a side that takes
            what the blade leaves. With both given the piece measures their sum and the kerf.
        line: length of the cut line.
        first_holds, second_holds: the side holds a part.
    """

    direction: Direction
    total: int
    first: int | None
    second: int | None
    line: int
    first_holds: bool
    second_holds: bool

    def sides(self, kerf: int) -> tuple[int, int, int]:
        """Give (first, what the blade removes, second) for a saw of that kerf."""
        if self.first is not None and self.second is not None:
            return self.first, kerf, self.second
        if self.first is not None:
            removed = min(kerf, self.total - self.first)
            return self.first, removed, self.total - self.first - removed
        second = self.second or 0
        removed = min(kerf, self.total - second)
        return self.total - second - removed, removed, second


class Choice(NamedTuple):
    """The saw for a cut.

    Attributes:
        rank: 0 for the saw one would reach for first, more the further down the line.
        missing: 1 where saws are named and none of them can make the cut, 2 where another
            order of cuts would put that right; else 0.
        last_resort: the same for a band saw, jigsaw or hand saw.
        weight: how hard the cut is at home, for each tick of its line.
    """

    name: str
    kerf: int
    rank: int
    missing: int
    last_resort: int
    weight: int

    @property
    def hangs_on_kerf(self) -> bool:
        """True where a better saw could make the cut if only it removed what this one does."""
        return self.missing == 2 or self.last_resort == 2


def can_make(saw: Saw, place: Place, kerf: int) -> bool:
    """Say whether a saw can make a cut that removes ``kerf``, a last-resort saw as any other."""
    if saw.kind is SawKind.TABLE:
        return any(_on_fence(saw, place, kerf))
    if saw.kind is SawKind.MITRE:
        return saw.crosscut_capacity is None or place.line <= saw.crosscut_capacity
    if saw.kind in _GUIDED:
        return saw.cut_length is None or place.line <= saw.cut_length
    return True


def _on_fence(saw: Saw, place: Place, kerf: int) -> Iterator[int]:
    """Yield the sides that may lie against the fence of a table saw."""
    first, _, second = place.sides(kerf)
    for side, holds in ((first, place.first_holds), (second, place.second_holds)):
        within = saw.rip_capacity is None or side <= saw.rip_capacity
        set_by = holds or not (place.first_holds or place.second_holds)
        if side >= LEAST_ON_FENCE and within and set_by:
            yield side


class Rack:
    """The saws at home in the order one reaches for them, for one kind of stock.

    A piece longer than the cut line, and a board being crosscut, go to the mitre saw first.

    Attributes:
        asked: how often a saw was asked for; a measure of the work done.
    """

    def __init__(self, shop: Shop, kind: Kind) -> None:
        self.shop = shop
        self._is_board = kind is Kind.BOARD
        self._usual = tuple(_preferred(shop, mitre_first=False))
        self._mitre_first = tuple(_preferred(shop, mitre_first=True))
        self._chosen: dict[Place, Choice] = {}
        self.asked = 0

    def choose(self, place: Place) -> Choice:
        """Give the first saw that can make a cut; "any" with the shop's kerf where none can."""
        self.asked += 1
        choice = self._chosen.get(place)
        if choice is None:
            choice = self._chosen[place] = self._choose(place)
        return choice

    def _choose(self, place: Place) -> Choice:
        shop = self.shop
        longer, shorter = max(place.total, place.line), min(place.total, place.line)
        large = longer > LARGE_LONG and shorter > LARGE_SHORT
        if not shop.saws:
            return Choice(ANY_SAW, shop.kerf, 0, 0, 0, int(large))
        board_end = self._is_board and place.direction is Direction.CROSSCUT
        saws = self._mitre_first if board_end or place.total >= place.line else self._usual
        for rank, saw in enumerate(saws):
            if can_make(saw, place, saw.kerf):
                trouble = 0
                if saw.kind in _LAST_RESORT:
                    trouble = 1 + _within_reach(shop, place, saw.kerf, but=_LAST_RESORT)
                weight = _weight(saw.kind, large) + _at_edge(saw, place)
                return Choice(saw.name, saw.kerf, rank, 0, trouble, weight)
        trouble = 1 + _within_reach(shop, place, shop.kerf)
        return Choice(ANY_SAW, shop.kerf, len(shop.saws), trouble, 0, 4)


def _within_reach(shop: Shop, place: Place, kerf: int, but: tuple[SawKind, ...] = ()) -> bool:
    """Say whether a cut that removes this kerf is one that a better saw could make.

    It could not with its own kerf; where the other side is a hair too wide for the fence,
    another order of cuts is wanted.
    """
    return any(can_make(saw, place, kerf) for saw in shop.saws if saw.kind not in but)


def _weight(kind: SawKind, large: bool) -> int:
    if kind in (SawKind.MITRE, SawKind.PANEL):
        return 0
    if kind in _LAST_RESORT:
        return 3
    return int(kind in _GUIDED) + int(large)


def _at_edge(saw: Saw, place: Place) -> bool:
    """Say whether a cut is at the edge of a saw's reach: the last tenth of it."""
    if saw.kind is SawKind.TABLE:
        reach, taken = saw.rip_capacity, min(_on_fence(saw, place, saw.kerf))
    else:
        reach, taken = saw.crosscut_capacity or saw.cut_length, place.line
    return reach is not None and 10 * taken > 9 * reach


def _preferred(shop: Shop, mitre_first: bool) -> Iterator[Saw]:
    if mitre_first:
        yield from (saw for saw in shop.saws if saw.kind is SawKind.MITRE)
    for kind in _ORDER:
        if not (mitre_first and kind is SawKind.MITRE):
            yield from (saw for saw in shop.saws if saw.kind is kind)


def store_may_cut(job: Job, material: Material, owned: bool) -> bool:
    """Say whether the store's saw may touch stock of a material."""
    if job.store is None or owned or job.store.most_cuts == 0:
        return False
    return material.kind is Kind.SHEET or job.store.crosscuts_boards


def kerfs(job: Job, material: Material) -> tuple[Ticks, Ticks]:
    """Give the largest kerf that may be used on a material, and the smallest, ticks.

    Layouts that leave the first between neighbours can be sawn with any saw the plan may
    choose; bounds proved with the second hold whatever saw is taken.
    """
    largest, smallest = _home_kerfs(job.shop, job, material)
    if job.store is not None and any(
        store_may_cut(job, material, stock.owned)
        for stock in job.stock
        if stock.material == material
    ):
        largest = max(largest, job.store.kerf)
        smallest = min(smallest, job.store.kerf)
    return Ticks(largest), Ticks(smallest)


def _home_kerfs(shop: Shop, job: Job, material: Material) -> tuple[int, int]:
    if not shop.saws:
        return shop.kerf, shop.kerf
    stock = [row for row in job.stock if row.material == material]
    crosscuts_only = material.kind is Kind.BOARD and not any(row.rip for row in stock)
    longest = max(row.width if crosscuts_only else max(row.length, row.width) for row in stock)

    def makes_all(saw: Saw) -> bool:
        if saw.kind is SawKind.TABLE:
            return False
        if saw.kind is SawKind.MITRE:
            return crosscuts_only and (
                saw.crosscut_capacity is None or longest <= saw.crosscut_capacity
            )
        return saw.kind not in _GUIDED or saw.cut_length is None or longest <= saw.cut_length

    good = [saw for saw in shop.saws if saw.kind not in _LAST_RESORT]
    sure = any(makes_all(saw) for saw in good)
    usable = good if sure else list(shop.saws)
    used = [saw.kerf for saw in usable]
    if not any(makes_all(saw) for saw in usable):
        used.append(shop.kerf)
    smallest = min(used)
    if crosscuts_only:
        first = next(_preferred(shop, mitre_first=True))
        if first.kind is SawKind.MITRE and makes_all(first):
            return first.kerf, smallest
    return max(used), smallest
