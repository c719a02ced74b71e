"""Follows a search on the terminal and lets Ctrl-C end it with the best plan so far."""

from __future__ import annotations

import signal
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from types import FrameType

from rich.console import Console
from rich.live import Live
from rich.table import Table

Say = Callable[[str, int], str]
"""Puts a cost of the material so called into words ("$128.00")."""


class TerminalWatch:
    """Shows the best cost and the bound of each material while the search works."""

    def __init__(self, live: Live | None, say: Say, console: Console | None = None) -> None:
        self._live = live
        self._console = console
        self._say = say
        self._rows: dict[str, tuple[int | None, int | None]] = {}
        self._stop = False

    def report(self, what: str, best: int | None, bound: int | None) -> None:
        """Take news of one material and draw the table again."""
        old_best, old_bound = self._rows.get(what, (None, None))
        self._rows[what] = (
            best if best is not None else old_best,
            bound if bound is not None else old_bound,
        )
        if self._live is not None:
            self._live.update(self._table())

    def preparing(self, what: str) -> None:
        """Say what is being made ready."""
        if self._console is not None:
            self._console.print(f"{what} ...", style="dim")

    def stopped(self) -> bool:
        """Say whether Ctrl-C was pressed."""
        return self._stop

    def stop(self, _signal: int, _frame: FrameType | None) -> None:
        """Ask the search to end; a second Ctrl-C ends the program."""
        if self._stop:
            raise KeyboardInterrupt
        self._stop = True

    def _table(self) -> Table:
        table = Table(box=None, pad_edge=False)
        table.add_column("planning")
        table.add_column("best so far", justify="right")
        table.add_column("cannot be under", justify="right")
        for what, (best, bound) in self._rows.items():
            table.add_row(
                what,
                "..." if best is None else self._say(what, best),
                "..." if bound is None else self._say(what, bound),
            )
        return table


@contextmanager
def watching(console: Console, say: Say, *, quiet: bool) -> Iterator[TerminalWatch]:
    """Give a watch for the time of a search; the progress shown is gone afterwards."""
    live = None
    if not quiet and console.is_terminal:
        live = Live(console=console, transient=True, refresh_per_second=8)
    watch = TerminalWatch(live, say, None if quiet else console)
    before = signal.signal(signal.SIGINT, watch.stop)
    try:
        if live is None:
            yield watch
        else:
            with live:
                yield watch
    finally:
        signal.signal(signal.SIGINT, before)
