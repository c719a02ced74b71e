"""The pages of grades: one PDF, and each page as a drawing."""

from __future__ import annotations

import re
from collections.abc import Sequence
from pathlib import Path

from cutopt.draw.scene import Page
from cutopt.errors import Fault, InputError
from cutopt.write.atomic import write_bytes
from cutopt.write.pdf import pdf_bytes
from cutopt.write.svg import svg_text

GRADES_FILE = "grades.pdf"
_OWN = re.compile(r"grades\.pdf|grades-\d+-\d+\.svg")


def write_grades(pages: Sequence[Page], title: str, folder: Path, *, force: bool) -> None:
    """Write grades.pdf and a drawing of each page; remove what an earlier run left over.

    Raises:
        InputError: the folder holds other files (without ``force``) or cannot be written.
    """
    if folder.exists() and not folder.is_dir():
        raise InputError([Fault(f"{folder} is a file, not a folder", help="give --out a folder")])
    held = sorted(folder.iterdir()) if folder.is_dir() else []
    strange = [path.name for path in held if not _OWN.fullmatch(path.name) or path.is_dir()]
    if strange and not force:
        raise InputError(
            [
                Fault(
                    f"the folder {folder} holds files that are not from here: "
                    f"{', '.join(strange[:4])}",
                    help="give --out another folder, or --force to write beside them",
                )
            ]
        )
    try:
        folder.mkdir(parents=True, exist_ok=True)
        for path in held:
            if _OWN.fullmatch(path.name) and path.is_file():
                path.unlink()
        write_bytes(folder / GRADES_FILE, pdf_bytes(pages, title))
        for page in pages:
            write_bytes(folder / f"{page.name}.svg", svg_text(page).encode())
    except OSError as error:
        raise InputError(
            [Fault(f"cannot write to {folder}: {error.strerror}", help="give --out another place")]
        ) from error
