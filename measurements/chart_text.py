"""A pasted or uploaded text as a grid of cells: separated by tabs, semicolons, commas or wide gaps."""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from measurements.sentences import Sentence, gettext_noop, sentence

Grid = tuple[tuple[str, ...], ...]
_GUARDED = re.compile(r"'+[=+@-]")


@dataclass(frozen=True)
class ChartLimits:
    """How much of a chart is read. The defaults stand beside their reasons."""

    # A chart is a few kilobytes; this leaves room for a workbook with pictures.
    most_bytes: int = 5_000_000
    # An XLSX is a compressed folder: a small file can unfold to gigabytes.
    most_unpacked: int = 20_000_000
    # Published ranges reach 26 sizes; two figure types double that.
    most_sizes: int = 60
    # The standards of body measurement list about a hundred.
    most_rows: int = 200
    # A sheet with a chart and notes around it; each cell costs some microseconds.
    most_cells: int = 50_000
    # A length needs 40 characters, the name of a measurement 120.
    most_characters: int = 120


LIMITS = ChartLimits()


class ChartError(ValueError):
    """A text or file that no chart can be read from; `sentence` says why."""

    def __init__(self, why: Sentence) -> None:
        super().__init__(str(why))
        self.sentence = why


def chart_error(code: str, template: str, **values: str | int) -> ChartError:
    return ChartError(sentence(code, template, **values))


def too_large() -> ChartError:
    return chart_error(
        "too_large", gettext_noop("This is far more than a size chart. Copy the chart alone into an empty sheet.")
    )


def text_grid(text: str, limits: ChartLimits = LIMITS) -> Grid:
    """The cells of a text. Raises ChartError when it is longer than the limits allow."""
    if len(text) > limits.most_bytes:
        raise too_large()
    lines = text.replace("\0", "").replace("\r\n", "\n").replace("\r", "\n").strip("\n")
    separator = _separator(lines)
    if separator is None:
        return trimmed((re.split(r"\t|\s{2,}", line.strip()) for line in lines.split("\n")), limits)
    # An odd quote is an inch mark at the head of a cell, not the beginning of quoted text.
    try:
        source = io.StringIO(lines, newline="")
        if lines.count('"') % 2:
            rows = list(csv.reader(source, delimiter=separator, quoting=csv.QUOTE_NONE))
        else:
            rows = list(csv.reader(source, delimiter=separator))
    except csv.Error as error:
        raise too_large() from error
    return trimmed((list(map(_unguarded, row)) for row in rows), limits)


def _separator(lines: str) -> str | None:
    """The first of tab, semicolon and comma that at least half of the lines hold; None for wide gaps."""
    filled = [line for line in lines.split("\n") if line.strip()]
    for mark in ("\t", ";"):
        if 2 * sum(mark in line for line in filled) >= max(1, len(filled)):
            return mark
    wide = sum(bool(re.search(r"\S\s{2,}\S", line)) for line in filled)
    commas = sum("," in line for line in filled)
    return "," if commas and commas >= wide else None


def decoded(data: bytes) -> str:
    """The text of a CSV file: UTF-8 or UTF-16 by their marks, else UTF-8, else the Western Windows table."""
    if data.startswith((b"\xff\xfe", b"\xfe\xff")):
        return data.decode("utf-16", errors="replace")
    try:
        return data.decode("utf-8-sig")
    except UnicodeDecodeError:
        return data.decode("cp1252", errors="replace")


def trimmed(rows: Iterable[Sequence[str]], limits: ChartLimits) -> Grid:
    """Cells with single spaces, without empty rows and columns, every row as wide as the widest."""
    filled: list[list[str]] = []
    cells = 0
    for row in rows:
        cells += len(row)
        if cells > limits.most_cells:
            raise too_large()
        texts = [tidy(cell, limits.most_characters) for cell in row]
        if any(texts):
            filled.append(texts)
    width = max(map(len, filled), default=0)
    if width * len(filled) > limits.most_cells:
        raise too_large()
    used = [i for i in range(width) if any(i < len(row) and row[i] for row in filled)]
    return tuple(tuple(row[i] if i < len(row) else "" for i in used) for row in filled)


def _unguarded(cell: str) -> str:
    """A text without the apostrophe that keeps a spreadsheet from working it out."""
    return cell[1:] if _GUARDED.match(cell) else cell


def tidy(text: str, most: int) -> str:
    """Single spaces, and no longer than a cell may be."""
    text = " ".join(text.split())
    return text if len(text) <= most else text[: most - 1] + "…"
