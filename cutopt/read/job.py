"""A job from its files: ``job.toml``, its folder, a workbook or a bare parts table.

Everything that is wrong is gathered and raised at once.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from pathlib import Path

from cutopt.errors import CannotPlanError, Fault, InputError
from cutopt.model.job import Job, Part, Stock
from cutopt.model.opening_words import opening_warnings
from cutopt.model.openings import check_openings
from cutopt.read import headers
from cutopt.read.boards import read_boards
from cutopt.read.cells import quoted
from cutopt.read.cutouts import add_cutouts
from cutopt.read.document import Document, Source, load_toml, override
from cutopt.read.extras import read_extras
from cutopt.read.files import TEXTS, WORKBOOKS, read_grids
from cutopt.read.freehand import read_freehand
from cutopt.read.gathered import Gathered
from cutopt.read.grades import read_grades
from cutopt.read.grid import Grid
from cutopt.read.materials import StockList
from cutopt.read.once import columns_once, units_once
from cutopt.read.openings import read_openings
from cutopt.read.parts import odd_pairs, questions, read_parts, unmatched
from cutopt.read.settings import UNIT_WORDS, JobSettings, SettingsReader
from cutopt.read.starter_stock import starter_table
from cutopt.read.stock import read_stock
from cutopt.read.table import Table, understand
from cutopt.units import Units, has_metric_unit

_ROLES = {
    "parts": headers.PARTS,
    "stock": headers.STOCK,
    "cutouts": headers.CUTOUTS,
    "extras": headers.EXTRAS,
    "grades": headers.GRADES,
    "boards": headers.BOARDS,
}


_NO_NAMES = frozenset(
    ("", "part", "parts", "partlist", "partslist", "bill", "billofparts", "billofmaterials", "bom",
     "cutlist", "cuttinglist", "list", "table", "job")
)  # fmt: skip


@dataclass(slots=True)
class _Files:
    """What was found of a job before any of it is understood."""

    name: str
    document: Document
    source: Source
    grids: dict[str, Grid] = field(default_factory=dict)
    failed: set[str] = field(default_factory=set)


def read_job(
    path: Path,
    *,
    units: Units | None = None,
    overrides: Mapping[str, str] | None = None,
    outside: bool = False,
) -> Job:
    """Give the job at a path.

    Args:
        path: a ``job.toml``, the folder that holds it, a workbook, or a bare parts table.
        units: what bare numbers mean where the job does not say.
        overrides: settings for this run, dotted keys to texts (``store.free_cuts`` to ``4``).
        outside: whether files the job names may lie outside its folder.

    Raises:
        InputError: anything in the files is wrong; carries every fault.
        CannotPlanError: all is understood, but no board can give a part's width.
    """
    gathered = Gathered()
    files = _find(Path(path), gathered, outside=outside)
    files.document = override(files.document, overrides or {}, gathered.faults)
    files.source = replace(files.source, changed=frozenset(overrides or {}))
    stated = _stated_units(files, gathered.faults)
    meant = stated or units
    like = meant or _units_used(files)
    tables = {role: _table(grid, role, meant, gathered) for role, grid in files.grids.items()}
    tables.update(dict.fromkeys(files.failed))
    reader = SettingsReader(files.document, files.source, meant, like)
    settings = reader.read(files.name)
    gathered.faults.extend(reader.faults)
    for note in settings.notes:
        gathered.say(note)
    job = _put_together(settings, tables, meant, like, gathered)
    needs = read_openings(files.document, files.source, job.parts, gathered.faults)
    if gathered.faults:
        faults = units_once([*gathered.faults, *gathered.cannot])
        raise InputError(_in_order(columns_once(faults, tables.values())))
    if gathered.cannot:
        raise CannotPlanError(gathered.cannot)
    short = opening_warnings(check_openings(needs, job.parts, like), like)
    return replace(job, openings=needs, warnings=(*job.warnings, *short))


# --- finding the files ---------------------------------------------------------------------


def _find(path: Path, gathered: Gathered, *, outside: bool) -> _Files:
    """Give the settings and the bare tables of a job.

    Raises:
        InputError: there is no job at the path.
    """
    if path.is_dir():
        inside = path / "job.toml"
        if not inside.is_file():
            near = sorted(p.name for p in path.iterdir() if p.suffix.lower() in TEXTS | WORKBOOKS)
            raise InputError(
                [
                    Fault(
                        "there is no job.toml in this folder",
                        file=str(path),
                        help=f"name a file: {quoted(near)}" if near else "cutopt new writes one",
                    )
                ]
            )
        path = inside
    ending = path.suffix.lower()
    if ending == ".toml":
        return _job_folder(path, gathered, outside=outside)
    grids = read_grids(path)
    source = Source(path.name)
    if ending in WORKBOOKS:
        by_name = {name.strip().casefold(): grid for name, grid in grids.items()}
        if "parts" in by_name:
            found = {role: by_name[role] for role in _ROLES if role in by_name}
            document = _job_sheet(by_name["job"], gathered.faults) if "job" in by_name else {}
            return _Files(_name_of(path), document, Source(path.name), found)
        if len(grids) > 1:
            raise InputError(
                [
                    Fault(
                        "there is no sheet named Parts",
                        file=path.name,
                        found=", ".join(grids),
                        help="name the sheets Parts, Stock and, if wanted, Cutouts, Extras, Job",
                    )
                ]
            )
    return _Files(_name_of(path), {}, source, {"parts": next(iter(grids.values()))})


def _name_of(path: Path) -> str:
    """Give the name of a job in one file: the file's, or its folder's where that says nothing."""
    words = re.sub(r"[\W\d_]+", "", path.stem).casefold()
    return (path.resolve().parent.name if words in _NO_NAMES else "") or path.stem


def _job_folder(path: Path, gathered: Gathered, *, outside: bool) -> _Files:
    """Give the settings in a ``job.toml`` and the tables it names."""
    document, source = load_toml(path)
    folder = path.resolve().parent
    files = _Files(folder.name, document, source)
    for role in _ROLES:
        named = document.get(role)
        if named is None:
            if role in {"parts", "stock"} and (folder / f"{role}.csv").is_file():
                named = f"{role}.csv"
            else:
                continue
        if not isinstance(named, str):
            gathered.faults.append(source.fault(role, "this is the name of a file", named))
            files.failed.add(role)
            continue
        target = (folder / named).resolve()
        if not outside and not target.is_relative_to(folder):
            gathered.faults.append(
                source.fault(
                    role,
                    "this file lies outside the job's folder",
                    named,
                    "move it into the folder, or allow it with --outside",
                )
            )
            files.failed.add(role)
            continue
        try:
            files.grids[role] = _sheet_for(role, read_grids(target), named)
        except InputError as error:
            gathered.faults.extend(error.faults)
            files.failed.add(role)
    if "parts" not in files.grids and "parts" not in files.failed:
        gathered.faults.append(
            source.fault("parts", "the bill of parts is not named", "", 'write parts = "parts.csv"')
        )
    return files


def _sheet_for(role: str, grids: dict[str, Grid], named: str) -> Grid:
    """Give the sheet of a workbook for a role: the only one, or the one named after it.

    Raises:
        InputError: there are several sheets and none has the name.
    """
    if len(grids) == 1:
        return next(iter(grids.values()))
    for name, grid in grids.items():
        if name.strip().casefold() == role:
            return grid
    raise InputError(
        [Fault(f"there is no sheet named {role.title()}", file=named, found=", ".join(grids))]
    )


def _job_sheet(grid: Grid, faults: list[Fault]) -> Document:
    """Give the settings in a workbook's Job sheet: a key and a value in each row."""
    faults.extend(grid.faults)
    texts = {}
    for number, cells in enumerate(grid.rows, start=1):
        words = [cell.strip() for cell in cells if cell.strip()]
        if not words or (
            headers.meaning_of(words[0], headers.JOB) == "key"
            and len(words) > 1
            and headers.meaning_of(words[1], headers.JOB) == "value"
        ):
            continue
        key = cells[0].strip()
        value = cells[1].strip() if len(cells) > 1 else ""
        if not key or not value:
            faults.append(
                Fault("a setting is a key and a value", grid.file, number, found=" ".join(words))
            )
            continue
        texts[key] = value
    return override({}, texts, faults)


