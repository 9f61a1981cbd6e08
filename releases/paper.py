"""Documents for the printer: a template becomes a tagged PDF (PDF/UA-1) on A4 or Letter.

WeasyPrint is imported at the first document, so that a process which prints nothing stays small.
The engine reads nothing but the app's own static files and the pictures that the caller hands over.
"""

from __future__ import annotations

import atexit
import contextlib
import functools
import gc
import logging
import re
import threading
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any
from urllib.parse import unquote, urlsplit

from django.contrib.staticfiles import finders
from django.template.loader import render_to_string

Picture = bytes | Callable[[], bytes]
# Hears how many pages are laid out so far.
Tell = Callable[[int], None]

# The base of addresses within a document: a host that by RFC 2606 never exists, and that the fetcher never asks.
STATIC_HOST = "static.invalid"
_BASE = f"https://{STATIC_HOST}/"
_TYPES = {".css": "text/css", ".svg": "image/svg+xml", ".woff2": "font/woff2", ".png": "image/png"}
_DRAWING = re.compile(r"<svg(?P<tag>[^>]*)>\s*<title[^>]*>(?P<title>[^<]+)</title>.*?</svg>", re.DOTALL)
_CLASS = re.compile(r' class="([^"]*)"')
# Objects made since the last look: some 10 MB.
TIDY_AFTER = 50_000
# The font map is one for the process (a fresh one costs 55 ms and leaks), and Pango's is not safe among threads.
_engine = threading.Lock()


@dataclass(frozen=True)
class Paper:
    """A sheet: its name for a person, width and height in millimetres as it stands upright."""

    key: str
    name: str
    width_mm: float
    height_mm: float

    def size(self, *, turned: bool = False) -> str:
        """The size as page CSS."""
        sides = [self.width_mm, self.height_mm]
        return " ".join(f"{side:g}mm" for side in (reversed(sides) if turned else sides))


# A4 by ISO 216; Letter is 8 1/2 by 11 inches.
PAPERS = {
    "a4": Paper("a4", "A4", 210, 297),
    "letter": Paper("letter", "Letter", 215.9, 279.4),
}


def render_pdf(
    template: str,
    context: Mapping[str, Any] | None = None,
    *,
    paper: str = "a4",
    turned: bool = False,
    pictures: Mapping[str, Picture] | None = None,
    tell: Tell | None = None,
) -> bytes:
    """The PDF of a template that extends `paper/base.html`.

    `paper` is a key of PAPERS, `turned` lays the sheet on its side. A picture stands in the template as
    `image:NAME`, where NAME is a key of `pictures` (its bytes, or a function that reads them when asked).
    `tell` hears how far a long document is.
    Raises KeyError for a paper that there is not.
    """
    sheet = PAPERS[paper]
    html = render_to_string(template, {**(context or {}), "paper": sheet})
    return write_pdf(html, size=sheet.size(turned=turned), pictures=pictures, tell=tell)


def write_pdf(
    html: str, *, size: str, pictures: Mapping[str, Picture] | None = None, tell: Tell | None = None
) -> bytes:
    """The PDF of a finished document; `size` as in page CSS, such as `210mm 297mm`."""
    import weasyprint

    html, drawings = as_pictures(html)
    with _engine, _told(tell), _seldom_tidied():
        fonts, style = _fonts_and_style()
        page = weasyprint.CSS(string=_page_css(size), font_config=fonts, url_fetcher=_fetcher({}))
        document = weasyprint.HTML(string=html, base_url=_BASE, url_fetcher=_fetcher({**(pictures or {}), **drawings}))
        return document.write_pdf(
            stylesheets=[style, page], font_config=fonts, pdf_variant="pdf/ua-1", pdf_tags=True, optimize_images=False
        )


def as_pictures(html: str) -> tuple[str, dict[str, bytes]]:
    """The document with its titled drawings as pictures of that name, and these by their names.

    Inside the document each line of a drawing would be an element that the engine reads, styles and lays out: half of
    all elements of a fit summary. Drawings that are alike become one picture. One without a title is decoration and
    stays, since a picture must have a name.
    """
    drawings: dict[str, str] = {}

    def picture(found: re.Match[str]) -> str:
        name = drawings.setdefault(found[0], f"drawing-{len(drawings)}")
        css = _CLASS.search(found["tag"])
        return f'<img class="drawn {css[1] if css else ""}" src="image:{name}" alt="{found["title"]}">'

    html = _DRAWING.sub(picture, html)
    return html, {name: _alone(drawing) for drawing, name in drawings.items()}


