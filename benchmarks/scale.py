"""What a school and a district would take, reckoned from a small end that is measured here.

Run `python -m benchmarks.scale [--classes N] [--weeks W] [--workers N] [--to docs/scale.md]`; it needs
`pip install distributed`. Each class's term is planned with the verb that a teacher types. Then each lesson's
web page is one job: it reads a script, speaks what nobody has spoken yet into the one store of speech, and
puts its page in place whole, or not at all; a page that is there is not made again. So any scheduler may run
the jobs, in any order, as often as it likes. Here one from the registry does, a local Dask cluster. It is
killed with all its processes when half of the pages are there, and started again.
"""

from __future__ import annotations

import argparse
import gzip
import json
import os
import resource
import signal
import subprocess
import sys
import tempfile
import time
from collections.abc import Iterable
from importlib import import_module
from pathlib import Path
from typing import Any

from benchmarks.figures import Figure, machine, table
from benchmarks.usage import as_installed
from caller.clock.ladder import STEP_CODES
from caller.lesson.library import read_lesson, ready_lessons
from caller.runsheet.sequence import make_run_sheet

CLASSES = ("Terns", "Puffins", "Gannets", "Razorbills", "Fulmars", "Skuas")
MINUTES = 15
SCHOOL_CLASSES, SCHOOL_WEEKS, SCHOOL_A_WEEK, DISTRICT_SCHOOLS = 30, 12, 2, 1_000


def make_page(lesson: str, page: str) -> float:
    """Make a lesson's page unless it is there; return the processor time it took, in seconds."""
    if Path(page).exists():
        return 0.0
    before = _children_s()
    _typed("export", lesson, "--to", page)
    return _children_s() - before


def run_batch(folder: Path, workers: int) -> None:
    """Have Dask make every page that a folder of terms lacks, and print what each took."""
    dask: Any = import_module("distributed")
    lessons = _lessons(folder)
    with (
        dask.LocalCluster(
            n_workers=workers, threads_per_worker=1, processes=True, dashboard_address=None
        ) as cluster,
        dask.Client(cluster) as client,
    ):
        jobs = client.map(
            make_page, [str(each) for each in lessons], [str(_page(each)) for each in lessons], pure=False
        )
        print(json.dumps(client.gather(jobs)))


def measure(classes: int, weeks: int, workers: int) -> list[Figure]:
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        os.environ.update(as_installed(folder / "home"))
        began_s = _children_s()
        for number in range(classes):
            _plan(folder, CLASSES[number], STEP_CODES[number % len(STEP_CODES)], weeks)
        planned_s = _children_s() - began_s
        lessons = _lessons(folder)
        killed = _killed_half_way(folder, workers)
        began_s = time.monotonic()
        took_s = json.loads(_batch(folder, workers).communicate()[0].splitlines()[-1])
        wall_s = time.monotonic() - began_s
        again = [page for page, at in killed.items() if page.stat().st_mtime_ns != at]
        unfinished = [each for each in folder.rglob(".*") if each.is_file() and "home" not in each.parts]
        made_s = [each for each in took_s if each]
        pages = [_page(each) for each in lessons]
        page_mb = sum(page.stat().st_size for page in pages) / len(pages) / 1e6
        packed_mb = len(gzip.compress(pages[0].read_bytes())) / 1e6
        store = folder / "home" / "cache"
        store_mb = sum(each.stat().st_size for each in store.rglob("*") if each.is_file()) / 1e6
        said = [_sentences(each) for each in lessons]
    page_s = sum(made_s) / len(made_s)
    plan_s = planned_s / len(lessons)
    return [
        Figure(
            what=f"lessons of {MINUTES} minutes planned: {classes} classes, {weeks} week(s)",
            value=len(lessons),
            unit="",
        ),
        Figure(what="processor time to plan one", value=plan_s, unit="s"),
        Figure(what="pages there when the batch was killed", value=len(killed), unit=f"of {len(pages)}"),
        Figure(what="of these, made again after it", value=len(again), unit="", beside="0"),
        Figure(what="unfinished files left", value=len(unfinished), unit="", beside="0"),
        Figure(what="processor time of a page", value=page_s, unit="s"),
        Figure(
            what=f"wall clock of the second run, a page, {workers} workers",
            value=wall_s / len(made_s),
            unit="s",
        ),
        Figure(what="bytes of a page", value=page_mb, unit="MB", beside=f"{packed_mb:.3g} MB packed by gzip"),
        *_shared(said, store_mb),
        *_reckoned(plan_s, page_s, page_mb, store_mb, said),
    ]


def _shared(said: list[set[str]], store_mb: float) -> Iterable[Figure]:
    """Say what lessons have in common: sentences, each spoken once for all of them."""
    everything = set[str]().union(*said)
    new = said[-1].difference(*said[:-1])
    return [
        Figure(what="sentences of the first lesson", value=len(said[0]), unit=""),
        Figure(what="sentences of the last that no earlier one had", value=len(new), unit=""),
        Figure(
            what="different sentences of all lessons, of those of each by itself",
            value=100 * len(everything) / sum(map(len, said)),
            unit="%",
        ),
        Figure(what="the store of speech", value=store_mb, unit="MB", beside="500 MB: where it is trimmed"),
    ]


