"""The screen's own drawing as shared pieces of SVG.

Each part of a picture is a symbol, and pictures in which it looks alike share it. Figures, of which there
are most, are written from what they are made of; everything else is drawn on the library's own canvas.
"""

from __future__ import annotations

import hashlib
import re
from collections.abc import Callable, Hashable, Iterable
from dataclasses import dataclass, field
from typing import Generic, TypeVar
from xml.etree import ElementTree as ET

from caller.export.web.outlines import element_of, number, shorten
from caller.screen.figure import Ink
from caller.screen.skia_door import skia

_SVG = "http://www.w3.org/2000/svg"
_DECIMAL = re.compile(r"-?\d+\.\d+(?:e-?\d+)?")
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
        self._known: dict[bytes, int] = {}  # by digest, because what the library writes is long

    def drawn(self, draw: Callable[[skia.Canvas], None]) -> tuple[int, ...]:
        """Return what `draw` draws on a canvas as the numbers of its groups: one, or none for nothing."""
        stream = skia.DynamicMemoryWStream()
        bounds = skia.Rect.MakeWH(self.width, self.height)
        canvas = skia.SVGCanvas.Make(bounds, stream, skia.SVGCanvas.kNoPrettyXML_Flag)
        draw(canvas)
        del canvas  # the drawing is complete only once its canvas is gone
        return self._placed(self.symbol(bytes(stream.detachAsData())))

    def figure(self, inks: Iterable[Ink], origin: tuple[float, float], opacity: float) -> tuple[int, ...]:
        """Return a figure as the numbers of its groups; `inks` are told from its own origin.

        What stands still from one moment of its loop to the next is one path for all of them.
        """
        pieces = []
        for ink in inks:
            markup, data = element_of(ink)
            if markup and (data is None or data):
                path = -1 if data is None else self.paths.number_of(data)
                pieces.append((self.markup.number_of(markup), path))
        return self._placed(self.symbols.number_of(tuple(pieces)), *origin, opacity)

    def _placed(self, symbol: int, x: float = 0.0, y: float = 0.0, opacity: float = 1.0) -> tuple[int, ...]:
        if not self.symbols.items[symbol]:
            return ()
        return (self.groups.number_of((symbol, round(x, 1), round(y, 1), round(opacity, 2))),)

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
