"""Proofs that no cheaper purchase of sheets makes all parts.

Purchases are ruled out one after the other, the cheapest that nothing rules out yet each
time. Where next to no area is over, by all fills that waste no more (``close_fills``). Else
by mixtures of fills (``sheets_mixture``): a weighing made for one purchase rules out many
more. Where these suffice, but barely, by all fills on which next to nothing is lost
(``tight_fills``): no others can take part. At last by every choice among all sets of parts
that one sheet can give. Sets are listed for the largest parts only, more of them each time:
leaving parts out keeps a proof valid. Where all parts are covered, a choice that suffices
is a cheapest plan.

Source: Benders, "Partitioning procedures for solving mixed-variables programming
problems", 1962, doi:10.1007/BF01386316 (the purchase as master, its weighings as cuts).
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Sequence
from dataclasses import dataclass

from cutopt.solve.bounds import Purchase, Weighing, cheapest_purchase
from cutopt.solve.exact_pricing import UnlimitedFills
from cutopt.solve.listed_fills import ListedFills
from cutopt.solve.part_sets import list_part_sets
from cutopt.solve.purchases import Counts
from cutopt.solve.sheets_choice import Choice, CompleteFills, choose
from cutopt.solve.sheets_mixture import Mixture, Shortage
from cutopt.solve.sheets_sizes import Laid, Sizes, without_extra
from cutopt.solve.tight_fills import close_fills, tight_fills

_SPLITS = 100
_SEVERAL_SIZES = 6
_FEW_PARTS = 60
_FIRST_SHARE, _STEP, _ALL = 40, 10, 100
_MOST_SETS = 1_000_000
_MOST_CHOICES = 40_000
_MOST_POINTS = 400
_FEW_POINTS = 100
_FINE = 2_000_000
_LEAST_ROUNDS = 20
_PURCHASES = 400
_CHOICE = 4.0
_CLOSE = 4
_OVER = 200
"""Area over, as a share of all of it: past this fills are too many to list."""


@dataclass(frozen=True, slots=True)
class Verdict:
    """What a listing shows.

    Attributes:
        low: no purchase costs less; None where the stock available can never be enough.
        laid: sheets that make all parts for less than the cost to beat, or None.
        work: in the measure of the limit.
        weighings: demands that were proved on the way, for any purchase.
        share: of the parts of which all sets were listed, the largest first, in hundredths; on
            the sheets of one purchase at least.
    """

    low: int | None
    laid: Laid | None
    work: int
    weighings: tuple[Weighing, ...] = ()
    share: int = 0


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
        limit: work of listing in all, in hundreds of ways to part a set; six times as much
            for up to 60 parts on several sizes of sheet, where search gains least.
        cover: a quarter of the work of each choice among the sets, in the solver's own units.
        stopped: says whether to end now with what is proved.
    """
    worth_it = len(sizes.types) > 1 and sizes.count <= _FEW_PARTS
    splits = _SPLITS * _SEVERAL_SIZES if worth_it else _SPLITS
    return _Case(sizes, weighings, low, below, cover, stopped, splits).judge(limit * splits)


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
        splits: int,
    ) -> None:
        self.sizes = sizes
        self.weighings = list(weighings)
        self.given = len(self.weighings)
        self.low: int | None = low
        self.below = below
        self.cover = _CHOICE * cover
        self.stopped = stopped
        self.splits = splits
        self.ruled_out: list[Counts] = []
        self.next = Purchase(low, "")
        self.laid: Laid | None = None
        self.work = 0
        self.share = 0
        self._last: Shortage | None = None

    def judge(self, limit: int) -> Verdict:
        """Mix fills, then list parts, until the case is closed or the work is up."""
        self._look_on()
        self._fit_closely(limit // _CLOSE)
        if not self.closed:
            self._mix_unlimited(limit // 2)
        while not self.closed and any(self.next.counts):
            purchase = self.next.counts
            self._list_for(purchase, limit)
            if self.next.counts == purchase:
                break
        proved = tuple(self.weighings[self.given :])
        return Verdict(self.low, self.laid, self.work // self.splits, proved, self.share)

    def _list_for(self, purchase: Counts, limit: int) -> None:
        """List more and more parts, on the sheets of a purchase only, to rule it out.

        Fewer sizes of sheet mean smaller lists. Goes on with what comes next while that takes
        no other sizes.
        """
        parts = self.sizes.all_parts()
        types = frozenset(sheet for sheet, count in enumerate(purchase) if count)
        last: ListedFills | None = None
        done, share, step = 0, _FIRST_SHARE, _STEP
        while share <= _ALL and self._takes_only(types):
            chosen = parts[: -(-len(parts) * share // _ALL)]
            counts = tuple(chosen.count(k) for k in range(len(self.sizes.kinds)))
            listed = self._list(counts, types, limit)
            if listed is not None:
                last, done = listed, share
                self.share = max(self.share, done)
                self._rule_out(Mixture(len(self.sizes.types), listed), limit, types)
            elif self.work < limit and step == _STEP:
                # Too many sets: half a step may do.
                step //= 2
            else:
                break
            share = done + step
        while last is not None and self._takes_only(types):
            if not self._settle(last, self.next.counts, limit, complete=last.complete):
                break
            self._look_on()

    def _takes_only(self, types: Collection[int]) -> bool:
        """Say whether something is left to prove, of a purchase of these types."""
        counts = self.next.counts
        if self.closed or not counts:
            return False
        return all(sheet in types for sheet, count in enumerate(counts) if count)

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

    def _fit_closely(self, limit: int) -> None:
        """Find a plan on the cheapest purchase where next to no area is over, or rule it out."""
        sheets = self.sizes.types
        for _ in range(_PURCHASES):
            purchase = self.next.counts
            area = sum(sheet.area * n for sheet, n in zip(sheets, purchase, strict=False))
            if self.closed or _OVER * (area - self.sizes.area) > area:
                return
            close, spent = close_fills(self.sizes, purchase, limit - self.work)
            self.work += spent
            if close is None or not self._settle(close, purchase, limit, complete=close.complete):
                return
            self._look_on()

    def _mix_unlimited(self, limit: int) -> None:
        """Rule out what any number of parts of each kind, and then all tight fills, exclude."""
        fills = UnlimitedFills(self.sizes, _MOST_POINTS if limit >= _FINE else _FEW_POINTS)
        mixture = Mixture(len(self.sizes.types), fills)
        for _ in range(_PURCHASES):
            if not self._rule_out(mixture, limit) or self._last is None or self.closed:
                return
            purchase = self.next.counts
            tight, spent = tight_fills(fills, purchase, self._last, limit - self.work)
            self.work += spent
            if tight is None or not self._settle(tight, purchase, limit, complete=tight.complete):
                return
            self._look_on()

    def _list(
        self, counts: tuple[int, ...], types: Collection[int], limit: int
    ) -> ListedFills | None:
        listings = []
        for every in groups_of(self.sizes):
            group = tuple(sheet for sheet in every if sheet in types)
            if not group:
                continue
            listing, spent = list_part_sets(
                self.sizes, group, counts, _MOST_SETS, limit - self.work, self.stopped
            )
            self.work += spent
            if listing is None:
                return None
            listings.append(listing)
        return ListedFills(self.sizes, listings)

    def _rule_out(self, mixture: Mixture, limit: int, types: Collection[int] | None = None) -> bool:
        """Rule out purchases by mixtures of fills until one suffices; False if the work is up.

        Ends at a purchase of other ``types`` than the fills are of, too (None for all types).

        ``_last`` is then the weighing by the best worths that this purchase meets.
        """
        self._last = None
        for _ in range(_PURCHASES):
            if self.closed or not self.next.counts:
                return False
            if types is not None and not self._takes_only(types):
                return False
            rounds = max(_LEAST_ROUNDS, (limit - self.work) // mixture.fills.work)
            shortage = mixture.weigh(self.next.counts, rounds, self.stopped, through=True)
            if shortage is None:
                return False
            self.work += shortage.rounds * mixture.fills.work
            if not shortage.proved:
                self._last = shortage
                return shortage.rounds < rounds
            self.weighings.append(shortage.weighing)
            self._look_on()
        return False

    def _settle(
        self, fills: CompleteFills, purchase: Counts, limit: int, *, complete: bool
    ) -> bool:
        """Say whether a purchase is ruled out by all fills that it may consist of.

        Args:
            fills: all of them.
            purchase: how many sheets of each type.
            limit: of the work.
            complete: a choice that makes all parts of the fills makes all parts there are.
        """
        mixture = Mixture(len(self.sizes.types), fills)
        rounds = max(_LEAST_ROUNDS, (limit - self.work) // fills.work)
        shortage = mixture.weigh(purchase, rounds, self.stopped, through=True)
        if shortage is None:
            return False
        self.work += shortage.rounds * fills.work
        if shortage.proved:
            self.ruled_out.append(purchase)
            return True
        choice, chosen = choose(fills, purchase, shortage, _MOST_CHOICES, self.cover)
        if choice is Choice.NONE:
            self.ruled_out.append(purchase)
        elif choice is Choice.FOUND and complete:
            laid = [(sheet, fills.lay(sheet, place)) for sheet, place in chosen]
            self.laid = without_extra(self.sizes, laid)
        return choice is Choice.NONE


def groups_of(sizes: Sizes) -> list[tuple[int, ...]]:
    """Give the sheet types in groups on which parts may lie the same ways."""
    if not any(kind.bound for kind in sizes.kinds):
        return [tuple(range(len(sizes.types)))]
    groups = [
        tuple(n for n, t in enumerate(sizes.types) if t.grain is grain) for grain in (True, False)
    ]
    return [group for group in groups if group]
