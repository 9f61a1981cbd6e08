"""The cells of an uploaded XLSX or CSV file, read without trusting it.

The content decides the kind, never the name. A workbook is unfolded here under a limit and handed on as plain
bytes, because a reader believes what a compressed file says of its own size. A cell far away would make the
reader lay out every cell up to it, so references are looked at first. Formulas are never worked out: the
value that the spreadsheet last saved is read, and where none was saved the formula itself as a text.
"""

from __future__ import annotations

import io
import re
import zipfile
from datetime import date, datetime, time, timedelta
from decimal import Decimal
from typing import TYPE_CHECKING

from measurements.chart_text import (
    LIMITS,
    ChartError,
    ChartLimits,
    Grid,
    chart_error,
    decoded,
    text_grid,
    too_large,
    trimmed,
)
from measurements.sentences import gettext_noop

if TYPE_CHECKING:
    from python_calamine import CalamineSheet

_ZIP = b"PK\x03\x04"
_OLD_WORKBOOK = b"\xd0\xcf\x11\xe0"
_OTHER_KINDS = (b"%PDF", b"\x89PNG", b"\xff\xd8\xff", b"{\\rtf")
_SHEET_PART = re.compile(r"xl/worksheets/.*\.xml$", re.IGNORECASE)
_REFERENCE = re.compile(rb"""<(?:\w+:)?c\b[^>]*?\br\s*=\s*["']\s*([A-Za-z]{1,9})(\d{1,9})""")
_CELL_BEGINS = re.compile(rb"<(?=(?:\w+:)?c[\s>])")
_CELL_HEAD = re.compile(rb"""((?:\w+:)?)c\b(?:[^>"']|"[^"]*"|'[^']*')*(?<!/)>""")
_CELL_ENDS = re.compile(rb"</(?:\w+:)?c\s*>")
_FORMULA = re.compile(rb"<(?:\w+:)?f(?:\s[^<>]*)?>([^<]*)<|<(?:\w+:)?f(?:\s[^<>]*)?/>")
_SAVED = re.compile(rb"<(?:\w+:)?v(?:\s[^<>]*)?>[^<]")
_KIND = re.compile(rb"""\st\s*=\s*(?:"[^"]*"|'[^']*')""")
_FAULT = re.compile(rb"""\st\s*=\s*["']e["']""")
_ENCODING = re.compile(rb"""^\s*<\?xml[^>]*encoding\s*=\s*["']([^"']*)["']""")
# A workbook has a few dozen parts; thousands of tiny ones are an attack.
_MOST_PARTS = 500
# The chart stands on one of the first sheets.
_MOST_SHEETS = 20


def file_grids(data: bytes, limits: ChartLimits = LIMITS) -> tuple[Grid, ...]:
    """The cells of each filled sheet of an XLSX or CSV file. Raises ChartError for anything else."""
    if len(data) > limits.most_bytes:
        raise too_large()
    if data.startswith(_ZIP):
        return _workbook_grids(data, limits)
    if data.startswith((_OLD_WORKBOOK, *_OTHER_KINDS)):
        raise _not_a_table()
    grid = text_grid(decoded(data), limits)
    return (grid,) if grid else ()


def _workbook_grids(data: bytes, limits: ChartLimits) -> tuple[Grid, ...]:
    from python_calamine import CalamineWorkbook

    try:
        with CalamineWorkbook.from_filelike(io.BytesIO(_unfolded(data, limits))) as book:
            sheets = (book.get_sheet_by_name(name) for name in book.sheet_names[:_MOST_SHEETS])
            grids = [_sheet_grid(sheet, limits) for sheet in sheets]
    except ChartError:
        raise
    # A damaged file fails in the archive, its compression or its XML, each with errors of its own.
    except Exception as error:
        raise _not_a_table() from error
    return tuple(grid for grid in grids if grid)


