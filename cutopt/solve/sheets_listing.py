"""Proofs that no cheaper purchase of sheets makes all parts.

Purchases are ruled out one after the other, the cheapest that nothing rules out yet each
time. First by mixtures of fills (``sheets_mixture``): a weighing made for one purchase
rules out many more. Where mixtures suffice, by going through every choice among all sets
of parts that one sheet can give. Sets are listed for the largest parts only, more of them
each time: leaving parts out keeps a proof valid. Where the list covers all parts, a choice
that suffices is a cheapest plan.

Source: Benders, "Partitioning procedures for solving mixed-variables programming
problems", 1962, doi:10.1007/BF01386316 (the purchase as master, its weighings as cuts).
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from cutopt.solve.bounds import Purchase, Weighing, cheapest_purchase
from cutopt.solve.exact_pricing import UnlimitedFills
from cutopt.solve.listed_fills import Choice, ListedFills
from cutopt.solve.part_sets import list_part_sets
from cutopt.solve.purchases import Counts
from cutopt.solve.sheets_mixture import Fills, Mixture, Shortage
from cutopt.solve.sheets_sizes import Laid, Sizes, without_extra

_SPLITS = 100
_SHARES = (40, 50, 60, 70, 80, 90, 100)
_MOST_SETS = 1_000_000
_MOST_CHOICES = 40_000
_MOST_POINTS = 400
_FEW_POINTS = 100
_FINE = 10_000_000
_LEAST_ROUNDS = 50
_PURCHASES = 400
_CHOICE = 4.0


@dataclass(frozen=True, slots=True)
class Verdict:
    """What a listing shows.

    Attributes:
        low: no purchase costs less; None where the stock available can never be enough.
        laid: sheets that make all parts for less than the cost to beat, or None.
        work: as the limit, in hundreds of ways to part a set.
        weighings: demands that were proved on the way, for any purchase.
    """

    low: int | None
    laid: Laid | None
    work: int
    weighings: tuple[Weighing, ...] = ()


def judge(
    sizes: Sizes,
    weighings: Sequence[Weighing],
    low: int,
    below: int | None,
    limit: int,
    cover: float,
    stopped: Callable[[], bool],
) -> Verdict:
    """Give the best bound that can be proved within the work allowed.

    Args:
        sizes: the problem.
        weighings: what the sheets bought must meet besides.
        low: the bound so far.
        below: cost of the best plan so far, or None where there is none.
        limit: work of listing in all, in hundreds of ways to part a set.
        cover: a quarter of the work of each choice among the sets, in the solver's own units.
        stopped: says whether to end now with what is proved.
    """
    return _Case(sizes, weighings, low, below, cover, stopped).judge(limit * _SPLITS)


class _Case:
    """One problem: what is ruled out so far, and the cheapest purchase that is not."""

    def __init__(
        self,
        sizes: Sizes,
        weighings: Sequence[Weighing],
        low: int,
        below: int | None,
        cover: float,
        stopped: Callable[[], bool],
    ) -> None:
        self.sizes = sizes
        self.weighings = list(weighings)
        self.given = len(self.weighings)
        self.low: int | None = low
        self.below = below
        self.cover = _CHOICE * cover
        self.stopped = stopped
        self.ruled_out: list[Counts] = []
        self.next = Purchase(low, "")
        self.laid: Laid | None = None
        self.work = 0

    def judge(self, limit: int) -> Verdict:
        """List more and more parts until the case is closed or the work is up."""
        parts = self.sizes.all_parts()
        self._look_on()
        if not self.closed:
            self._mix_unlimited(limit // 2)
        last: ListedFills | None = None
        for share in _SHARES:
            if self.closed:
                break
            chosen = parts[: -(-len(parts) * share // 100)]
            listed = self._list(tuple(chosen.count(k) for k in range(len(self.sizes.kinds))), limit)
            if listed is None:
                break
            last = listed
            self._rule_out(listed, None, limit)
        if last is not None and not self.closed:
            self._rule_out(last, last, limit)
        proved = tuple(self.weighings[self.given :])
        return Verdict(self.low, self.laid, self.work // _SPLITS, proved)

    @property
    def closed(self) -> bool:
        """Nothing is left to prove, or no leave to go on."""
        return (
            self.low is None
            or self.laid is not None
            or (self.below is not None and self.low >= self.below)
            or self.stopped()
        )

    def _look_on(self) -> None:
        """Find the cheapest purchase that nothing rules out, and so the bound."""
        self.next = cheapest_purchase(self.sizes, self.weighings, self.ruled_out)
        if self.next.cost is None:
            self.low = self.below
        elif self.low is not None:
            cost = self.next.cost if self.below is None else min(self.next.cost, self.below)
            self.low = max(self.low, cost)

    def _mix_unlimited(self, limit: int) -> None:
        """Rule out what any number of parts of each kind would not save."""
        fills = UnlimitedFills(self.sizes, _MOST_POINTS if limit >= _FINE else _FEW_POINTS)
        self._rule_out(fills, None, limit)

    def _list(self, counts: tuple[int, ...], limit: int) -> ListedFills | None:
        listings = []
        for group in groups_of(self.sizes):
            listing, spent = list_part_sets(
                self.sizes, group, counts, _MOST_SETS, limit - self.work, self.stopped
            )
            self.work += spent
            if listing is None:
                return None
            listings.append(listing)
        return ListedFills(self.sizes, listings)

    def _rule_out(self, fills: Fills, listed: ListedFills | None, limit: int) -> None:
        """Rule out purchases by mixtures of fills, and by choices among listed sets if given."""
        mixture = Mixture(len(self.sizes.types), fills)
        for _ in range(_PURCHASES):
            if self.closed or not self.next.counts:
                return
            purchase = self.next.counts
            rounds = max(_LEAST_ROUNDS, (limit - self.work) // fills.work)
            shortage = mixture.weigh(purchase, rounds, self.stopped, through=listed is not None)
            if shortage is None:
                return
            self.work += shortage.rounds * fills.work
            if shortage.proved:
                self.weighings.append(shortage.weighing)
            elif listed is None or not self._chosen(listed, purchase, shortage):
                return
            self._look_on()

    def _chosen(self, listed: ListedFills, purchase: Counts, shortage: Shortage) -> bool:
        """Say whether every choice for a purchase was gone through in vain."""
        choice, laid = listed.choose(purchase, shortage, _MOST_CHOICES, self.cover)
        if choice is Choice.NONE:
            self.ruled_out.append(purchase)
            return True
        if choice is Choice.FOUND and listed.complete:
            self.laid = without_extra(self.sizes, laid)
        return False


def groups_of(sizes: Sizes) -> list[tuple[int, ...]]:
    """Give the sheet types in groups on which parts may lie the same ways."""
    if not any(kind.bound for kind in sizes.kinds):
        return [tuple(range(len(sizes.types)))]
    groups = [
        tuple(n for n, t in enumerate(sizes.types) if t.grain is grain) for grain in (True, False)
    ]
    return [group for group in groups if group]