def _reckoned(
    plan_s: float, page_s: float, page_mb: float, store_mb: float, said: list[set[str]]
) -> Iterable[Figure]:
    """Multiply the small end; what is spoken grows by what the last lesson added, or less."""
    lessons = SCHOOL_CLASSES * SCHOOL_WEEKS * SCHOOL_A_WEEK
    everything, added = set[str]().union(*said), len(said[-1].difference(*said[:-1]))
    spoken_mb = store_mb / len(everything) * (len(everything) + added * (lessons - len(said)))
    school = f"a school ({SCHOOL_CLASSES} classes, {SCHOOL_WEEKS} weeks, {SCHOOL_A_WEEK} a week)"
    ready = len(ready_lessons())
    return [
        Figure(what=f"reckoned: lessons of {school}", value=lessons, unit=""),
        Figure(what="reckoned: processor time of its plans", value=lessons * plan_s / 60, unit="min"),
        Figure(what="reckoned: processor time of its pages", value=lessons * page_s / 3600, unit="h"),
        Figure(what="reckoned: bytes of its pages", value=lessons * page_mb / 1e3, unit="GB"),
        Figure(what="reckoned: all that is spoken in it, at most", value=spoken_mb / 1e3, unit="GB"),
        Figure(
            what=f"reckoned: a district of {DISTRICT_SCHOOLS} schools, pages of its own for each lesson",
            value=DISTRICT_SCHOOLS * lessons * page_mb / 1e6,
            unit="TB",
            beside=f"{DISTRICT_SCHOOLS * lessons * page_s / 3600 / 24 / 365:.2g} years of one processor",
        ),
        Figure(
            what=f"reckoned: the same district, the {ready} ready lessons as static files for all",
            value=ready * page_mb / 1e3,
            unit="GB",
            beside=f"{ready * page_s / 60:.3g} minutes of one processor",
        ),
    ]


def _plan(folder: Path, name: str, step: str, weeks: int) -> None:
    described = folder / f"{name.lower()}.toml"
    described.write_text(
        f'name = "{name}"\nage = "6-7"\nstep = "{step}"\nminutes = {MINUTES}\n', encoding="utf-8"
    )
    _typed("plan", str(described), "--to", str(folder / name), "--weeks", str(weeks), "--per-week", "1")


def _killed_half_way(folder: Path, workers: int) -> dict[Path, int]:
    """Start the batch, kill all of it when half of the pages are there, and return those and their times."""
    pages = [_page(each) for each in _lessons(folder)]
    running = _batch(folder, workers)
    while sum(page.exists() for page in pages) < len(pages) / 2:
        if running.poll() is not None:
            raise SystemExit(f"the batch ended by itself, with {running.returncode}")
        time.sleep(0.2)
    os.killpg(running.pid, signal.SIGKILL)
    running.wait()
    return {page: page.stat().st_mtime_ns for page in pages if page.exists()}


def _batch(folder: Path, workers: int) -> subprocess.Popen[bytes]:
    words = ["--batch", str(folder), "--workers", str(workers)]
    return subprocess.Popen(
        [sys.executable, "-m", "benchmarks.scale", *words], stdout=subprocess.PIPE, start_new_session=True
    )


def _typed(*words: str) -> None:
    subprocess.run([sys.executable, "-m", "caller", *words], check=True, stdout=subprocess.DEVNULL)


def _lessons(folder: Path) -> list[Path]:
    return sorted(folder.glob("*/week-*.toml"))


def _page(lesson: Path) -> Path:
    return lesson.with_suffix(".html")


def _sentences(lesson: Path) -> set[str]:
    return {
        line.speech
        for call in make_run_sheet(read_lesson(lesson)).calls
        for line in call.lines
        if line.speech
    }


def _children_s() -> float:
    used = resource.getrusage(resource.RUSAGE_CHILDREN)
    return used.ru_utime + used.ru_stime


HEAD = """# A school, a district

Made by `{command}`. {says} {machine}

"""


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawTextHelpFormatter)
    parser.add_argument("--classes", type=int, default=3, choices=range(1, len(CLASSES) + 1), metavar="N")
    parser.add_argument("--weeks", type=int, default=2)
    parser.add_argument("--workers", type=int, default=os.cpu_count() or 1)
    parser.add_argument("--to", type=Path, metavar="FILE", help="write the page, too")
    parser.add_argument("--batch", type=Path, help=argparse.SUPPRESS)
    chosen = parser.parse_args()
    if chosen.batch is not None:
        run_batch(chosen.batch, chosen.workers)
        return
    where = machine()
    told = table(measure(chosen.classes, chosen.weeks, chosen.workers))
    print(told)
    if chosen.to is not None:
        says = " ".join((__doc__ or "").split("`pip install distributed`. ", 1)[1].split())
        command = f"python -m benchmarks.scale --classes {chosen.classes} --weeks {chosen.weeks}"
        chosen.to.write_text(
            f"{HEAD.format(command=command, says=says, machine=where)}{told}\n", encoding="utf-8"
        )


if __name__ == "__main__":
    main()
