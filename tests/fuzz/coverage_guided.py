"""Coverage-guided fuzzing of the readers with Atheris (Apache-2.0), which has no wheels for every Python.

    python -m pip install atheris
    python tests/fuzz/coverage_guided.py lesson FOLDER -runs=200000

The first word names the reader, FOLDER keeps the cases that reach new code; the others go to libFuzzer. A
find stops the run and is written to a file; it becomes an example in `test_finds.py`, with the mend.
"""

from __future__ import annotations

import os
import sys
from pathlib import Path
from types import ModuleType

import atheris  # type: ignore[import-not-found, import-untyped, unused-ignore]

# Some libraries install a `tests` of their own, which would be found before ours.
OURS = ModuleType("tests")
OURS.__path__ = [str(Path(__file__).parents[1])]
sys.modules["tests"] = OURS

with atheris.instrument_imports(include=["caller", "tomllib"]):
    from tests.fuzz.readers import READERS, try_reader
    from tests.fuzz.seeds import seeds


def main(words: list[str]) -> None:
    """Fuzz one reader until libFuzzer is told to stop."""
    reader, *options = words
    if reader not in READERS:
        raise SystemExit(f"There is no reader {reader!r}; use one of {', '.join(READERS)}.")
    for folder in (Path(word) for word in options if not word.startswith("-")):
        folder.mkdir(parents=True, exist_ok=True)
        for number, content in enumerate(seeds(reader)):
            (folder / f"seed-{number}").write_bytes(content)
        break

    def one(content: bytes) -> None:
        try_reader(reader, content)

    atheris.Setup([sys.argv[0], *options], one)
    atheris.Fuzz()


if __name__ == "__main__":
    os.environ.setdefault("SDL_VIDEODRIVER", "dummy")
    main(sys.argv[1:])
