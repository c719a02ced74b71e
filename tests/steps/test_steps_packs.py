"""Packs of extras: the cheapest mix that covers what is needed."""

from __future__ import annotations

from itertools import product

from hypothesis import given
from hypothesis import strategies as st

from cutopt.model.job import Extra, Pack
from cutopt.steps.packs import cheapest_packs


def mix(extra: Extra) -> dict[int, int]:
    return {pack.size: count for pack, count in cheapest_packs(extra).packs}


def test_a_large_pack_may_be_cheaper_than_enough_small_ones() -> None:
    screws = Extra("screws", 60, (Pack(25, 300), Pack(100, 750)))
    assert mix(screws) == {100: 1}
    assert cheapest_packs(screws).price_cents == 750


def test_packs_are_mixed_where_that_is_cheapest() -> None:
    screws = Extra("screws", 120, (Pack(25, 300), Pack(100, 750)))
    assert mix(screws) == {100: 1, 25: 1}


def test_of_equal_prices_fewer_packs() -> None:
    assert mix(Extra("hinges", 4, (Pack(1, 100), Pack(2, 200)))) == {2: 2}


def test_a_pack_without_a_price_is_passed_over() -> None:
    assert mix(Extra("glue", 2, (Pack(1, 500), Pack(2, None)))) == {1: 2}


def test_no_price_at_all_is_no_price() -> None:
    glue = cheapest_packs(Extra("glue", 3, (Pack(1, None), Pack(2, None))))
    assert glue.price_cents is None
    assert sum(pack.size * count for pack, count in glue.packs) >= 3


@given(
    st.integers(1, 12),
    st.lists(st.tuples(st.integers(1, 6), st.integers(0, 9)), min_size=1, max_size=3),
)
def test_no_mix_is_cheaper(qty: int, packs: list[tuple[int, int]]) -> None:
    found = cheapest_packs(Extra("item", qty, tuple(Pack(*pack) for pack in packs)))
    prices = [
        sum(count * price for count, (_, price) in zip(counts, packs, strict=True))
        for counts in product(range(qty + 1), repeat=len(packs))
        if sum(count * size for count, (size, _) in zip(counts, packs, strict=True)) >= qty
    ]
    assert found.price_cents == min(prices)
    assert sum(pack.size * count for pack, count in found.packs) >= qty
    assert found.price_cents == sum((pack.price_cents or 0) * n for pack, n in found.packs)
