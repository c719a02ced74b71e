"""The order of the house: imports run one way, and each library stays behind its fence."""

from __future__ import annotations

import ast
from pathlib import Path

import pytest

PACKAGE = Path(__file__).parent.parent / "cutopt"

# From the ground up: a module imports only from its own layer or from layers before it.
LAYERS = (
    ("units", "errors"),
    ("model",),
    ("check",),
    ("read",),
    ("solve",),
    ("steps",),
    ("draw",),
    ("write",),
    ("pipeline", "grading", "progress"),
    ("watching", "terminal"),
    ("options",),
    ("going_on",),
    ("cli",),
    ("__main__",),
)

FENCES = {
    "typer": {"cli", "going_on", "options"},
    "rich": {"cli", "watching", "terminal"},
    "ezdxf": {"write"},
    "reportlab": {"write", "draw/typeset"},
    "ortools": {"solve"},
    "rectpack": {"solve"},
    "numba": {"solve"},
    "pandas": {"read", "write"},
    "openpyxl": {"read", "write"},
    "odf": {"read", "write"},
}

# The independent replay shares no code with what it checks.
APART = {"check": {"solve", "steps", "draw", "write", "read"}}


def modules() -> dict[str, Path]:
    """Every module by its dotted name below the package, "model.job" like."""
    found = {}
    for path in sorted(PACKAGE.rglob("*.py")):
        parts = path.relative_to(PACKAGE).with_suffix("").parts
        if parts[-1] == "__init__":
            parts = parts[:-1]
        found[".".join(parts)] = path
    return found


def imports(path: Path) -> set[str]:
    """Every module a file imports, dotted, wherever in the file the import stands."""
    found: set[str] = set()
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Import):
            found |= {alias.name for alias in node.names}
        elif isinstance(node, ast.ImportFrom) and node.module:
            assert node.level == 0, f"{path}: imports are absolute"
            found.add(node.module)
            found |= {f"{node.module}.{alias.name}" for alias in node.names}
    return found


def layer_of(module: str) -> int | None:
    top = module.split(".", maxsplit=1)[0]
    return next((number for number, names in enumerate(LAYERS) if top in names), None)


@pytest.mark.parametrize("module", [name for name in modules() if name])
def test_imports_point_one_way(module: str) -> None:
    own = layer_of(module)
    assert own is not None, f"{module} stands in no layer"
    for imported in imports(modules()[module]):
        if imported.startswith("cutopt."):
            below = layer_of(imported.removeprefix("cutopt."))
            assert below is None or below <= own, f"{module} imports {imported}"


@pytest.mark.parametrize("module", [name for name in modules() if name])
def test_libraries_stay_behind_their_fences(module: str) -> None:
    for imported in imports(modules()[module]):
        allowed = FENCES.get(imported.split(".")[0])
        if allowed is not None:
            place = module.replace(".", "/")
            assert any(place == fence or place.startswith(f"{fence}/") for fence in allowed), (
                f"{module} imports {imported}"
            )


@pytest.mark.parametrize("package", sorted(APART))
def test_the_check_shares_no_code_with_what_it_checks(package: str) -> None:
    for module, path in modules().items():
        if module.split(".")[0] == package:
            for imported in imports(path):
                if imported.startswith("cutopt."):
                    assert imported.split(".")[1] not in APART[package], (
                        f"{module} imports {imported}"
                    )


def test_no_cycles() -> None:
    known = modules()
    graph = {
        module: sorted(
            {
                name
                for imported in imports(path)
                if (name := imported.removeprefix("cutopt.")) in known and name != module
            }
        )
        for module, path in known.items()
        if module
    }
    state: dict[str, str] = {}

    def visit(module: str, trail: tuple[str, ...]) -> None:
        if state.get(module) == "done":
            return
        assert state.get(module) != "open", f"cycle: {' -> '.join((*trail, module))}"
        state[module] = "open"
        for imported in graph.get(module, ()):
            visit(imported, (*trail, module))
        state[module] = "done"

    for module in graph:
        visit(module, ())


def test_no_module_imports_through_its_package_face() -> None:
    faces = {f"cutopt.{name}" for name in ("model", "read", "solve", "steps", "draw", "write")}
    for module, path in modules().items():
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if isinstance(node, ast.ImportFrom) and node.module in faces:
                for alias in node.names:
                    inner = f"{node.module.removeprefix('cutopt.')}.{alias.name}"
                    assert inner in modules(), f"{module}: from {node.module} import {alias.name}"
