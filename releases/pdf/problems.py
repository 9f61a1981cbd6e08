"""What is wrong with a file by itself, each with its page and one sentence.

What only its version can tell (sizes, other files) is said by releases.pdf.agreement.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from measurements.sentences import Sentence, gettext_noop, sentence
from releases.pdf.inspection import Inspection, PageLook, SquareLook
from releases.pdf.squares import INCH
from releases.pdf_facts import LARGEST_HOME_SHEET_MM, paper_of

# The usual roll of plotters and copy shops is 36 in wide (common practice, no source).
ROLL_MM = 914.4
# Measured in the drawing there is no reading error; exporters round to a tenth of a point (0.035 mm a corner).
DRAWN_MM, DRAWN_SHARE = 0.15, 0.0025
_SHEET_NAMES = {"a4": "A4", "letter": "Letter"}


@dataclass(frozen=True)
class Problem:
    """`page` is None where the whole file is meant."""

    page: int | None
    says: Sentence


def problems_of(found: Inspection, *, wants_square: bool = True, on_roll: bool = True) -> list[Problem]:
    """All of them, the whole file's first, then page by page."""
    every = [
        *_file(found),
        *_pages(found.pages, on_roll),
        *_fonts(found),
        *_squares(found, wants_square),
        *_layers(found),
        *_editions(found.pages),
    ]
    return sorted(every, key=lambda problem: problem.page or 0)


def _file(found: Inspection) -> Iterator[Problem]:
    if found.rebuilt:
        said = gettext_noop("The file is damaged; what could be saved of it was read. Export it again.")
        yield Problem(None, sentence("rebuilt", said))
    if found.encrypted:
        said = gettext_noop(
            "The file is locked against changes or printing: save it without a password or restrictions."
        )
        yield Problem(None, sentence("encrypted", said))
    for page in found.scripts:
        said = gettext_noop("Something would run when the file is opened or touched: export it as plain pages.")
        yield Problem(page, sentence("script", said))
    for name in found.embedded_files:
        said = gettext_noop("Another file travels inside it: “%(name)s”. Leave it out.")
        yield Problem(None, sentence("embedded_file", said, name=name))


def _pages(pages: Sequence[PageLook], on_roll: bool) -> Iterator[Problem]:
    sheets = [paper_of([(page.width_mm, page.height_mm)]) for page in pages]
    usual, count = Counter(sheets).most_common(1)[0]
    for page, sheet in zip(pages, sheets, strict=True):
        if not page.sized:
            said = gettext_noop("The page does not say how large it is.")
            yield Problem(page.number, sentence("no_size", said))
        elif usual in _SHEET_NAMES and sheet != usual and 3 * count >= 2 * len(pages):
            said = gettext_noop("This page is %(width)s × %(height)s mm, while the others are %(paper)s.")
            yield Problem(page.number, sentence("odd_page", said, **_sides(page), paper=_SHEET_NAMES[usual]))
        if on_roll and _too_wide(page):
            said = gettext_noop("The sheet is %(width)s × %(height)s mm: it does not fit on a roll of %(roll)s mm.")
            yield Problem(page.number, sentence("wider_than_roll", said, **_sides(page), roll=f"{ROLL_MM:g}"))
        yield from _unread(page)


def _unread(page: PageLook) -> Iterator[Problem]:
    if page.cut_short == "too_much":
        said = gettext_noop("The page holds more than can be looked at; a printer may fail on it too.")
        yield Problem(page.number, sentence("too_much", said))
    elif page.cut_short:
        said = gettext_noop("Part of the page is damaged and could not be read.")
        yield Problem(page.number, sentence("damaged_page", said))


def _too_wide(page: PageLook) -> bool:
    short, long = sorted((page.width_mm, page.height_mm))
    return long > LARGEST_HOME_SHEET_MM and short > ROLL_MM + 1


def _sides(page: PageLook) -> dict[str, str]:
    return {"width": f"{page.width_mm:.1f}", "height": f"{page.height_mm:.1f}"}


def _fonts(found: Inspection) -> Iterator[Problem]:
    for font in found.fonts:
        if font.page and not font.embedded:
            said = gettext_noop("The font %(name)s is not in the file: words may print in another one, or not at all.")
            yield Problem(font.page, sentence("font", said, name=font.name))


def _squares(found: Inspection, wanted: bool) -> Iterator[Problem]:
    if wanted and not found.squares and found.complete:
        said = gettext_noop("No test square was found in the drawing.")
        yield Problem(None, sentence("no_square", said))
    for square in found.squares:
        yield from _square(square)


def _square(square: SquareLook) -> Iterator[Problem]:
    allowed = max(DRAWN_MM, DRAWN_SHARE * square.nominal_mm)
    across, down = square.width_mm, square.height_mm
    told = {
        "width": f"{across:.1f}",
        "height": f"{down:.1f}",
        "meant": side_words(square.nominal_mm),
        "percent": f"{100 * (across + down) / 2 / square.nominal_mm:.1f}",
    }
    if abs(across - down) > 2 * allowed:
        said = gettext_noop(
            "The test square is drawn %(width)s mm across and %(height)s mm down, where both should be %(meant)s."
        )
        yield Problem(square.page, sentence("not_square", said, **told))
    elif max(abs(across - square.nominal_mm), abs(down - square.nominal_mm)) > allowed:
        said = gettext_noop(
            "The test square is drawn %(width)s × %(height)s mm where %(meant)s is meant: that is %(percent)s %%."
        )
        yield Problem(square.page, sentence("square_off", said, **told))


def side_words(side_mm: float) -> str:
    """ "10 cm" or "4 in": a side in the unit in which it is a round number."""
    if abs(side_mm / INCH - round(side_mm / INCH)) < 0.001:
        return f"{side_mm / INCH:.0f} in"
    return f"{side_mm / 10:g} cm"


def _layers(found: Inspection) -> Iterator[Problem]:
    if found.complete:
        for name in found.layers:
            if name not in found.drawn:
                said = gettext_noop("Nothing is drawn on the layer “%(name)s”.")
                yield Problem(None, sentence("empty_layer", said, name=name))
    for name, times in found.repeated:
        said = gettext_noop("%(count)s layers are called “%(name)s”.")
        yield Problem(None, sentence("layer_twice", said, name=name, count=times))


def _editions(pages: Sequence[PageLook]) -> Iterator[Problem]:
    """Pages whose version or date differs from that of most pages, or is missing where nearly all have one."""
    versions = [page.version for page in pages]
    yield from _odd(
        pages,
        versions,
        gettext_noop("This page says version %(here)s, the others say %(usual)s."),
        gettext_noop("This page does not say its version, the others say %(usual)s."),
    )
    yield from _odd(
        pages,
        [page.date for page in pages],
        gettext_noop("This page is dated %(here)s, the others %(usual)s."),
        gettext_noop("This page has no date, the others say %(usual)s."),
    )


def _odd(pages: Sequence[PageLook], said: Sequence[str], differs: str, lacks: str) -> Iterator[Problem]:
    told = Counter(one for one in said if one)
    if not told or len(pages) < 2:
        return
    usual, count = told.most_common(1)[0]
    if count < 2 and len(told) < 2:
        return
    for page, here in zip(pages, said, strict=True):
        if here and here != usual:
            yield Problem(page.number, sentence("edition_differs", differs, here=here, usual=usual))
        elif not here and 4 * told.total() >= 3 * len(pages):
            yield Problem(page.number, sentence("edition_missing", lacks, usual=usual))
