"""A chart as a CSV file: the exact lengths, in one unit, safe to open in a spreadsheet.

In centimetres every cell is exact, since 1/64 in is a whole number of hundred-thousandths of a millimetre. In
inches a cell is a fraction where a tape has it (to 1/64), else a decimal number with six places.
"""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Iterable
from decimal import Decimal
from fractions import Fraction

from measurements.charts import ChartTable
from measurements.length_display import MM_PER_INCH, inch_parts, plain

# A spreadsheet works out a text that begins so; an apostrophe makes it a text again, one more where some are there.
_FORMULA = re.compile(r"'*[=+@\t\r\n-]")
_FINEST = 64


def chart_csv(table: ChartTable, unit: str) -> str:
    """The chart with sizes across, in "cm" or "in"; the corner names the unit, so that it reads back as it is."""
    lines = ((line.label, ["" if mm is None else exact(mm, unit) for mm in line.mm]) for line in table.lines)
    return rows_csv(unit, table.sizes, lines)


def rows_csv(unit: str, sizes: Iterable[str], rows: Iterable[tuple[str, Iterable[str]]]) -> str:
    """Sizes across, a heading and its texts a row; the corner names the unit."""
    out = io.StringIO(newline="")
    writer = csv.writer(out, lineterminator="\r\n")
    writer.writerow([f"Measurement ({unit})", *map(_harmless, sizes)])
    for heading, cells in rows:
        writer.writerow([_harmless(heading), *cells])
    return out.getvalue()


def exact(mm: Decimal, unit: str) -> str:
    """A length without rounding to a tape: "87.63" cm, "34 1/2" or "34.055118" in."""
    if unit == "cm":
        return plain(mm / 10)
    inches = Fraction(mm) / Fraction(MM_PER_INCH)
    if (inches * _FINEST).denominator == 1:
        return str(inch_parts(mm, _FINEST))
    return plain(Decimal(inches.numerator * 10**6 // inches.denominator).scaleb(-6))


def _harmless(text: str) -> str:
    return f"'{text}" if _FORMULA.match(text) else text
