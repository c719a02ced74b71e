"""Tables of what was measured, beside what is published."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from functools import cache
from math import ceil
from statistics import mean, median

from benchmarks.cases import ORIENTED, TURNED, published_sums
from benchmarks.measuring import Row

_COMPLETE = 10
_WORDS = {ORIENTED: "no part may turn", TURNED: "parts may turn"}

Column = tuple[str, Callable[[Sequence[Row]], str]]


def tables(rows: Sequence[Row], *, whole_groups: bool = False) -> str:
    """Give a table in Markdown for each variant there are rows of, with a line above it.

    Args:
        rows: of one run.
        whole_groups: one line for all groups of the same first word (of a class, say).
    """
    return _tables(rows, lambda chosen: table(chosen, whole_groups=whole_groups))


def value_tables(rows: Sequence[Row]) -> str:
    """Give tables as ``tables`` does, of the most value from one sheet."""
    return _tables(rows, lambda chosen: _table(_by_group(chosen), _VALUE_COLUMNS))


def _tables(rows: Sequence[Row], table_of: Callable[[Sequence[Row]], str]) -> str:
    text = ""
    for variant, words in _WORDS.items():
        chosen = [row for row in rows if row.variant == variant]
        if chosen:
            run = chosen[0].run
            sets = ", ".join(dict.fromkeys(row.of for row in chosen))
            text += (
                f"**{sets}**, {words}; effort {run.effort}, seed {run.seed}, "
                f"commit {run.commit}, {len(chosen)} cases\n\n"
                f"{table_of(chosen)}\n{_lists(chosen)}"
            )
    return text.rstrip() + "\n"


def table(rows: Sequence[Row], *, whole_groups: bool = False) -> str:
    """Give a table in Markdown, a line a group and one for all; no empty columns."""
    return _table(_by_group(rows, whole_groups=whole_groups), _COLUMNS)


def _by_group(rows: Sequence[Row], *, whole_groups: bool = False) -> dict[str, list[Row]]:
    """Give the rows of each line: of each group, and of all."""
    groups: dict[str, list[Row]] = {}
    for row in rows:
        label = row.group.split()[0] if whole_groups else row.group
        groups.setdefault(label, []).append(row)
    return {**groups, "all": list(rows)} if len(groups) > 1 else groups


def _table(groups: dict[str, list[Row]], chosen: Sequence[Column]) -> str:
    columns = [
        [head, "---", *cells]
        for head, cell in chosen
        if any(cells := [cell(of_group) for of_group in groups.values()])
    ]
    columns.insert(0, ["group", "---", *groups])
    lines = zip(*columns, strict=True)
    return "".join("| " + " | ".join(line) + " |\n" for line in lines)


def _total(of: Callable[[Row], int | None]) -> Callable[[Sequence[Row]], str]:
    """Give a sum, empty where a value is missing: a sum of some says nothing."""

    def cell(rows: Sequence[Row]) -> str:
        values = [of(row) for row in rows]
        return "" if None in values else str(sum(value or 0 for value in values))

    return cell


def _count(
    of: Callable[[Row], bool], known: Callable[[Row], bool]
) -> Callable[[Sequence[Row]], str]:
    """Give how many rows are so, empty where for some it is not known."""

    def cell(rows: Sequence[Row]) -> str:
        return str(sum(of(row) for row in rows)) if all(known(row) for row in rows) else ""

    return cell


def _is_best_known(row: Row) -> bool:
    return row.published_best is not None


def _is_bound_known(row: Row) -> bool:
    return row.published_best is not None and row.published_bound is not None


def _seconds(of: Callable[[list[float]], float]) -> Callable[[Sequence[Row]], str]:
    return lambda rows: f"{of([row.seconds for row in rows]):.2f}"


def percentile_95(values: Iterable[float]) -> float:
    """Give the least value that 95 % of the values do not exceed."""
    ordered = sorted(values)
    return ordered[ceil(0.95 * len(ordered)) - 1]


def _gap(rows: Sequence[Row]) -> str:
    """Give how much the plans cost above the bounds, the mean of the cases."""
    if any(not row.bound for row in rows):
        return ""
    return f"{mean(row.cost / row.bound - 1 for row in rows):.2%}"


def _cell_by_cell(rows: Sequence[Row]) -> str:
    """Give the sum of the best published totals of complete groups."""
    if rows[0].of != "class":
        return ""
    best = {group: min(sums.values()) for group, sums in _sums(rows[0].variant).items()}
    groups = _complete_groups(rows)
    return str(sum(best[group] for group in groups)) if groups else ""


def _complete_groups(rows: Sequence[Row]) -> list[str]:
    """Give the groups of the rows if all of them are complete."""
    sizes: dict[str, int] = {}
    for row in rows:
        sizes[row.group] = sizes.get(row.group, 0) + 1
    return list(sizes) if all(size == _COMPLETE for size in sizes.values()) else []


def _lists(rows: Sequence[Row]) -> str:
    """Give what each published list of totals comes to on the same groups, in a line."""
    if rows[0].of != "class" or not _complete_groups(rows):
        return ""
    totals: dict[str, int] = {}
    for group in _complete_groups(rows):
        for name, value in _sums(rows[0].variant)[group].items():
            totals[name] = totals.get(name, 0) + value
    listed = ", ".join(f"{name} {total}" for name, total in totals.items())
    return f"Published lists on the same cases: {listed}; cutopt {sum(r.cost for r in rows)}.\n\n"


@cache
def _sums(variant: str) -> dict[str, dict[str, int]]:
    return {" ".join(group): sums for group, sums in published_sums(variant).items()}


def _short_of_published(row: Row) -> float:
    """Give how much less than the published value ours is, as a share; below 0 for more."""
    return 1 - row.cost / row.published_best if row.published_best else 0.0


_TIMES: tuple[Column, ...] = (
    ("mean s", _seconds(mean)),
    ("median s", _seconds(median)),
    ("95 % s", _seconds(percentile_95)),
    ("longest s", _seconds(max)),
    ("peak MB", lambda rows: str(max(row.peak_mb for row in rows))),
)

_COLUMNS: tuple[Column, ...] = (
    ("cases", lambda rows: str(len(rows))),
    ("cutopt", _total(lambda row: row.cost)),
    ("bound", _total(lambda row: row.bound)),
    ("proven", _count(lambda row: row.cost == row.bound, lambda _: True)),
    ("gap", _gap),
    ("best known", _total(lambda row: row.published_best)),
    ("level or better", _count(lambda row: row.cost <= (row.published_best or 0), _is_best_known)),
    ("best by cells", _cell_by_cell),
    ("known bound", _total(lambda row: row.published_bound)),
    (
        "known proven",
        _count(lambda row: row.published_best == row.published_bound, _is_bound_known),
    ),
    ("rectpack", _total(lambda row: row.library)),
    *_TIMES,
)

_VALUE_COLUMNS: tuple[Column, ...] = (
    ("cases", lambda rows: str(len(rows))),
    ("value", _total(lambda row: row.cost)),
    ("best known", _total(lambda row: row.published_best)),
    ("mean gap", lambda rows: f"{mean(_short_of_published(row) for row in rows):.2%}"),
    ("widest gap", lambda rows: f"{max(_short_of_published(row) for row in rows):.2%}"),
    ("level", _count(lambda row: row.cost == row.published_best, _is_best_known)),
    ("above", _count(lambda row: row.cost > (row.published_best or 0), _is_best_known)),
    ("proven", _count(lambda row: row.cost == row.bound, lambda _: True)),
    *_TIMES,
)