# --- units ---------------------------------------------------------------------------------


def _stated_units(files: _Files, faults: list[Fault]) -> Units | None:
    """Give the units the job states, or None."""
    text = files.document.get("units")
    if text is None:
        return None
    units = UNIT_WORDS.get(str(text).strip().casefold())
    if units is None:
        faults.append(files.source.fault("units", "these units are not known", text, "inch or mm"))
    return units


def _units_used(files: _Files) -> Units:
    """Give millimetres where any cell of the bill of parts has a metric unit, else inches."""
    grid = files.grids.get("parts")
    cells = (cell for row in (grid.rows if grid else ()) for cell in row)
    metric = any(
        has_metric_unit(cell) or re.search(r"\d ?(mm|cm)\b|[(\[](mm|cm)[)\]]", cell)
        for cell in cells
    )
    return Units.MM if metric else Units.INCH


def _in_order(faults: list[Fault]) -> list[Fault]:
    """Give the faults file by file, each file's from its top down."""
    files = list(dict.fromkeys(fault.file for fault in faults))
    return sorted(faults, key=lambda fault: (files.index(fault.file), fault.row or 0))


# --- understanding them --------------------------------------------------------------------


def _table(grid: Grid, role: str, units: Units | None, gathered: Gathered) -> Table | None:
    """Give a grid as the table of its role, or None with a fault."""
    if grid.faults:
        gathered.faults.extend(grid.faults)
        return None
    table = understand(grid, _ROLES[role])
    if table is None and role == "parts":
        table = read_freehand(grid, units)
    if table is None:
        columns = ", ".join(_ROLES[role].columns[:6])
        gathered.faults.append(
            Fault(
                "no header row is found in the first rows",
                file=grid.file,
                row=1,
                found=" | ".join(grid.rows[0])[:80] if grid.rows else "",
                help=f"the first row names the columns, like {columns}",
            )
        )
        return None
    gathered.faults.extend(table.faults)
    for note in table.notes:
        gathered.say(note)
    return table


