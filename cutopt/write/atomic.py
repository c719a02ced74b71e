"""Files that are there whole or not at all."""

from __future__ import annotations

import os
import secrets
from pathlib import Path


def write_bytes(path: Path, data: bytes) -> None:
    """Write a file in one step: a reader finds the old content or the new, never a part.

    The data goes to a hidden file in the same folder, reaches the disk, and takes the name
    only then; whatever interrupts this leaves the old file as it was.

    Raises:
        OSError: the folder is missing, read-only or full.
    """
    aside = path.with_name(f".{secrets.token_hex(8)}.part")
    try:
        with aside.open("xb") as file:
            file.write(data)
            file.flush()
            os.fsync(file.fileno())
        aside.replace(path)
    except BaseException:
        aside.unlink(missing_ok=True)
        raise


def write_text(path: Path, text: str) -> None:
    """Write a text as UTF-8 with its line ends as they are; see ``write_bytes``."""
    write_bytes(path, text.encode())
