"""One web page that holds a whole lesson: sound, pictures, captions and a small player.

Made for a school laptop that allows no installs: the file opens from a stick, fetches nothing, and
needs only a browser of the last years.
"""

from __future__ import annotations

from pathlib import Path

from caller.export.formats import Job
from caller.export.web.page import web_page
from caller.file_writing import fill
from caller.screen.theme import THEMES

__all__ = ["web_page", "write"]


def write(job: Job, path: Path) -> None:
    """Write the lesson's page to `path`.

    Raises
    ------
    SoundError
        If sentences of the lesson could not be spoken.
    """
    job.programme.require_voice()
    page = web_page(job.programme, theme=THEMES[job.options.theme], progress=job.progress)
    fill(path, page)
