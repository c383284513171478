"""Imports point down the list in DEVELOPERS.md, never up and never in a circle."""

from __future__ import annotations

import ast
from collections.abc import Iterator
from graphlib import CycleError, TopologicalSorter
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parent.parent
PACKAGE = ROOT / "caller"
LAYERS = (
    "cli",
    "live",
    "maker",
    "export",
    "planning",
    "timeline",
    "screen",
    "sound",
    "runsheet",
    "deciding",
    "record",
    "hall",
    "lesson",
    "moves",
    "questions",
    "languages",
    "clock",
    "scripts",
)

MODULES = sorted(PACKAGE.rglob("*.py"))


def imports_of(path: Path) -> Iterator[str]:
    """Yield the dotted names of our own modules that a file imports."""
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.ImportFrom) and node.module and node.module.split(".")[0] == "caller":
            for alias in node.names:
                dotted = f"{node.module}.{alias.name}"
                yield dotted if (ROOT / Path(*dotted.split("."))).with_suffix(".py").exists() else node.module
        elif isinstance(node, ast.Import):
            yield from (alias.name for alias in node.names if alias.name.split(".")[0] == "caller")


def layer_of(dotted: str) -> str | None:
    parts = dotted.split(".")
    return parts[1] if len(parts) > 1 and parts[1] in LAYERS else None


def name_of(path: Path) -> str:
    parts = path.relative_to(ROOT).with_suffix("").parts
    return ".".join(parts[:-1] if parts[-1] == "__init__" else parts)


@pytest.mark.parametrize("path", MODULES, ids=str)
def test_imports_point_down(path: Path) -> None:
    layer = layer_of(name_of(path))
    if layer is None:
        return
    allowed = set(LAYERS[LAYERS.index(layer) :])
    up = [name for name in imports_of(path) if (other := layer_of(name)) is not None and other not in allowed]
    assert not up, f"{name_of(path)} imports upwards: {up}"


def test_no_module_imports_itself_by_a_detour() -> None:
    known = {name_of(path) for path in MODULES}
    graph = {
        name_of(path): {name for name in imports_of(path) if name in known and name != name_of(path)}
        for path in MODULES
    }
    try:
        TopologicalSorter(graph).prepare()
    except CycleError as circle:
        pytest.fail(f"a circle of imports: {' -> '.join(circle.args[1])}")


def test_the_list_is_the_one_that_contributors_read() -> None:
    text = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
    places = [text.index(f"| `caller/{layer}/` |") for layer in LAYERS]
    assert places == sorted(places)


@pytest.mark.parametrize(
    ("layer", "allowed"),
    [("clock", set()), ("scripts", {"caller.errors", "caller.file_reading"})],
    ids=["clock", "scripts"],
)
def test_the_ground_floor_imports_nothing_of_ours(layer: str, allowed: set[str]) -> None:
    outside = [
        (name_of(path), name)
        for path in (PACKAGE / layer).rglob("*.py")
        for name in imports_of(path)
        if layer_of(name) != layer and name.rpartition(".")[0] not in allowed and name not in allowed
    ]
    assert outside == []


def test_a_module_is_one_idea_of_a_readable_length() -> None:
    lines = {path: len(path.read_text(encoding="utf-8").splitlines()) for path in MODULES}
    too_long = {name_of(path): length for path, length in lines.items() if length >= 400}
    assert too_long == {}
    assert len(MODULES) < 230, "join what is one idea before adding to the rooms"
    short = [path for path, length in lines.items() if length < 50]
    assert len(short) < len(MODULES) / 10, sorted(map(name_of, short))


def test_no_file_name_has_two_meanings() -> None:
    """A verb's module is named for the verb, and each language's folder holds the same files."""
    places: dict[str, list[str]] = {}
    for path in MODULES:
        room = path.relative_to(PACKAGE).parts[0]
        if path.name != "__init__.py" and room not in ("cli", "languages"):
            places.setdefault(path.name, []).append(name_of(path))
    assert {name: found for name, found in places.items() if len(found) > 1} == {}


def test_the_hall_live_is_at_most_ten_rooms() -> None:
    rooms = [
        path
        for path in (PACKAGE / "live").iterdir()
        if path.name not in ("__init__.py", "__pycache__") and (path.is_dir() or path.suffix == ".py")
    ]
    assert len(rooms) <= 10, sorted(path.name for path in rooms)


def test_a_type_name_is_one_type() -> None:
    places: dict[str, list[str]] = {}
    for path in MODULES:
        for node in ast.parse(path.read_text(encoding="utf-8")).body:
            name = ""
            if isinstance(node, ast.ClassDef):
                name = node.name
            elif isinstance(node, ast.AnnAssign) and ast.unparse(node.annotation) == "TypeAlias":
                name = ast.unparse(node.target)
            elif isinstance(node, ast.Assign) and isinstance(node.value, ast.Subscript | ast.BinOp):
                name = ast.unparse(node.targets[0])
            if name and name[0] != "_" and not name.isupper() and name[0].isupper():
                places.setdefault(name, []).append(name_of(path))
    assert {name: found for name, found in places.items() if len(found) > 1} == {}
