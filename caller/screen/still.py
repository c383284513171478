"""Pictures as files: PNG, and SVG and PDF drawn by the same code without pixels."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

from caller.file_writing import write_bytes
from caller.screen.scene import Scene
from caller.screen.skia_door import skia
from caller.screen.stage import draw_scene
from caller.screen.theme import LIGHT, Theme

Draw = Callable[[skia.Canvas], None]


def png_bytes(draw: Draw, width: int, height: int) -> bytes:
    """Return a PNG of `width` by `height` pixels; what `draw` leaves out stays see-through."""
    surface = skia.Surface(width, height)
    draw(surface.getCanvas())
    return bytes(surface.makeImageSnapshot().encodeToData(skia.kPNG, 100))


def svg_bytes(draw: Draw, width: float, height: float) -> bytes:
    """Return an SVG; letters become outlines, so that it looks the same without our typeface."""
    stream = skia.DynamicMemoryWStream()
    flags = skia.SVGCanvas.kConvertTextToPaths_Flag
    canvas = skia.SVGCanvas.Make(skia.Rect.MakeWH(width, height), stream, flags)
    draw(canvas)
    del canvas  # the drawing is complete only once its canvas is gone
    return bytes(stream.detachAsData())


def pdf_bytes(draw: Draw, width: float, height: float, *, title: str = "") -> bytes:
    """Return a PDF of one page; width and height are in points (1/72 inch)."""
    stream = skia.DynamicMemoryWStream()
    metadata = skia.PDF.Metadata()
    metadata.fTitle = title
    document = skia.PDF.MakeDocument(stream, metadata)
    draw(document.beginPage(width, height))
    document.endPage()
    document.close()
    return bytes(stream.detachAsData())


def file_bytes(draw: Draw, width: int, height: int, ending: str, *, title: str = "") -> bytes:
    """Return a picture in the form that a file name's ending asks for: png, svg or pdf.

    Raises
    ------
    ValueError
        For any other ending.
    """
    match ending.lower().lstrip("."):
        case "png":
            return png_bytes(draw, width, height)
        case "svg":
            return svg_bytes(draw, width, height)
        case "pdf":
            return pdf_bytes(draw, width, height, title=title)
        case other:
            raise ValueError(f"no picture can be written as {other!r}")


def write_png(
    scene: Scene,
    path: Path,
    *,
    width: int = 1920,
    height: int = 1080,
    theme: Theme = LIGHT,
    replace: bool = True,
) -> None:
    """Write one picture of a lesson as a PNG file; `replace` says whether one that is there may go."""

    def draw(canvas: skia.Canvas) -> None:
        draw_scene(canvas, scene, width=width, height=height, theme=theme)

    write_bytes(path, png_bytes(draw, width, height), replace=replace)
