"""The least walking between saws: one order of visits that serves every piece."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import TypeVar

from cutopt.units import Ticks

At = TypeVar("At", str, tuple[Ticks, str])
"""A saw by its name, or a setting of one saw."""

MOST_STATES = 20_000
"""Places of the search kept before the order is taken greedily."""


def visit_order(
    routes: Iterable[Sequence[At]], saws: Sequence[At], most_states: int = MOST_STATES
) -> tuple[At, ...]:
    """Give the shortest order of visits that holds every route as a subsequence.

    A route is the saws one piece must see, in turn, from the whole piece to a part. Where
    the search grows too large, the saw that helps most routes is visited next.

    Args:
        routes: of all pieces.
        saws: all saws in the order preferred among equals.
        most_states: places of the search kept before the order is taken greedily.

    Source: shortest common supersequence, D. Maier, "The complexity of some problems on
    subsequences and supersequences", Journal of the ACM 25 (1978), doi 10.1145/322063.322075;
    here a breadth-first search, since a shop has few saws.
    """
    words = sorted({tuple(route) for route in routes})
    needed = [w for w in words if not any(w != o and _within(w, o) for o in words)]
    start = tuple(0 for _ in needed)
    goal = tuple(len(word) for word in needed)
    reached: dict[tuple[int, ...], tuple[tuple[int, ...], At] | None] = {start: None}
    edge = [start]
    while edge and goal not in reached:
        if len(reached) > most_states:
            return _greedy(needed, saws)
        ahead = []
        for state in edge:
            for saw in saws:
                after = _visited(state, needed, saw)
                if after not in reached:
                    reached[after] = (state, saw)
                    ahead.append(after)
        edge = ahead
    order: list[At] = []
    at = reached[goal]
    while at is not None:
        order.append(at[1])
        at = reached[at[0]]
    return tuple(reversed(order))


def _visited(state: tuple[int, ...], words: Sequence[Sequence[At]], saw: At) -> tuple[int, ...]:
    """Give how far each route has come after one more visit."""
    return tuple(
        place + (place < len(word) and word[place] == saw)
        for place, word in zip(state, words, strict=True)
    )


def _greedy(words: Sequence[Sequence[At]], saws: Sequence[At]) -> tuple[At, ...]:
    """Give an order that visits the saw most routes wait for."""
    state = tuple(0 for _ in words)
    order = []
    while any(place < len(word) for place, word in zip(state, words, strict=True)):
        state, saw = max(
            ((_visited(state, words, saw), saw) for saw in saws), key=lambda found: sum(found[0])
        )
        order.append(saw)
    return tuple(order)


def _within(word: Sequence[At], other: Sequence[At]) -> bool:
    """Say whether ``other`` holds ``word`` in the same order."""
    rest = iter(other)
    return all(saw in rest for saw in word)