def _put_together(
    settings: JobSettings,
    tables: Mapping[str, Table | None],
    meant: Units | None,
    like: Units,
    gathered: Gathered,
) -> Job:
    """Give the job of its settings and tables."""
    stock_table = tables["stock"] if "stock" in tables else starter_table(like)
    stock: tuple[Stock, ...] = ()
    unread: frozenset[str] = frozenset()
    if stock_table is not None:
        stock, unread = read_stock(stock_table, meant, like, settings.currency, gathered)
    if "stock" not in tables:
        gathered.say("no stock list: planned on the sizes of the starter list, without prices")
    boards = tables.get("boards")
    if boards is not None:
        stock = read_boards(boards, stock, meant, like, gathered)
    listed = StockList(stock, "stock" not in tables)
    parts: tuple[Part, ...] = ()
    bill = tables.get("parts")
    if bill is not None:
        parts = read_parts(bill, listed, unread, meant, like, settings.shop.kerf, gathered)
    cutouts = tables.get("cutouts")
    if cutouts is not None:
        read = {part.name.casefold() for part in parts}
        rows = bill.rows if bill is not None else ()
        wrong = frozenset(row.text("part").casefold() for row in rows) - read
        parts = add_cutouts(cutouts, parts, meant, like, wrong, gathered.faults)
    extras = tables.get("extras")
    grades = tables.get("grades")
    words = tuple(dict.fromkeys(row.grade for row in stock if row.grade))
    known = read_grades(grades, meant, words, gathered) if grades is not None else ()
    return Job(
        name=settings.name,
        units=like,
        parts=parts,
        stock=stock,
        shop=settings.shop,
        store=settings.store,
        carry=settings.carry,
        budget=settings.budget,
        currency=settings.currency,
        favour=settings.favour,
        extras=read_extras(extras, settings.currency, gathered.faults) if extras else (),
        grades=known,
        confidence=settings.confidence,
        trip_cents=settings.trip_cents,
        notes=(*gathered.notes, *odd_pairs(parts), *questions(parts), *unmatched(parts)),
    )
