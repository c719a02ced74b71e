"""The documents keep pace with the program."""

from __future__ import annotations

import os
import re
import subprocess
import sys
import tomllib
from pathlib import Path

import pytest

import cutopt

ROOT = Path(__file__).parent.parent
COMMANDS = ("", "plan", "check", "draw", "grades", "done", "replan", "new")


def commands_page() -> str:
    """The page of all commands, from their own help."""
    environment = {**os.environ, "COLUMNS": "90", "TERM": "dumb"}
    page = "# Commands\n\nWritten by `make golden` from the program's own help.\n"
    for command in COMMANDS:
        answer = subprocess.run(
            [sys.executable, "-m", "cutopt", *command.split(), "--help"],
            capture_output=True,
            text=True,
            check=True,
            env=environment,
        )
        lines = "\n".join(line.rstrip() for line in answer.stdout.strip().splitlines())
        page += f"\n## cutopt {command}".rstrip() + f"\n\n```\n{lines}\n```\n"
    return page.replace("python -m cutopt", "cutopt").replace("__main__.py", "cutopt")


def test_golden_commands_page_is_what_help_says() -> None:
    path = ROOT / "docs" / "commands.md"
    if os.environ.get("CUTOPT_WRITE_GOLDEN"):
        path.write_text(commands_page(), encoding="utf-8")
    assert path.read_text(encoding="utf-8") == commands_page()


@pytest.mark.parametrize(
    "name", ["README.md", "DEVELOPERS.md", "docs/job-files.md", "docs/going-on.md"]
)
def test_links_and_pictures_exist(name: str) -> None:
    page = ROOT / name
    for target in re.findall(r"\]\(([^)#]+)\)", page.read_text(encoding="utf-8")):
        assert (page.parent / target).exists(), target


def test_one_version_everywhere() -> None:
    project = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    assert project["version"] == cutopt.__version__


def test_make_targets_named_in_the_guides_exist() -> None:
    makefile = (ROOT / "Makefile").read_text(encoding="utf-8")
    for name in ("README.md", "DEVELOPERS.md"):
        for target in re.findall(r"make ([a-z-]+)", (ROOT / name).read_text(encoding="utf-8")):
            if target in {"it", "the", "nothing"}:
                continue
            assert re.search(rf"^{target}:", makefile, re.MULTILINE), f"{name}: make {target}"