def _alone(drawing: str) -> bytes:
    """The drawing as a file of its own."""
    space = "" if "xmlns=" in drawing else ' xmlns="http://www.w3.org/2000/svg"'
    return drawing.replace("<svg", f"<svg{space}", 1).encode()


def _page_css(size: str) -> str:
    """The sheet, and the same on its side for what asks for a turned page."""
    width, height = size.split()
    return f"@page{{size:{width} {height}}}@page turned{{size:{height} {width}}}"


class _Pages(logging.Handler):
    """Passes on which page the engine has reached."""

    def __init__(self, tell: Tell) -> None:
        super().__init__()
        self.tell = tell

    def emit(self, record: logging.LogRecord) -> None:
        if isinstance(record.args, tuple) and "Page" in record.msg:
            self.tell(int(str(record.args[0])))


@contextlib.contextmanager
def _told(tell: Tell | None) -> Iterator[None]:
    """While it lasts, `tell` hears of every page; the engine speaks of them in its log alone."""
    if tell is None:
        yield
        return
    log, handler = logging.getLogger("weasyprint.progress"), _Pages(tell)
    level, passed_on = log.level, log.propagate
    log.setLevel(logging.INFO)
    # The pages are for `tell` alone: the log of the process does not want them.
    log.propagate = False
    log.addHandler(handler)
    try:
        yield
    finally:
        log.removeHandler(handler)
        log.setLevel(level)
        log.propagate = passed_on


@contextlib.contextmanager
def _seldom_tidied() -> Iterator[None]:
    """While it lasts, the interpreter looks for loose ends less often: a document is a million objects that all live to
    its end, and looking through them time and again is a sixth of the work. For whoever holds `_engine`."""
    usual = gc.get_threshold()
    gc.set_threshold(TIDY_AFTER, *usual[1:])
    try:
        yield
    finally:
        gc.set_threshold(*usual)


@functools.cache
def _fonts_and_style() -> tuple[Any, Any]:
    """The fonts and the style sheet, read once a process."""
    import weasyprint
    from weasyprint.text.fonts import FontConfiguration

    fonts = FontConfiguration()
    # The fonts lie unpacked in a temporary folder, which goes while there still is an interpreter to remove it.
    atexit.register(_fonts_and_style.cache_clear)
    return fonts, weasyprint.CSS(url=_BASE + "paper.css", font_config=fonts, url_fetcher=_fetcher({}))


class ForbiddenAddressError(ValueError):
    """A document asked for something that is neither a static file of the app nor a picture handed over."""


def _fetcher(pictures: Mapping[str, Picture]) -> Any:
    from weasyprint.urls import URLFetcher, URLFetcherResponse

    class OwnFilesOnly(URLFetcher):
        def fetch(self, url: str, headers: Any = None) -> Any:
            body, content_type = read_own(url, pictures)
            return URLFetcherResponse(url, body, {"Content-Type": content_type})

    return OwnFilesOnly()


def read_own(url: str, pictures: Mapping[str, Picture]) -> tuple[bytes, str]:
    """Content and type behind a name below the base, or `image:NAME`. Raises ForbiddenAddressError for all else."""
    address = urlsplit(url)
    name = unquote(address.path).lstrip("/")
    if address.scheme == "image" and name in pictures:
        picture = pictures[name]
        body = picture if isinstance(picture, bytes) else picture()
        return body, _TYPES[".svg"] if body.startswith(b"<svg") else "application/octet-stream"
    kind = _TYPES.get(Path(name).suffix)
    if (address.scheme, address.netloc) != ("https", STATIC_HOST) or kind is None:
        raise ForbiddenAddressError(url)
    found = _static_file(name)
    if found is None:
        raise ForbiddenAddressError(url)
    return found.read_bytes(), kind


def _static_file(name: str) -> Path | None:
    """The app's own static file of that name; a name that climbs out of the folder finds nothing."""
    from django.core.exceptions import SuspiciousFileOperation

    try:
        found = finders.find(name)
    except SuspiciousFileOperation:
        return None
    return Path(found) if isinstance(found, str) else None
