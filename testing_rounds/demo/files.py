"""The demo's pattern files: small true PDFs with a test square, page marks and a nest of outlines, a layer a size."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from io import BytesIO

import pikepdf

from testing_rounds.demo.lettering import embedded_font
from testing_rounds.demo.scenario import BASE, SIZES

POINTS_A_MM = 72 / 25.4
SQUARE_MM = 100.0
APART_MM = 1.5


@dataclass(frozen=True)
class Sheet:
    """A file: its page in mm, how many pages, and the scale at which everything on it was drawn."""

    title: str
    width: float
    height: float
    pages: int
    scale: float = 1.0


def pattern_pdf(sheet: Sheet, version: str, sizes: Sequence[str] = SIZES) -> bytes:
    """The file as bytes, the same every time: no date and no random id in it."""
    pdf = pikepdf.new()
    font = embedded_font(pdf)
    layers = [pdf.make_indirect(pikepdf.Dictionary(Type=pikepdf.Name.OCG, Name=f"Size {size}")) for size in sizes]
    pdf.Root.OCProperties = pikepdf.Dictionary(OCGs=layers, D=pikepdf.Dictionary(Order=layers, ON=layers))
    named = pikepdf.Dictionary({f"/L{i}": layer for i, layer in enumerate(layers)})
    for number in range(1, sheet.pages + 1):
        page = pdf.add_blank_page(page_size=(sheet.width * POINTS_A_MM, sheet.height * POINTS_A_MM))
        page.Resources = pikepdf.Dictionary(Font=pikepdf.Dictionary(F1=font), Properties=named)
        page.Contents = pdf.make_stream("\n".join(_drawn(sheet, version, number, sizes)).encode())
    out = BytesIO()
    pdf.save(out, static_id=True)
    return out.getvalue()


def _drawn(sheet: Sheet, version: str, number: int, sizes: Sequence[str]) -> Iterator[str]:
    """One page in millimetres from the lower left corner."""
    unit = POINTS_A_MM * sheet.scale
    yield f"q {unit:.6f} 0 0 {unit:.6f} 0 0 cm 0.3 w"
    yield f"BT /F1 4 Tf 15 {sheet.height - 14:.1f} Td ({sheet.title}, version {version}, page {number}) Tj ET"
    if number == 1:
        yield f"15 {sheet.height - 125:.1f} {SQUARE_MM} {SQUARE_MM} re S"
        yield f"BT /F1 4 Tf 18 {sheet.height - 32:.1f} Td (Test square: 10 cm by 10 cm. Measure before cutting.) Tj ET"
    else:
        yield f"10 10 {sheet.width - 20:.1f} {sheet.height - 30:.1f} re S"
    yield from _nest(sheet, sizes)
    yield "Q"


def _nest(sheet: Sheet, sizes: Sequence[str]) -> Iterator[str]:
    """An outline a size on its layer, each a little outside the next smaller and named where it passes the shoulder."""
    width, height = sheet.width * 0.5, sheet.height * 0.34
    for i, size in enumerate(sizes):
        grow = APART_MM * i
        left, low, right, high = 20.0, 20.0, 20 + width + grow, 20 + height + grow
        yield f"/OC /L{i} BDC {0.5 if size == BASE else 0.3} w"
        yield f"{left:.1f} {low:.1f} m {right:.1f} {low:.1f} l {right - 6:.1f} {high * 0.7:.1f} l"
        yield f"{right - 14:.1f} {high * 0.85:.1f} {right - 16:.1f} {high:.1f} {right - 22:.1f} {high:.1f} c"
        yield f"{left + 18:.1f} {high:.1f} l {left + 14:.1f} {high - 9:.1f}"
        yield f"{left + 6:.1f} {high - 12:.1f} {left:.1f} {high - 12:.1f} c s"
        yield f"BT /F1 1.3 Tf {right - 24 - 3.2 * (i % 2):.1f} {high - 1.4:.1f} Td ({size}) Tj ET EMC"
