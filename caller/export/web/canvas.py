"""A canvas that turns the screen's own drawing into shared pieces of SVG.

The picture function draws on it as on any other canvas. What is recorded once and played back (the
standing parts of a board, the moments of a figure's loop) becomes a symbol that many pictures
share; what is drawn between such recordings becomes symbols of its own.
"""

from __future__ import annotations

import hashlib
import re
from collections.abc import Callable, Hashable
from dataclasses import dataclass, field
from math import floor
from typing import Any, Generic, TypeVar
from xml.etree import ElementTree as ET

from caller.export.web.paths import number, shorten
from caller.screen.skia_door import skia

_SVG = "http://www.w3.org/2000/svg"
_DECIMAL = re.compile(r"-?\d+\.\d+(?:e-?\d+)?")
_GRID = 1000.0  # larger than a figure
_NAME = re.compile(r'(id="|url\(#)')

T = TypeVar("T", bound=Hashable)

Piece = tuple[int, int]
"""An element: its markup, and the number of the path that goes into it (-1 for none)."""

Symbol = tuple[Piece, ...]

Group = tuple[int, float, float, float]
"""A symbol in its place: its number, how far it is moved right and down, and its opacity."""


@dataclass(slots=True)
class Pool(Generic[T]):
    """Things kept once each, known by their number."""

    items: list[T] = field(default_factory=list)
    _numbers: dict[T, int] = field(default_factory=dict)

    def number_of(self, item: T) -> int:
        """Return the item's number, after taking it in if it is new."""
        found = self._numbers.setdefault(item, len(self.items))
        if found == len(self.items):
            self.items.append(item)
        return found


class Pieces:
    """All SVG that the pictures of one size share."""

    def __init__(self, width: int, height: int) -> None:
        self.width, self.height = width, height
        self.markup: Pool[str] = Pool()
        self.paths: Pool[str] = Pool()
        self.symbols: Pool[Symbol] = Pool()
        self.groups: Pool[Group] = Pool()
        self._recordings: dict[int, tuple[int, float, float]] = {}
        self._known: dict[bytes, int] = {}  # by digest, because what the library writes is long

    def picture(self, draw: Callable[[Any], None]) -> tuple[int, ...]:
        """Return a picture, drawn by `draw` on a canvas, as the numbers of its groups from back to front."""
        canvas = _Canvas(self)
        draw(canvas)
        return canvas.finish()

    def recording(self, picture: skia.Picture) -> tuple[int, float, float]:
        """Return a recording as a symbol, and where the symbol's corner lies from the recording's origin."""
        key = int(picture.uniqueID())
        if key not in self._recordings:
            # The library leaves out what falls outside its sheet, so the recording is moved onto one. All
            # the moments of a figure are moved alike: what stands still from one to the next is one path.
            bounds = picture.cullRect()
            left, top = (_GRID * floor(edge / _GRID) for edge in (bounds.left(), bounds.top()))
            canvas, stream = _sheet(bounds.right() - left, bounds.bottom() - top)
            canvas.translate(-left, -top)
            canvas.drawPicture(picture)
            del canvas
            symbol = self.symbol(bytes(stream.detachAsData()))
            self._recordings[key] = (symbol, left, top)
        return self._recordings[key]

    def symbol(self, svg: bytes) -> int:
        """Return the number of a symbol that holds everything in `svg`."""
        key = hashlib.sha1(svg, usedforsecurity=False).digest()
        if key not in self._known:
            # Names inside a drawing count from nought in each; on one page they must differ.
            root = ET.fromstring(_NAME.sub(rf"\g<1>{key.hex()[:8]}-", svg.decode()))
            pieces = (self._piece(element) for element in root if element.get("d") != "")
            self._known[key] = self.symbols.number_of(tuple(pieces))
        return self._known[key]

    def path(self, data: str) -> int:
        """Return the number of a path."""
        key = hashlib.sha1(data.encode(), usedforsecurity=False).digest()
        if key not in self._known:
            self._known[key] = self.paths.number_of(shorten(data))
        return self._known[key]

    def _piece(self, element: ET.Element) -> Piece:
        path = -1
        if element.tag == f"{{{_SVG}}}path":
            path = self.path(element.attrib.pop("d"))
        for each in element.iter():
            each.tag = each.tag.removeprefix(f"{{{_SVG}}}")
            for name, value in each.attrib.items():
                each.set(name, _shortened(name, value))
        element.tail = None
        return self.markup.number_of(ET.tostring(element, encoding="unicode")), path


def _shortened(name: str, value: str) -> str:
    """Return an attribute with its numbers to a tenth (opacity to a hundredth)."""
    if name == "d":
        return shorten(value)
    if "opacity" in name:
        return f"{float(value):.2g}"
    return _DECIMAL.sub(lambda found: number(float(found[0])), value).strip(" ,").replace(", ", " ")


def _sheet(width: float, height: float) -> tuple[Any, Any]:
    stream = skia.DynamicMemoryWStream()
    flags = skia.SVGCanvas.kNoPrettyXML_Flag
    return skia.SVGCanvas.Make(skia.Rect.MakeWH(width, height), stream, flags), stream


class _Canvas:
    """What the drawing code sees: a canvas, of which it uses only what is here or drawn as it stands."""

    def __init__(self, pieces: Pieces) -> None:
        self._pieces = pieces
        self._groups: list[int] = []
        self._moved: list[tuple[float, float, float]] = [(0.0, 0.0, 1.0)]  # right, down, opacity
        self._sheet, self._stream = _sheet(pieces.width, pieces.height)

    def save(self) -> None:
        self._moved.append(self._moved[-1])

    def saveLayerAlpha(self, _bounds: skia.Rect, alpha: int) -> None:  # noqa: N802 - the library's name
        x, y, opacity = self._moved[-1]
        self._moved.append((x, y, opacity * alpha / 255))

    def restore(self) -> None:
        self._moved.pop()

    def translate(self, right: float, down: float) -> None:
        x, y, opacity = self._moved[-1]
        self._moved[-1] = (x + right, y + down, opacity)

    def drawPicture(self, picture: skia.Picture) -> None:  # noqa: N802 - the library's name
        self._close_sheet()
        self._sheet, self._stream = _sheet(self._pieces.width, self._pieces.height)
        symbol, left, top = self._pieces.recording(picture)
        x, y, opacity = self._moved[-1]
        self._add(symbol, x + left, y + top, opacity)

    def __getattr__(self, name: str) -> Any:
        if self._moved[-1] != (0.0, 0.0, 1.0):
            raise NotImplementedError(
                f"{name} on a canvas that was moved or faded: record it and play it back"
            )
        return getattr(self._sheet, name)

    def finish(self) -> tuple[int, ...]:
        self._close_sheet()
        return tuple(self._groups)

    def _close_sheet(self) -> None:
        del self._sheet  # the drawing is complete only once its canvas is gone
        symbol = self._pieces.symbol(bytes(self._stream.detachAsData()))
        if self._pieces.symbols.items[symbol]:
            self._add(symbol, 0.0, 0.0, 1.0)

    def _add(self, symbol: int, x: float, y: float, opacity: float) -> None:
        group = (symbol, round(x, 1), round(y, 1), round(opacity, 2))
        self._groups.append(self._pieces.groups.number_of(group))
