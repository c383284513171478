"""The lesson's keys as a JSON Schema, for editors that check and complete while a teacher types.

Run `python -m caller.lesson.schema` in a checkout to write docs/lesson.schema.json again.
"""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

from caller.lesson.kinds import table_schema
from caller.lesson.model import Lesson

_WRITTEN = Path(__file__).resolve().parents[2] / "docs" / "lesson.schema.json"


def lesson_schema() -> dict[str, Any]:
    """Return the JSON Schema (draft 2020-12) of a lesson script read as TOML."""
    schema = table_schema(Lesson)
    schema["properties"]["round"]["minItems"] = 1
    return {
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "title": "A lesson script for the caller",
        **schema,
        "required": ["round"],
    }


def schema_text() -> str:
    """Return the schema as it stands in docs/lesson.schema.json."""
    return json.dumps(lesson_schema(), indent=2, ensure_ascii=False) + "\n"


if __name__ == "__main__":
    _WRITTEN.parent.mkdir(exist_ok=True)
    _WRITTEN.write_text(schema_text(), encoding="utf-8")
