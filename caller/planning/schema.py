"""The class file's keys as a JSON Schema, for editors that check and complete while a teacher types.

Run `python -m caller.planning.schema` in a checkout to write docs/class.schema.json again.
"""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

from caller.lesson.kinds import table_schema
from caller.planning.classfile import SchoolClass

_WRITTEN = Path(__file__).resolve().parents[2] / "docs" / "class.schema.json"


def class_schema() -> dict[str, Any]:
    """Return the JSON Schema (draft 2020-12) of a class file read as TOML."""
    return {
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "title": "A class file for the caller; it holds no pupils' names",
        **table_schema(SchoolClass),
        "required": ["name"],
    }


def schema_text() -> str:
    """Return the schema as it stands in docs/class.schema.json."""
    return json.dumps(class_schema(), indent=2, ensure_ascii=False) + "\n"


if __name__ == "__main__":
    _WRITTEN.parent.mkdir(exist_ok=True)
    _WRITTEN.write_text(schema_text(), encoding="utf-8")
