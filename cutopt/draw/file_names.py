"""Names of files from names of pieces and parts."""

from __future__ import annotations

import re

_NOT_IN_FILE_NAMES = re.compile(r"[^\w.-]+")
"""Signs that names of pieces may have and names of files had better not: "S1 B2", "rest of 3/4"."""


def file_name(*words: str) -> str:
    """Give words as the name of a file, without its ending."""
    return _NOT_IN_FILE_NAMES.sub("_", " ".join(words)).strip("_.")
