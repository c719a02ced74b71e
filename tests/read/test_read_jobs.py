"""Jobs in tests/jobs: good ones and what is understood of them, bad ones and the exact message.

A new case is a new folder: the job's files and ``expected.txt``. ``arguments.toml``, where it is
there, names the path to read (the folder itself without it), units and changed settings.
After a change on purpose: ``CUTOPT_WRITE_EXPECTED=1 pytest tests/read/test_read_jobs.py``, and
read the difference.
"""

from __future__ import annotations

import os
import tomllib
from pathlib import Path

import pytest

from cutopt.errors import CutoptError, ExitCode
from cutopt.model.job import Job, Kind
from cutopt.read.job import read_job
from cutopt.units import Units, format_length

JOBS = Path(__file__).parent.parent / "jobs"


def folders(kind):
    return [pytest.param(path, id=path.name) for path in sorted((JOBS / kind).iterdir())]


def read(folder):
    file = folder / "arguments.toml"
    arguments = tomllib.loads(file.read_text("utf-8")) if file.exists() else {}
    units = arguments.get("units")
    return read_job(
        folder / arguments.get("path", ""),
        units=None if units is None else Units(units),
        overrides=arguments.get("set"),
        outside=arguments.get("outside", False),
    )


def described(job: Job) -> str:
    """Give what was read, one thing a line."""

    def size(*measures):
        return " x ".join(format_length(measure, job.units) for measure in measures)

    lines = [f"{job.name} in {job.units}, {job.currency}, kerf {size(job.shop.kerf)}"]
    for part in job.parts:
        wood = part.material
        words = [
            f"{part.id} {part.name}: {part.qty} of {size(part.length, part.width, part.thickness)}",
            f"blank {size(part.blank_length, part.blank_width)}",
            wood.name + (f" {wood.section}" if wood.kind is Kind.BOARD else ""),
            f"grain {part.grain}" if part.grain != "any" else "",
            f"band {' '.join(part.band)}" if part.band else "",
            part.group and f"for {part.group}",
            "last" if part.last else "",
            {True: "handed", False: "not handed", None: ""}[part.handed],
            *(f"{cutout.kind} {size(cutout.length, cutout.width)}" for cutout in part.cutouts),
            part.note and f"note {part.note}",
            f"row {part.row}",
        ]
        lines.append(", ".join(word for word in words if word))
    lines += [f"note: {note}" for note in job.notes]
    return "\n".join(lines) + "\n"


def compare(found, folder):
    expected = folder / "expected.txt"
    if os.environ.get("CUTOPT_WRITE_EXPECTED"):
        expected.write_text(found, encoding="utf-8")
    assert found == expected.read_text("utf-8")


@pytest.mark.parametrize("folder", folders("good"))
def test_good_jobs_are_understood(folder):
    compare(described(read(folder)), folder)


@pytest.mark.parametrize("folder", folders("bad"))
def test_bad_jobs_say_what_is_wrong(folder):
    with pytest.raises(CutoptError) as caught:
        read(folder)
    message = f"exit {caught.value.exit_code.value}\n{caught.value}\n"
    compare(message.replace(str(folder), "FOLDER"), folder)
    assert caught.value.exit_code in {ExitCode.BAD_INPUT, ExitCode.CANNOT_PLAN}