def _sheet_grid(sheet: CalamineSheet, limits: ChartLimits) -> Grid:
    if sheet.total_height * sheet.total_width > 20 * limits.most_cells:
        raise too_large()
    return trimmed(([_typed(value) for value in row] for row in sheet.to_python()), limits)


def _unfolded(data: bytes, limits: ChartLimits) -> bytes:
    """The same workbook without compression, every part no longer than it claimed."""
    plain = io.BytesIO()
    with zipfile.ZipFile(io.BytesIO(data)) as folded, zipfile.ZipFile(plain, "w", zipfile.ZIP_STORED) as stored:
        parts = folded.infolist()
        if len(parts) > _MOST_PARTS or sum(part.file_size for part in parts) > limits.most_unpacked:
            raise too_large()
        names = {part.filename for part in parts}
        if not any(name.lower() == "xl/workbook.xml" for name in names) or len(names) < len(parts):
            raise _not_a_table()
        for part in parts:
            if part.filename.lower().endswith((".xml", ".rels")):
                content = folded.read(part)
                if _SHEET_PART.search(part.filename):
                    _look_at_sheet(content, limits)
                    content = _formulas_as_text(content, limits)
                stored.writestr(part.filename, content)
    return plain.getvalue()


def _look_at_sheet(xml: bytes, limits: ChartLimits) -> None:
    """Refuse a sheet whose cells reach so far that laying it out would take all memory."""
    encoding = _ENCODING.match(xml.removeprefix(b"\xef\xbb\xbf"))
    if b"\0" in xml[:4096] or (encoding and encoding[1].lower() not in {b"utf-8", b"us-ascii", b"iso-8859-1"}):
        raise _not_a_table()
    rows = columns = 1
    for letters, digits in _REFERENCE.findall(xml):
        rows, columns = max(rows, int(digits)), max(columns, _column(letters))
    if rows * columns > 20 * limits.most_cells:
        raise too_large()


def _formulas_as_text(xml: bytes, limits: ChartLimits) -> bytes:
    """The sheet with a formula that has no saved result as the text it is, `=B2+4`, and a fault as its `#REF!`.

    The reader would show both as empty cells. The sheet is cut at its cells, so that the work grows with its length.
    """
    if not (_FORMULA.search(xml) or _FAULT.search(xml)):
        return xml
    before, *cells = _CELL_BEGINS.split(xml, limits.most_cells + 1)
    if len(cells) > limits.most_cells:
        raise too_large()
    return b"<".join([before, *map(_formula_as_text, cells)])


def _formula_as_text(cell: bytes) -> bytes:
    head, end = _CELL_HEAD.match(cell), _CELL_ENDS.search(cell)
    if not head or not end:
        return cell
    inside = cell[head.end() : end.start()]
    if _SAVED.search(inside):
        return _FAULT.sub(b' t="str"', head[0]) + cell[head.end() :]
    formula = _FORMULA.search(inside)
    if not formula:
        return cell
    opening = _KIND.sub(b"", head[0])[:-1] + b' t="inlineStr">'
    text = b"<%bis><%bt>=%b</%bt></%bis>" % (head[1], head[1], formula[1] or b"", head[1], head[1])
    return opening + text + cell[end.start() :]


def _column(letters: bytes) -> int:
    number = 0
    for letter in letters.upper():
        number = number * 26 + letter - 64
    return number


def _typed(value: object) -> str:
    """A cell as a person would have typed it: size 36.0 is 36, a day stays a day."""
    if isinstance(value, bool):
        return str(value).upper()
    if isinstance(value, float):
        # Fifteen digits are what a spreadsheet shows; the rest is the machine's own dust.
        return f"{Decimal(f'{value:.15g}').normalize() + 0:f}" if abs(value) < 1e15 else repr(value)
    if isinstance(value, datetime | date | time):
        return value.isoformat()[:10]
    return str(value) if not isinstance(value, timedelta) else ""


def _not_a_table() -> ChartError:
    said = gettext_noop("This file is no XLSX or CSV table. Save it as one of them, or paste the chart.")
    return chart_error("not_a_table", said)
