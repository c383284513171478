"""The keys of a file as a JSON Schema, for editors that check and complete while a teacher types.

`docs/make.py` in a checkout writes the schema of every file that a teacher may write into docs/.
"""

from __future__ import annotations

import json
from collections.abc import Sequence
from typing import Any

from caller.scripts.kinds import table_schema

DRAFT = "https://json-schema.org/draft/2020-12/schema"


def file_schema(cls: type[object], title: str, *, required: Sequence[str] = ()) -> dict[str, Any]:
    """Return the JSON Schema (draft 2020-12) of a file, read as TOML.

    Parameters
    ----------
    cls
        The dataclass, declared with `key`, that the file is read into.
    title
        What the file is, for the person in the editor.
    required
        Keys that every such file must have.
    """
    schema = {"$schema": DRAFT, "title": title, **table_schema(cls)}
    return {**schema, "required": list(required)} if required else schema


def schema_text(schema: dict[str, Any]) -> str:
    """Return a schema as it stands in its file."""
    return json.dumps(schema, indent=2, ensure_ascii=False) + "\n"
