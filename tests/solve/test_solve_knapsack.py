"""Filling one board: against trying everything."""

from __future__ import annotations

from itertools import product
from random import Random

import pytest

from cutopt.solve.boards_fill import fill_tightly
from cutopt.solve.boards_load import Load, used
from cutopt.solve.knapsack import Need, best_fills, list_fills


def every_fill(room, weights, limits):
    return [
        counts
        for counts in product(*(range(limit + 1) for limit in limits))
        if sum(c * w for c, w in zip(counts, weights, strict=True)) <= room
    ]


def worth(counts, values):
    return sum(c * v for c, v in zip(counts, values, strict=True))


def board(seed, scale):
    random = Random(seed)
    kinds = random.randint(1, 5)
    weights = [random.randint(5 * scale, 60 * scale) for _ in range(kinds)]
    values = [random.randint(0, 90) for _ in range(kinds)]
    limits = [random.randint(0, 3) for _ in range(kinds)]
    return random.randint(60 * scale, 130 * scale), weights, values, limits


@pytest.mark.parametrize("scale", [1, 7_919])  # exact table; coarse table and search
@pytest.mark.parametrize("seed", range(40))
def test_best_fill_is_the_best_of_all(seed, scale):
    room, weights, values, limits = board(seed, scale)
    rooms = [room, room // 2]
    fills = best_fills(rooms, weights, values, limits)
    for space, fill in zip(rooms, fills, strict=True):
        best = max(worth(counts, values) for counts in every_fill(space, weights, limits))
        assert fill.value == fill.ceiling == best
        if fill.counts is not None:
            assert fill.counts in every_fill(space, weights, limits)
            assert worth(fill.counts, values) == best


@pytest.mark.parametrize("seed", range(20))
def test_ceiling_holds_when_the_search_is_cut_short(seed):
    room, weights, values, limits = board(seed, 7_919)
    (fill,) = best_fills([room], weights, values, limits, most_nodes=0, rough=True)
    best = max(worth(counts, values) for counts in every_fill(room, weights, limits))
    assert fill.value <= best <= fill.ceiling


def test_nothing_is_given_where_nothing_of_worth_fits():
    fills = best_fills([10, 4], [5, 20], [0, 3], [2, 1])
    assert [(fill.value, fill.counts, fill.ceiling) for fill in fills] == [(0, None, 0)] * 2


@pytest.mark.parametrize("scale", [1, 7_919])
@pytest.mark.parametrize("seed", range(20))
def test_list_holds_every_full_fill_worth_enough(seed, scale):
    room, weights, values, limits = board(seed, scale)
    fills = every_fill(room, weights, limits)
    least = max(worth(counts, values) for counts in fills) * 2 // 3

    def is_full(counts):
        left = room - worth(counts, weights)
        return all(
            count == limit or weight > left
            for count, limit, weight in zip(counts, limits, weights, strict=True)
        )

    expected = {c for c in fills if worth(c, values) >= least and is_full(c)}
    listed = list_fills(room, weights, limits, [Need(tuple(values), least)], 10_000)
    assert listed is not None
    assert len(listed) == len(set(listed))
    assert set(listed) == expected


def test_list_is_refused_where_it_would_grow_too_long():
    assert list_fills(100, [3, 5, 7], [9, 9, 9], [], 10) is None


@pytest.mark.parametrize("seed", range(20))
def test_boards_barely_long_enough_are_filled_without_a_part_too_many(seed):
    random = Random(seed)
    weights = tuple(sorted(random.sample(range(100, 900), 12), reverse=True))
    demands = tuple(random.randint(1, 9) for _ in weights)
    total = sum(w * d for w, d in zip(weights, demands, strict=True))
    boards = (-(-total // 4_000), 1)
    load = Load(1, weights, demands, (4_000, 1_000), (4, 1), boards)
    packing = fill_tightly(load, demands, boards, 20, random)
    assert packing is not None
    made = [sum(filled.counts[kind] for filled in packing) for kind in range(len(weights))]
    assert tuple(made) == demands
    assert all(count <= have for count, have in zip(used(load, packing), boards, strict=True))
    assert all(worth(filled.counts, weights) <= load.rooms[filled.board] for filled in packing)
    assert fill_tightly(load, demands, (boards[0] - 2, 1), 20, random) is None
