"""The icon on the desktop and in the menu. Windows' and macOS' are tested as text, not on the real thing."""

from __future__ import annotations

import io
import os
import plistlib
import subprocess
import sys
from pathlib import Path

import platformdirs
import pytest
from hypothesis import given
from hypothesis import strategies as st
from PIL import Image

from caller.cli import main, starter
from caller.errors import UserError
from caller.languages.folders import CODES

LINUX = pytest.mark.skipif(sys.platform in ("win32", "darwin"), reason="these are the desktops of Linux")
KEPT = "Kept by the teacher."


@pytest.fixture
def home(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    home = tmp_path / "home of Lantern Bay"
    (home / ".config").mkdir(parents=True)
    (home / ".config" / "user-dirs.dirs").write_text('XDG_DESKTOP_DIR="$HOME/Bureau"\n')
    monkeypatch.setenv("HOME", str(home))
    monkeypatch.setenv("XDG_DATA_HOME", str(home / "share"))
    monkeypatch.setenv("XDG_CONFIG_HOME", str(home / ".config"))
    monkeypatch.delenv("XDG_DESKTOP_DIR", raising=False)
    monkeypatch.setenv("LANGUAGE", "fr")
    return home


def entry(text: str) -> dict[str, str]:
    lines = text.splitlines()
    assert lines[0] == "[Desktop Entry]"
    return dict(line.split("=", 1) for line in lines[1:])


def words_of(exec_value: str) -> list[str]:
    """Take an Exec value apart by another hand: the value's own escapes, the shell's quoting, field codes.

    The specification: https://specifications.freedesktop.org/desktop-entry-spec/latest/exec-variables.html
    """
    line = exec_value.replace("\\\\", "\0").replace("\\n", "\n").replace("\\t", "\t").replace("\\r", "\r")
    said = subprocess.run(
        ["/bin/sh", "-c", "printf '%s\\0' " + line.replace("\0", "\\")], capture_output=True, check=True
    ).stdout.decode()
    return [word.replace("%%", "%") for word in said.split("\0")[:-1]]


@LINUX
def test_the_icons_are_made_for_folders_with_spaces_and_taken_away_again(
    home: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["starter"]) == 0
    told = capsys.readouterr().out
    made = [home / "Bureau" / "hall-caller.desktop", home / "share" / "applications" / "hall-caller.desktop"]
    assert [str(path) in told for path in made] == [True, True]
    assert "Allow Launching" in told
    for path in made:
        assert os.access(path, os.X_OK)
        held = entry(path.read_text(encoding="utf-8"))
        assert held["Type"] == "Application"
        assert held["Name"] == held["Name[fr]"] != held["Name[es]"]
        assert {f"Name[{code}]" for code in ("es", "fr", "de")} <= held.keys()
        assert words_of(held["Exec"])[0] == sys.executable
        with Image.open(held["Icon"]) as icon:
            assert icon.size == (256, 256)
    assert main(["starter"]) == 0  # once more is no mistake
    assert main(["starter", "--remove"]) == 0
    assert not any(path.exists() for path in made)
    capsys.readouterr()
    assert main(["starter", "--remove"]) == 0
    assert "no icon of ours" in capsys.readouterr().out


@LINUX
def test_what_somebody_else_put_there_is_neither_replaced_nor_taken_away(home: Path) -> None:
    theirs = home / "Bureau" / "hall-caller.desktop"
    theirs.parent.mkdir()
    theirs.write_text(KEPT)
    assert main(["starter"]) == 2
    assert main(["starter", "--remove"]) == 0
    assert theirs.read_text() == KEPT


@LINUX
@given(
    st.lists(
        st.text(st.characters(codec="utf-8", exclude_characters="\0"), min_size=1), min_size=1, max_size=3
    )
)
def test_whatever_a_folder_is_called_the_command_is_read_back_as_it_was(command: list[str]) -> None:
    command = [each.replace("=", "-") for each in command]
    held = (
        starter.desktop_entry(command, Path("/x/icon.png"), "en-GB")
        .split("\nExec=", 1)[1]
        .split("\nIcon=")[0]
    )
    assert words_of(held) == command


def test_a_program_whose_name_no_entry_may_hold_is_refused() -> None:
    with pytest.raises(UserError, match="another folder"):
        starter.desktop_entry(["/a=b/python"], Path("/x.png"), "en-GB")


def test_the_entry_has_a_name_in_every_language() -> None:
    held = entry(starter.desktop_entry(["x"], Path("/x.png"), "de"))
    for code in CODES:
        assert held[f"Name[{code.replace('-', '_')}]"]
    assert held["Name"] == held["Name[de]"]


def test_a_windows_shortcut_is_written_with_every_quote_doubled() -> None:
    """PowerShell takes ' and its typographic forms for the end of a literal, and a doubled one for itself."""
    script = starter.shortcut_script(
        [Path("C:/Users/O'Tern/Desk top/x.lnk")],
        ["C:/a b/pythonw.exe", "-c", "x y"],
        Path("i.ico"),
        "l’heure",
    )
    assert "CreateShortcut('C:/Users/O''Tern/Desk top/x.lnk')" in script.replace("\\", "/")
    assert "$link.TargetPath = 'C:/a b/pythonw.exe'" in script
    assert "$link.Arguments = '-c \"x y\"'" in script
    assert "'l’’heure'" in script


def test_a_windows_icon_and_a_macos_one_hold_our_drawing() -> None:
    png = starter.icon_png()
    with Image.open(io.BytesIO(starter.ico_bytes(png))) as icon:
        assert (icon.format, icon.size) == ("ICO", (256, 256))
    files = starter.bundle_files(["/a b/python", "-m", "it's"], "Hall Caller", png)
    with Image.open(io.BytesIO(files["Contents/Resources/hall-caller.icns"])) as icon:
        assert icon.format == "ICNS"
        icon.load()
        assert icon.size == (256, 256)
    about = plistlib.loads(files["Contents/Info.plist"])
    assert about["CFBundleExecutable"] == "hall-caller"
    script = files["Contents/MacOS/hall-caller"].decode()
    assert script.startswith("#!/bin/sh\n")


@pytest.mark.skipif(os.name != "posix", reason="it is a script of a shell")
def test_the_macos_script_starts_what_it_should(tmp_path: Path) -> None:
    script = starter.bundle_files(["printf", "%s|", "a b", "it's", "$x"], "x", b"")[
        "Contents/MacOS/hall-caller"
    ]
    assert (
        subprocess.run(["/bin/sh", "-c", script.decode()], check=True, capture_output=True).stdout
        == b"a b|it's|$x|"
    )


def test_a_macos_bundle_is_made_and_taken_away(tmp_path: Path) -> None:
    place = tmp_path / "Hall Caller.app"
    starter._make_bundle(place)
    starter._make_bundle(place)
    assert os.access(place / "Contents" / "MacOS" / "hall-caller", os.X_OK) or os.name != "posix"
    assert starter._remove(place)
    assert not place.exists()


def test_without_a_terminal_trouble_is_shown_in_a_window_and_kept(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path))
    shown: list[str] = []

    def trouble(words: list[str]) -> int:
        sys.stderr.write("hall-caller: There is no display.\n")
        return 1

    monkeypatch.setattr(starter, "main", trouble)
    monkeypatch.setattr(sys, "stderr", None)  # as a program without a console has it
    monkeypatch.setattr("pygame.display.message_box", lambda title, text, **_: shown.append(text))
    assert starter.window() == 1
    assert shown == ["hall-caller: There is no display."]
    kept = platformdirs.user_data_path("hall-caller", appauthor=False) / "last-trouble.txt"
    assert kept.read_text(encoding="utf-8") == "hall-caller: There is no display.\n"
