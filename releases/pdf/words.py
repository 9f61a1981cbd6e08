"""Letters of a page joined to lines of words, in reading order along each line."""

from __future__ import annotations

import math
import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from releases.pdf.geometry import Box
from releases.pdf.marks import Drawing, Letter

# Letters on one baseline within this share of their size are one line; a gap beyond the second share is a space,
# beyond the third the end of the line (common practice, no source).
_SAME_LINE, _SPACE, _END = 0.3, 0.15, 2.0
# "version 0.9", "v1.0.1", "ver. 2"
_VERSION = re.compile(r"\b(?:version|vers?\.?|v\.?)\s*(\d{1,3}(?:\.\d{1,3}){0,3})\b", re.IGNORECASE)
_MONTH = (
    r"(?:jan(?:uary)?|feb(?:ruary)?|mar(?:ch)?|apr(?:il)?|may|june?|july?|aug(?:ust)?|sep(?:t(?:ember)?)?|"
    r"oct(?:ober)?|nov(?:ember)?|dec(?:ember)?)\.?"
)
_DATE = re.compile(
    rf"\b(?:(?:19|20)\d\d-\d\d(?:-\d\d)?|\d{{1,2}}[./]\d{{1,2}}[./](?:20)?\d\d|(?:\d{{1,2}}\s+)?{_MONTH},?\s+20\d\d"
    rf"|{_MONTH}\s+\d{{1,2}},?\s+20\d\d)\b",
    re.IGNORECASE,
)


@dataclass(frozen=True)
class Line:
    """Words on one baseline and the box around them."""

    text: str
    box: Box
    layer: str = ""


def lines_of(letters: Iterable[Letter]) -> list[Line]:
    """The lines, from top to bottom as far as they stand upright."""
    turned: dict[int, list[Letter]] = {}
    for letter in letters:
        turned.setdefault(letter.turn, []).append(letter)
    found = [line for turn, group in turned.items() for line in _along(group, math.radians(turn))]
    return sorted(found, key=lambda line: (-line.box[3], line.box[0]))


def page_lines(drawing: Drawing) -> list[Line]:
    """The lines that can be seen on a page; joined once."""
    if drawing.lines is None:
        drawing.lines = lines_of(letter for letter in drawing.letters if letter.seen)
    return drawing.lines


def _along(letters: Sequence[Letter], turn: float) -> Iterable[Line]:
    """The lines of letters that all run one way: sorted by how far across and then how far along they stand."""
    cos, sin = math.cos(turn), math.sin(turn)
    placed = sorted(
        ((-letter.x * sin + letter.y * cos, letter.x * cos + letter.y * sin, letter) for letter in letters),
        key=lambda one: (-one[0], one[1]),
    )
    rows: list[list[tuple[float, float, Letter]]] = []
    for one in placed:
        if rows and abs(rows[-1][0][0] - one[0]) <= _SAME_LINE * max(one[2].size_mm, rows[-1][0][2].size_mm, 0.5):
            rows[-1].append(one)
        else:
            rows.append([one])
    for row in rows:
        yield from _split(sorted(row, key=lambda one: one[1]))


def _split(row: Sequence[tuple[float, float, Letter]]) -> Iterable[Line]:
    words, held, end = "", list[Letter](), 0.0
    for _across, along, letter in row:
        size = max(letter.size_mm, 0.5)
        if held and along - end > _END * size:
            yield _line(words, held)
            words, held = "", []
        elif held and along - end > _SPACE * size:
            words += " "
        words += letter.text
        held.append(letter)
        end = along + letter.advance_mm
    if held:
        yield _line(words, held)


def _line(words: str, letters: Sequence[Letter]) -> Line:
    xs, ys = [letter.x for letter in letters], [letter.y for letter in letters]
    size = max(letter.size_mm for letter in letters)
    return Line(words, (min(xs) - size, min(ys) - size, max(xs) + size, max(ys) + size), letters[0].layer)


def version_in(lines: Iterable[Line]) -> str:
    """The version that a page says it belongs to, or nothing."""
    return next((found[1] for line in lines if (found := _VERSION.search(line.text))), "")


def date_in(lines: Iterable[Line]) -> str:
    return next((found[0] for line in lines if (found := _DATE.search(line.text))), "")


def without_edition(text: str) -> str:
    """The words of a line without its version and date: what stays when only the edition is new."""
    return _DATE.sub("\u2022", _VERSION.sub("\u2022", text))
