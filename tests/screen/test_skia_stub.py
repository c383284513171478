"""Every name in the stub of the drawing library is in the library: types that lie are worse than none."""

from __future__ import annotations

import ast
from collections.abc import Iterator
from pathlib import Path

from caller.screen.skia_door import skia

STUB = Path(__file__).parents[2] / "stubs" / "skia.pyi"


def names_in(body: list[ast.stmt], owner: str = "") -> Iterator[str]:
    for node in body:
        if isinstance(node, ast.ClassDef):
            yield f"{owner}{node.name}"
            yield from names_in(node.body, f"{owner}{node.name}.")
        elif isinstance(node, ast.FunctionDef) and node.name != "__buffer__":  # C's protocol before 3.12
            yield f"{owner}{node.name}"
        elif isinstance(node, ast.AnnAssign) and isinstance(node.target, ast.Name):
            yield f"{owner}{node.target.id}"


def there(dotted: str) -> bool:
    found: object = skia
    for name in dotted.split("."):
        if not hasattr(found, name):
            return False
        found = getattr(found, name)
    return True


def test_every_name_of_the_stub_is_in_the_library() -> None:
    module = ast.parse(STUB.read_text(encoding="utf-8"))
    names = [name for name in names_in(module.body) if name != "_Rectangle"]  # the stub's own
    assert len(names) > 100
    assert [name for name in names if not there(name)] == []
