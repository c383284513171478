"""Draw the strip of every move, and sheets with all moves and all children at once, into this folder.

Run `python docs/moves/make.py` after a change to what the figures do or wear, and look at every sheet: as it
is, and as a 20/40 eye sees figures as large as a lane's from 15 m. Names and words on the page are from the
catalogue.
"""

from __future__ import annotations

import re
from pathlib import Path

import numpy as np
from PIL import Image

from caller.moves import catalogue
from caller.screen import Rect
from caller.screen.figure import LOOKS, Look
from caller.screen.figures_on_stage import FigureDoing, alone, draw_performer
from caller.screen.for_paper import filmstrip
from caller.screen.raster import as_seen, blur_px
from caller.screen.skia_door import skia
from caller.screen.text import draw_line
from caller.screen.theme import LIGHT

FOLDER = Path(__file__).parent
STANDING = [look for look in LOOKS if not look.wheelchair]
WIDE, TALL, NAME = 300, 300, 28  # of a cell, as a lane is on 1080 rows, and of the name at its foot
ACROSS, DOWN = 4, 3
WORN = ("march", "sumo-squats", "side-stretch", "seated-march")
SAT = ("seated-star-arms", "seated-arm-circles", "seated-rowing", "seated-march")
STEPS = 480


def child(number: int, slug: str) -> Look:
    """Return one of the children, another for each number; one with a wheelchair only where all sit."""
    looks = LOOKS if fits(LOOKS[-1], slug) else STANDING
    return looks[number % len(looks)]


def main() -> None:
    """Draw them all."""
    slugs = list(catalogue())
    for number, slug in enumerate(slugs):
        strip = filmstrip(slug, look=child(number, slug))
        (FOLDER / f"{slug}.png").write_bytes(bytes(strip.encodeToData(skia.kPNG, 100)))
    each = ACROSS * DOWN
    for first in range(0, len(slugs), each):
        cells = [(slug, child(first + n, slug), slug) for n, slug in enumerate(slugs[first : first + each])]
        write(cells, f"all-{first // each + 1}")
    worn = [(slug, look, "") for look in LOOKS for slug in (SAT if look.wheelchair else WORN)]
    write(worn, "children", across=len(WORN))
    page = FOLDER / "README.md"
    named = r"\*\*[^*]+\*\*: [^\n]+\n\n!\[[^\]]*\]\(([a-z-]+)\.png\)"
    page.write_text(re.sub(named, lambda found: entry(found[1]), page.read_text("utf-8")), "utf-8")


def fits(look: Look, slug: str) -> bool:
    """Tell whether a child can be shown doing a move: one that uses a wheelchair sits."""
    return not look.wheelchair or slug.startswith("seated")


def entry(slug: str) -> str:
    """Return what the page says of one move."""
    move = catalogue()[slug]
    return f"**{move.name()}**: {move.how()}\n\n![{move.name()}]({slug}.png)"


def write(cells: list[tuple[str, Look, str]], name: str, *, across: int = ACROSS) -> None:
    """Draw moves on a sheet, each at two moments, as it is and from the last row."""
    down = -(-len(cells) // across)
    surface = skia.Surface(across * WIDE, down * TALL)
    canvas = surface.getCanvas()
    canvas.clear(LIGHT.background)
    for number, (slug, look, written) in enumerate(cells):
        x, y = number % across * WIDE, number // across * TALL
        for half, share in enumerate((0.0, 0.3)):
            room = Rect(x=x + half * WIDE / 2 + 2, y=y + 4, width=WIDE / 2 - 4, height=TALL - NAME - 12)
            draw_performer(
                canvas, alone(FigureDoing(what=slug), room, look=look, step=round(share * STEPS)), LIGHT
            )
        draw_line(canvas, written, x=x + WIDE / 2, baseline=y + TALL - 12, size=0.7 * NAME, colour=LIGHT.ink)
    pixels = np.ascontiguousarray(np.asarray(surface.toarray())[..., 2::-1])
    Image.fromarray(pixels).save(FOLDER / f"{name}.png")
    seen = as_seen(pixels, blur_px(1080, image_height_m=1.8, distance_m=15.0))
    Image.fromarray(seen).save(FOLDER / f"{name}-last-row.jpg", quality=85)


if __name__ == "__main__":
    main()
