"""Write the tables of what was measured into a page: ``python -m benchmarks.write_tables``.

A table goes between ``<!-- table NAME -->`` and ``<!-- end -->``, NAME being that of a file
of rows. Where there is no such file the page keeps what it has.
"""

from __future__ import annotations

import argparse
import re
import sys
from pathlib import Path

from benchmarks.measuring import rows_of_last_run
from benchmarks.profile_home import profile_table
from benchmarks.tables import tables, value_tables

PAGE = Path(__file__).parents[1] / "docs" / "measured.md"
_PLACE = re.compile(r"(<!-- table (\S+) -->\n).*?(<!-- end -->)", re.DOTALL)


def main(arguments: list[str] | None = None) -> int:
    """Write the tables there are rows for; say which were written."""
    parser = argparse.ArgumentParser(description="Write tables into the page of measurements.")
    parser.add_argument("--out", type=Path, default=Path("build/benchmarks"), help="rows")
    parser.add_argument("--page", type=Path, default=PAGE)
    asked = parser.parse_args(arguments)

    def filled(place: re.Match[str]) -> str:
        before, name, after = place.groups()
        path = asked.out / f"{name}.csv"
        if not path.is_file():
            sys.stdout.write(f"{name}: not measured, left as it is\n")
            return place.group()
        sys.stdout.write(f"{name}: written\n")
        return f"{before}\n{table_of(path)}\n{after}"

    text = asked.page.read_text(encoding="utf-8")
    asked.page.write_text(_PLACE.sub(filled, text), encoding="utf-8")
    return 0


def table_of(path: Path) -> str:
    """Give the table of a file of rows; of the classic instances a line a class."""
    if path.stem.startswith("profile"):
        return profile_table(path)
    rows = rows_of_last_run(path)
    if path.stem.startswith("values"):
        return value_tables(rows)
    return tables(rows, whole_groups=path.stem.startswith("sheets-class"))


if __name__ == "__main__":
    sys.exit(main())
