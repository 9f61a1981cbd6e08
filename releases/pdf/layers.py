"""What the name of a layer says: which sizes it is for, and which view."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from releases.pdf.compare import Reprint

_VIEW = re.compile(r"\bview\s*([A-Z]|\d{1,2})\b", re.IGNORECASE)
_SIZE_LIKE = re.compile(r"(?:size\s*)?(\d{1,2}[A-Z]?|X{0,4}[SL]|[2-6]X[SL]?|M)", re.IGNORECASE)


@dataclass(frozen=True)
class Meaning:
    """The sizes that a layer names (none: it is for all of them), its view, and a size that the version has not."""

    sizes: tuple[str, ...] = ()
    view: str = ""
    unknown: str = ""


def meaning(name: str, sizes: Sequence[str]) -> Meaning:
    """ "Size 12" is for 12; "10-14" for all from 10 to 14; "View B, 12" for 12 in view B; "Text" for every size."""
    view = _VIEW.search(name)
    rest = _VIEW.sub(" ", name)
    named = [size for size in sizes if _whole(size).search(rest)]
    if len(named) == 2 and re.search(
        rf"{re.escape(named[0])}\s*(?:-|–|to)\s*{re.escape(named[1])}", rest, re.IGNORECASE
    ):
        first, last = (sizes.index(size) for size in named)
        named = list(sizes[first : last + 1])
    alone = _SIZE_LIKE.fullmatch(rest.strip())
    unknown = alone[1] if alone and not named else ""
    return Meaning(tuple(named), view[1].upper() if view else "", unknown)


def _whole(size: str) -> re.Pattern[str]:
    return re.compile(rf"(?<![\w.]){re.escape(size)}(?![\w.])", re.IGNORECASE)


@dataclass(frozen=True)
class PrintList:
    """Pages to print again for some sizes that need the same ones, in one view or in all ("")."""

    sizes: tuple[str, ...]
    view: str
    pages: tuple[int, ...]


def print_lists(reprint: Iterable[Reprint], sizes: Sequence[str], layers: Iterable[str]) -> list[PrintList]:
    """The pages for each size and view, sizes with the same pages together; sizes that need none are left out."""
    asked = list(reprint)
    means = {name: meaning(name, sizes) for name in {*layers, *(layer for one in asked for layer in one.layers)}}
    views = sorted({one.view for one in means.values() if one.view}) or [""]
    found: dict[tuple[str, tuple[int, ...]], list[str]] = {}
    for view in views:
        for size in sizes:
            pages = tuple(one.page for one in asked if any(_concerns(means[layer], size, view) for layer in one.layers))
            if pages:
                found.setdefault((view, pages), []).append(size)
    return [PrintList(tuple(some), view, pages) for (view, pages), some in found.items()]


@dataclass(frozen=True)
class PageUse:
    """A page of a file: the layers that draw on it (None: not known), and whether nothing does."""

    number: int
    layers: tuple[str, ...] | None
    blank: bool = False


def pages_for(cut: Iterable[str], pages: Iterable[PageUse], sizes: Sequence[str]) -> tuple[int, ...]:
    """The pages that somebody prints who cuts these sizes, by their number.

    Left out are blank pages, and those on which only larger sizes draw: they lie outside the pieces. A page with lines
    of smaller sizes alone lies within them, and is paper that is needed.
    """
    places = [sizes.index(size) for size in cut if size in sizes]
    largest = max(places, default=len(sizes))
    return tuple(page.number for page in pages if not page.blank and _reaches(page, largest, sizes))


def _reaches(page: PageUse, largest: int, sizes: Sequence[str]) -> bool:
    means = [meaning(name, sizes) for name in page.layers or ()]
    sized = [size for one in means for size in one.sizes]
    return not sized or any(sizes.index(size) <= largest for size in sized)


def _concerns(layer: Meaning, size: str, view: str) -> bool:
    """Whether someone who prints this size in this view sees the layer."""
    return (not layer.sizes or size in layer.sizes) and (not layer.view or not view or layer.view == view)
