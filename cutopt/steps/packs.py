"""The cheapest mix of packs that covers what is needed of an extra."""

from __future__ import annotations

from dataclasses import dataclass

from cutopt.model.job import Extra, Pack


@dataclass(frozen=True, slots=True)
class PackMix:
    """Packs to buy of one extra, (pack, how many) with the largest packs first.

    Attributes:
        price_cents: of all together; None where no pack has a price.
    """

    packs: tuple[tuple[Pack, int], ...]
    price_cents: int | None


def cheapest_packs(extra: Extra) -> PackMix:
    """Give the packs that cover an extra's quantity for the least money.

    Of equal prices the one with fewest packs. Packs without a price are passed over as long
    as one has a price; where none has, the fewest packs.
    """
    usable = [pack for pack in extra.packs if pack.size > 0]
    priced = [pack for pack in usable if pack.price_cents is not None] or usable
    if not priced or extra.qty <= 0:
        return PackMix((), 0 if extra.qty <= 0 else None)
    # best[n]: least (cents, packs, size bought) that covers n pieces, and the last pack taken.
    best: list[tuple[int, int, int]] = [(0, 0, 0)]
    taken: list[int] = [-1]
    for wanted in range(1, extra.qty + 1):
        least, which = min(
            (
                (
                    best[max(0, wanted - pack.size)][0] + (pack.price_cents or 0),
                    best[max(0, wanted - pack.size)][1] + 1,
                    best[max(0, wanted - pack.size)][2] + pack.size,
                ),
                index,
            )
            for index, pack in enumerate(priced)
        )
        best.append(least)
        taken.append(which)
    counts = [0] * len(priced)
    left = extra.qty
    while left > 0:
        counts[taken[left]] += 1
        left -= priced[taken[left]].size
    mix = [(pack, count) for pack, count in zip(priced, counts, strict=True) if count]
    mix.sort(key=lambda row: -row[0].size)
    known = priced[0].price_cents is not None
    return PackMix(tuple(mix), best[extra.qty][0] if known else None)
