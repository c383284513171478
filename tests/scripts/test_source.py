from __future__ import annotations

import contextlib
import time
from pathlib import Path

import pytest

from caller.errors import NotFoundError
from caller.scripts.source import MAX_BYTES, ScriptProblems, decode, load, parse

GOOD = 'title = "Clocks"\n\n[[round]]\ntime = "4:40"\n'


def _error(raw: bytes | str) -> str:
    with pytest.raises(ScriptProblems) as caught:
        parse(decode(raw.encode() if isinstance(raw, str) else raw, "lesson.toml"), "lesson.toml")
    return str(caught.value)


@pytest.mark.parametrize(
    ("raw", "says"),
    [
        (
            '[[round]\ntime = "4:40"\n',
            "lesson.toml, line 1, column 1: this heading is not closed. Write it like [[round]].",
        ),
        (
            "[voice\nrate_wpm = 120\n",
            "lesson.toml, line 1, column 1: this heading is not closed. Write it like [voice].",
        ),
        (
            '[[round]]\ntime = "4:40"\nmoves = ["march", "squats"\n[[round]]\n',
            (
                "lesson.toml, line 3, column 9: this list is not closed. "
                "Put a comma between its items and a ] at its end."
            ),
        ),
        (
            "[[round]]\ntime = “4:40”\n",
            'lesson.toml, line 2, column 8: these quotes are curly. Use straight quotes, like "4:40".',
        ),
        (
            'title = "Clocks”\n',
            'lesson.toml, line 1, column 16: these quotes are curly. Use straight quotes, like "4:40".',
        ),
        (
            "[[round]]\ntime = 4:40\n",
            (
                "lesson.toml, line 2, column 8: a time needs quotes. "
                'Write "4:40" with straight quotes around it.'
            ),
        ),
        (
            'title = "Clocks\n[[round]]\n',
            'lesson.toml, line 1, column 9: these words are not closed. Put a " at their end.',
        ),
        (
            "title = Clocks\n",
            (
                "lesson.toml, line 1, column 9: this value cannot be read. "
                'Put words in straight quotes, like "Terns".'
            ),
        ),
        (
            "title\n",
            (
                "lesson.toml, line 1, column 6: there is no = after this name. "
                'Write it like title = "Our lesson".'
            ),
        ),
        (
            'title = "A"\ntitle = "B"\n',
            "lesson.toml, line 2, column 12: this name is here twice. Keep one of them.",
        ),
        (
            "[voice]\n[voice]\n",
            (
                "lesson.toml, line 2, column 7: this heading is here twice. "
                "Keep one; each of several rounds begins with [[round]]."
            ),
        ),
        (
            'title = "A" class = "B"\n',
            (
                "lesson.toml, line 1, column 13: something follows that does not belong here. "
                "Give it a line of its own."
            ),
        ),
        (
            "seed = " + "9" * 5000,
            "lesson.toml, line 1, column 5008: this number is too large. Write a smaller one.",
        ),
        (
            "a = " + "[" * 100_000,
            (
                "lesson.toml, line 1, column 14: too many brackets or dots inside one another. "
                "A script needs three at most."
            ),
        ),
        (
            b"x" * 3_000_000,
            "lesson.toml, line 1, column 1: the file is too large for a script. Keep it under 256 kB.",
        ),
        (
            b"\x89PNG\r\n\x1a\n\x00\x00\x00\rIHDR\x00\x00\x02\x80",
            (
                "lesson.toml, line 3, column 1: this is not a text file. "
                "Choose a text file whose name ends in .toml."
            ),
        ),
        (
            GOOD.encode("utf-16"),
            (
                "lesson.toml, line 1, column 1: the file is saved as UTF-16. "
                "Save it again as UTF-8 (in the editor: Save as, Encoding)."
            ),
        ),
        (
            GOOD.encode("utf-16-be"),
            (
                "lesson.toml, line 1, column 1: the file is saved as UTF-16. "
                "Save it again as UTF-8 (in the editor: Save as, Encoding)."
            ),
        ),
        (
            'seed = 1\ntitle = "Les Guillemots à midi"\n'.encode("latin-1"),
            (
                "lesson.toml, line 2, column 25: this letter is not saved as UTF-8. "
                "Save it again as UTF-8 (in the editor: Save as, Encoding)."
            ),
        ),
    ],
)
def test_a_typical_mistake_gets_one_sentence_with_its_place_and_mending(raw: bytes | str, says: str) -> None:
    assert _error(raw) == says


@pytest.mark.parametrize(
    ("raw", "notes"),
    [
        (GOOD.encode(), ()),
        (
            GOOD.replace("\n", "\r\n").encode(),
            ("x.toml, line 1: has Windows line ends. They do no harm; nothing to mend.",),
        ),
        (
            b"\xef\xbb\xbf" + GOOD.encode(),
            ("x.toml, line 1, column 1: begins with a byte-order mark. It does no harm; nothing to mend.",),
        ),
        (GOOD.replace("\n", "\r").encode(), ()),
    ],
)
def test_line_ends_and_a_byte_order_mark_do_no_harm(
    tmp_path: Path, raw: bytes, notes: tuple[str, ...]
) -> None:
    path = tmp_path / "x.toml"
    path.write_bytes(raw)
    source = load(path)
    assert source.data == {"title": "Clocks", "round": [{"time": "4:40"}]}
    assert source.place(("round", 0, "time"), value=True) == (4, 8)
    assert source.notes == notes


def test_a_missing_file_and_a_folder_are_told_apart(tmp_path: Path) -> None:
    with pytest.raises(NotFoundError) as missing:
        load(tmp_path / "tern.toml")
    assert str(missing.value) == f"There is no file {tmp_path / 'tern.toml'}. Check its name and its folder."
    with pytest.raises(NotFoundError) as folder:
        load(tmp_path)
    assert str(folder.value) == f"{tmp_path} is a folder. Name a file in it."
    with pytest.raises(NotFoundError):
        load(tmp_path / "a\0b")


@pytest.mark.parametrize(
    "text",
    [
        "a = [" * 40_000,
        'a = """' + '\\"""=' * 40_000,
        "a." * 120_000 + "a = 1",
        "\n".join(f"[{'.'.join('abcdefghi')}]" for _ in range(12_000)),
        "[[round]]\n" * 25_000,
        "a = '''" + "''x" * 80_000,
        "#" * 250_000,
        " \t" * 120_000,
    ],
)
def test_hostile_texts_within_the_size_limit_are_refused_or_read_quickly(text: str) -> None:
    assert len(text) <= MAX_BYTES
    began = time.process_time()
    with contextlib.suppress(ScriptProblems):
        parse(text, "x.toml")
    assert time.process_time() - began < 2.0
