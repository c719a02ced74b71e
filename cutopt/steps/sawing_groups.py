"""Children of a layout taken together as one piece: the same object every time."""

from __future__ import annotations

from collections.abc import Sequence

from cutopt.model.layout import Layout, Split


class Groups:
    """Layouts made of some of the children of others; what is known of each is kept by identity."""

    def __init__(self) -> None:
        self._known: dict[tuple[int, tuple[int, ...]], Split] = {}

    def of(self, layout: Split, chosen: Sequence[int]) -> Layout:
        """Give the chosen children of a layout, by number, as one layout."""
        if len(chosen) == len(layout.children):
            return layout
        if len(chosen) == 1:
            return layout.children[chosen[0]]
        key = (id(layout), tuple(chosen))
        if key not in self._known:
            children = tuple(layout.children[i] for i in chosen)
            self._known[key] = Split(layout.direction, children)
        return self._known[key]
