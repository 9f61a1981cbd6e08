"""Two files of a pattern, page by page, by what is drawn: which pages changed, came, went, and must be printed again.

`compare_files` opens strangers' files: run it in the child process (releases.pdf_child).
Method, worked example and limits: docs/algorithms/pdf-compare.md.
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Callable, Sequence
from dataclasses import asdict, dataclass
from pathlib import Path
from typing import Any

from releases.pdf.edition import Edition, Place, edition, is_everywhere
from releases.pdf.geometry import Point
from releases.pdf.inspection import opened, pages_of
from releases.pdf.marks import Drawing
from releases.pdf.matching import TOLERANCE_MM, Difference, difference, offset
from releases.pdf.overlay import picture
from releases.pdf.paint import Painter
from releases.pdf.pairing import features, paired
from releases.pdf.parts import Budget

# Changed when files should be compared anew.
METHOD = 2
# A moved origin shifts this share of what can be found again on a page, and this share of the pages that differ, alike.
_SHARE_OF_PAGE, _SHARE_OF_PAGES = 0.5, 0.6
_ALIKE_MM = 0.3
_MOST_PICTURES = 200
_MOST_PICTURE_BYTES = 40_000_000


@dataclass(frozen=True)
class ChangedPage:
    """A page of both files that differs; `layers` names where, "" standing for what lies on no layer."""

    old: int
    new: int
    layers: tuple[str, ...]


@dataclass(frozen=True)
class Reprint:
    """A page of the new file to print again, and the layers that ask for it ("": whatever size is printed)."""

    page: int
    layers: tuple[str, ...]


@dataclass(frozen=True)
class Comparison:
    """Page numbers count from 1. `moved_mm` is the shift of a moved origin, right and up; None where it stayed."""

    changed: tuple[ChangedPage, ...]
    added: tuple[int, ...]
    removed: tuple[int, ...]
    moved_mm: Point | None
    reprint: tuple[Reprint, ...]
    edition: tuple[tuple[str, str], ...] = ()
    old_pages: int = 0
    new_pages: int = 0
    unread: bool = False

    def as_dict(self) -> dict[str, Any]:
        return asdict(self)


def from_dict(values: dict[str, Any]) -> Comparison:
    """The comparison that as_dict wrote."""
    return Comparison(
        changed=tuple(ChangedPage(one["old"], one["new"], tuple(one["layers"])) for one in values["changed"]),
        added=tuple(values["added"]),
        removed=tuple(values["removed"]),
        moved_mm=tuple(values["moved_mm"]) if values["moved_mm"] else None,
        reprint=tuple(Reprint(one["page"], tuple(one["layers"])) for one in values["reprint"]),
        edition=tuple((old, new) for old, new in values["edition"]),
        old_pages=values["old_pages"],
        new_pages=values["new_pages"],
        unread=values["unread"],
    )


@dataclass(frozen=True)
class _Pair:
    old: int
    new: int
    found: Edition
    whole: Difference


def compare_files(
    old: Path, new: Path, most_pages: int = 2_000, told: Callable[[int, int], None] | None = None
) -> dict[str, Any]:
    """{comparison: as Comparison.as_dict, pictures: {page of the new file: SVG}}. Raises PdfError."""
    with opened(old) as first, opened(new) as second:
        sheets = pages_of(first, most_pages), pages_of(second, most_pages)
        total, done = sum(map(len, sheets)), 0
        drawn: list[list[Drawing]] = []
        for pages in sheets:
            painter = Painter(Budget())
            drawn.append([])
            for page in pages:
                drawn[-1].append(painter.page(page))
                done += 1
                if told:
                    told(done, total)
    return compare(*drawn)


def compare(old: Sequence[Drawing], new: Sequence[Drawing]) -> dict[str, Any]:
    """As compare_files, for pages that were drawn already."""
    pairs = paired([features(page) for page in old], [features(page) for page in new])
    both = [_pair(old, new, i, j) for i, j in pairs if i is not None and j is not None]
    skip = is_everywhere([pair.found for pair in both])
    differing = [pair for pair in both if (pair.found.rest if skip else pair.whole)]
    added = [j for i, j in pairs if i is None and j is not None]
    moved = _moved(differing, new, len(both)) if _little_stays(new, both) else None
    result = Comparison(
        changed=tuple(
            ChangedPage(pair.old + 1, pair.new + 1, (pair.found.rest if skip else pair.whole).layers())
            for pair in differing
        ),
        added=tuple(j + 1 for j in added),
        removed=tuple(i + 1 for i, j in pairs if j is None and i is not None),
        moved_mm=moved,
        reprint=_reprint(differing, added, new, moved, skip),
        edition=tuple(dict.fromkeys(said for pair in both for said in pair.found.said)) if skip else (),
        old_pages=len(old),
        new_pages=len(new),
        unread=any(page.cut_short for page in (*old, *new)),
    )
    pictures: dict[str, str] = {}
    left = _MOST_PICTURE_BYTES
    for pair in differing[:_MOST_PICTURES]:
        made = picture(old[pair.old], new[pair.new], pair.found.rest if skip else pair.whole)
        left -= len(made)
        if left < 0:
            break
        pictures[str(pair.new + 1)] = made
    return {"comparison": result.as_dict(), "pictures": pictures}


def _pair(old: Sequence[Drawing], new: Sequence[Drawing], i: int, j: int) -> _Pair:
    found = difference(old[i], new[j])
    places = Place(i + 1, len(old)), Place(j + 1, len(new))
    split = edition(found, old[i], new[j], *places)
    # Page numbers that moved on with their pages are never a difference; an edition is one unless it is everywhere.
    return _Pair(i, j, split, found if split.said else split.rest)


def _moved(differing: Sequence[_Pair], new: Sequence[Drawing], pairs: int) -> Point | None:
    """The shift that most pages share, where most pages differ by it."""
    shifts = [found[0] for pair in differing if (found := offset(pair.whole)) and _is_shift(*found, new[pair.new])]
    if len(shifts) < 2 or 2 * len(differing) < pairs:
        return None
    best = max(shifts, key=lambda shift: sum(math.dist(shift, other) <= _ALIKE_MM for other in shifts))
    alike = [shift for shift in shifts if math.dist(shift, best) <= _ALIKE_MM]
    if len(alike) < 2 or len(alike) < _SHARE_OF_PAGES * len(differing):
        return None
    dx, dy = (round(sum(shift[i] for shift in alike) / len(alike), 1) + 0.0 for i in (0, 1))
    return dx, dy


def _is_shift(shift: Point, share: float, page: Drawing) -> bool:
    """Whether enough agree on it: of a page shifted by half its width, only half can be found again."""
    overlap = max(0.0, 1 - abs(shift[0]) / page.width_mm) * max(0.0, 1 - abs(shift[1]) / page.height_mm)
    return math.hypot(*shift) > TOLERANCE_MM and share >= _SHARE_OF_PAGE * overlap


def _little_stays(new: Sequence[Drawing], pairs: Sequence[_Pair]) -> bool:
    """Whether, frames and whatever else most pages have apart, no more lines stayed where they were than changed."""
    times = Counter(key for pair in pairs for key in {hash(tuple(trace.points)) for trace in new[pair.new].traces})
    changed = sum(len(pair.whole.new_traces) for pair in pairs)
    own = sum(2 * times[hash(tuple(trace.points))] <= len(pairs) for pair in pairs for trace in new[pair.new].traces)
    return 2 * changed >= own


def _reprint(
    differing: Sequence[_Pair], added: Sequence[int], new: Sequence[Drawing], moved: Point | None, skip: bool
) -> tuple[Reprint, ...]:
    if moved:
        return tuple(Reprint(number, ("",)) for number in range(1, len(new) + 1))
    asked = {pair.new: (pair.found.rest if skip else pair.whole).layers() for pair in differing}
    asked.update({number: _layers_on(new[number]) for number in added})
    return tuple(Reprint(number + 1, asked[number]) for number in sorted(asked))


def _layers_on(drawing: Drawing) -> tuple[str, ...]:
    found = {trace.style.layer for trace in drawing.traces}
    found |= {letter.layer for letter in drawing.letters} | {one.layer for one in drawing.pictures}
    return tuple(sorted(found)) or ("",)
