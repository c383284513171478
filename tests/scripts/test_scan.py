"""Positions are held against the standard library's parser: every key that it finds has its place."""

from __future__ import annotations

import tomllib
from typing import Any

import pytest
import tomlkit
from hypothesis import given
from hypothesis import strategies as st

from caller.scripts.scan import MAX_DEPTH, KeyPath, scan

# The example document of the TOML v1.0.0 specification (toml.io, "A quick tour"; from memory).
_SPECIFICATION_EXAMPLE = """\
# This is a TOML document

title = "TOML Example"

[owner]
name = "Tom Preston-Werner"
dob = 1979-05-27T07:32:00-08:00

[database]
enabled = true
ports = [ 8000, 8001, 8002 ]
data = [ ["delta", "phi"], [3.14] ]
temp_targets = { cpu = 79.5, case = 72.0 }

[servers]

[servers.alpha]
ip = "10.0.0.1"
role = "frontend"

[servers.beta]
ip = "10.0.0.2"
role = "backend"
"""


def _paths(data: Any, path: KeyPath = ()) -> list[KeyPath]:
    if isinstance(data, dict):
        return [each for key, value in data.items() for each in [(*path, key), *_paths(value, (*path, key))]]
    if isinstance(data, list):
        return [each for n, value in enumerate(data) for each in [(*path, n), *_paths(value, (*path, n))]]
    return []


def test_every_key_of_the_specifications_example_has_its_place() -> None:
    found = scan(_SPECIFICATION_EXAMPLE)
    assert found.stopped is None
    for path in _paths(tomllib.loads(_SPECIFICATION_EXAMPLE)):
        assert path in found.keys or path in found.values, path
    for path, written in {
        ("title",): "title",
        ("owner", "dob"): "dob",
        ("database", "temp_targets", "case"): "case",
        ("servers", "beta"): "[servers.beta]",
        ("servers", "beta", "role"): "role",
    }.items():
        assert _SPECIFICATION_EXAMPLE[found.keys[path] :].startswith(written)
    assert _SPECIFICATION_EXAMPLE[found.values["database", "data", 1, 0] :].startswith("3.14")


def test_tables_in_a_row_are_counted() -> None:
    text = '[[round]]\ntime = "3:00"\n[round.voice]\nrate = 1\n[[round]]\ntime = "4:00"\n[voice]\nrate = 2\n'
    found = scan(text)
    assert text[found.keys["round", 1] :].startswith('[[round]]\ntime = "4:00"')
    assert text[found.values["round", 1, "time"] :].startswith('"4:00"')
    assert text[found.values["round", 0, "voice", "rate"] :].startswith("1")
    assert text[found.values["voice", "rate"] :].startswith("2")


@pytest.mark.parametrize(
    "text",
    [
        'a = """\nb = 1\n"""\nc = 2\n',
        "a = '''\nb = ''1\n'''\nc = 2\n",
        'a = """quotes at the end""""\nc = 2\n',
        'a = "# no comment" # a comment\nc = 2\n',
        "a = [ # a comment, with ]\n 1,\n 2, # more\n]\nc = 2\n",
        'a = { b = [1, {d = "}"}], e = 2 }\nc = 2\n',
        '"quoted key" = 1\nx.y . z = 2\nc = 2\n',
        "a = 1979-05-27 07:32:00\nc = 2\n",
        "a = -inf\nc = 2",
        "\n\n\t a\t=\t1\n  c = 2\n",
    ],
)
def test_strings_comments_and_odd_spacing_do_not_lead_the_scan_astray(text: str) -> None:
    found = scan(text)
    assert found.stopped is None
    assert text[found.keys["c",] :].startswith("c = 2")
    assert {path[0] for path in found.keys} == set(tomllib.loads(text))


_KEYS = st.text("abcdefghij_-0123456789", min_size=1, max_size=6)
_LEAVES = st.one_of(
    st.integers(-1000, 1000),
    st.booleans(),
    st.floats(allow_nan=False, allow_infinity=False),
    st.text(max_size=20).filter(lambda text: text.isprintable() or "\n" in text),
)
_VALUES = st.recursive(_LEAVES, lambda inner: st.lists(inner, max_size=3), max_leaves=6)
_TABLES = st.recursive(
    st.dictionaries(_KEYS, _VALUES, max_size=4),
    lambda inner: st.dictionaries(
        _KEYS, inner | _VALUES | st.lists(inner, min_size=1, max_size=3), max_size=3
    ),
    max_leaves=8,
)


@given(_TABLES)
def test_every_path_of_any_written_document_has_a_place(data: dict[str, Any]) -> None:
    text = tomlkit.dumps(data)
    found = scan(text)
    if found.stopped is not None:
        assert found.stopped.deep
        return
    for path in _paths(tomllib.loads(text)):
        assert path in found.keys or path in found.values, (path, text)


@given(st.text("[]{}=\"'\\#.,\n\t ab1-", max_size=60))
def test_the_scan_stops_only_where_the_parser_does_too(text: str) -> None:
    found = scan(text)
    try:
        tomllib.loads(text)
    except ValueError:
        return
    assert found.stopped is None or found.stopped.deep


@pytest.mark.parametrize(
    "text", ["a = " + "[" * 100_000, "a" + ".a" * 100_000 + " = 1", "[" + "a." * 9 + "a]"]
)
def test_nesting_is_bounded(text: str) -> None:
    found = scan(text)
    assert found.stopped is not None
    assert found.stopped.deep
    assert all(len(path) <= 2 * MAX_DEPTH + 2 for path in found.keys)
