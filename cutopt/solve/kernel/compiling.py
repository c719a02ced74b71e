"""Compiles the kernel: once for each state of its sources, kept on disk.

A compiled function is stale when any function it calls has changed, in whichever file. So
the folder of compiled code is named after all of the kernel's sources, and the compiler's
version: whatever lies in it was made from these very files.
"""

from __future__ import annotations

import hashlib
import os
from collections.abc import Callable
from pathlib import Path
from typing import Any, TypeVar

import numba

Function = TypeVar("Function", bound=Callable[..., object])

_SOURCES = sorted(Path(__file__).parent.glob("*.py"))


def _folder() -> Path | None:
    """Give the folder for compiled code, made if need be; None where none can be written."""
    digest = hashlib.sha256(numba.__version__.encode())
    for source in _SOURCES:
        digest.update(source.read_bytes())
    name = f"kernel-{digest.hexdigest()[:16]}"
    asked = os.environ.get("NUMBA_CACHE_DIR")
    places = [Path(asked)] if asked else []
    places += [Path(__file__).parent / "__pycache__", Path.home() / ".cache" / "cutopt"]
    for place in places:
        folder = place / name
        try:
            folder.mkdir(parents=True, exist_ok=True)
        except OSError:
            continue
        if os.access(folder, os.W_OK):
            return folder
    return None


FOLDER = _folder()
_CONFIG: Any = numba.config
if FOLDER is not None:
    _CONFIG.CACHE_DIR = str(FOLDER)


def compiled(function: Function) -> Function:
    """Give a function compiled at its first call, from disk where it was compiled before."""
    made: Any = numba.njit(cache=FOLDER is not None)(function)
    return made  # type: ignore[no-any-return]


def is_compiled() -> bool:
    """Say whether the kernel was compiled before, so that it will be there at once."""
    return bool(_CONFIG.DISABLE_JIT) or (FOLDER is not None and (FOLDER / "ready").exists())


def note_compiled() -> None:
    """Note that all of the kernel is compiled now."""
    if FOLDER is not None and not _CONFIG.DISABLE_JIT:
        (FOLDER / "ready").touch()
