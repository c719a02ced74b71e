"""The fewest settings at one saw: an order of set-ups that serves every piece."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from cutopt.steps.visits import visit_order
from cutopt.units import Ticks

Place = tuple[int, int]
Setting = tuple[Ticks, str]
Cuts = Mapping[Place, tuple[Setting, Place | None]]
"""What each cut is set to, and the cut that frees its piece (done where not among them)."""

MOST_STATES = 2_000
"""Places of the search for fewer settings than the first order has."""


def setting_order(cuts: Cuts) -> tuple[tuple[Setting, tuple[Place, ...]], ...]:
    """Give the set-ups of one visit in order, each with its cuts in the order to make them.

    Settings go from large to small where none of their cuts wait. Where that comes back to a
    setting, the shortest order that serves all pieces is searched for: fewest settings as
    long as the search stays within ``MOST_STATES``.
    """
    order = tuple(_large_to_small(cuts))
    known = sorted({setting for setting, _ in cuts.values()}, reverse=True)
    if len(order) == len(known):
        return order
    routes: dict[Place, tuple[Setting, ...]] = {}
    for place, (setting, before) in sorted(cuts.items()):
        so_far = routes[before] if before in routes else ()  # noqa: SIM401 - before may be None
        routes[place] = so_far if so_far[-1:] == (setting,) else (*so_far, setting)
    shorter = visit_order(routes.values(), known, MOST_STATES)
    if len(shorter) >= len(order):
        return order
    todo = dict(cuts)
    return tuple((setting, tuple(_cut_with(setting, todo))) for setting in shorter)


def _large_to_small(cuts: Cuts) -> Iterator[tuple[Setting, tuple[Place, ...]]]:
    todo = dict(cuts)
    while todo:
        setting = _next_setting(todo)
        yield setting, tuple(_cut_with(setting, todo))


def _next_setting(todo: Cuts) -> Setting:
    """Give the largest setting whose cuts wait for no other setting, else the largest ready."""
    ready = {setting for setting, before in todo.values() if before not in todo}
    waiting = {todo[place][0] for place in todo if _waits(place, todo)}
    return max(ready - waiting or ready)


def _waits(place: Place, todo: Cuts) -> bool:
    """Say whether a cut with another setting must come first."""
    setting, before = todo[place]
    while before is not None and before in todo:
        other, further = todo[before]
        if other != setting:
            return True
        before = further
    return False


def _cut_with(setting: Setting, todo: dict[Place, tuple[Setting, Place | None]]) -> Iterator[Place]:
    """Take all cuts of one setting out of ``todo``, in rounds: what is ready, then what follows."""
    while True:
        now = [place for place, (s, before) in todo.items() if s == setting and before not in todo]
        if not now:
            return
        for place in now:
            del todo[place]
        yield from now
