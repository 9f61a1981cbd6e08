"""PDFs that the tests draw: pages in millimetres, tiled patterns with layers, and faults planted in them."""

from __future__ import annotations

import io
import math
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import Any

import pikepdf

POINTS_A_MM = 72 / 25.4
A4_MM = (210.0, 297.0)
SIZES = ("10", "12", "14")

Content = Callable[[pikepdf.Pdf], Any]


def in_mm(drawing: str, unit: float = 1.0) -> str:
    return f"q {POINTS_A_MM / unit:.6f} 0 0 {POINTS_A_MM / unit:.6f} 0 0 cm 0.3 w {drawing} Q"


def words(x: float, y: float, text: str, size: float = 4) -> str:
    return f"BT /F1 {size} Tf {x} {y} Td ({text}) Tj ET"


def pdf_of(
    *pages: str,
    size_mm: tuple[float, float] = A4_MM,
    layers: Sequence[str] = (),
    forms: dict[str, Content] | None = None,
    finish: Callable[[pikepdf.Pdf], None] | None = None,
    unit: float = 1.0,
    rotate: int = 0,
    **save: Any,
) -> bytes:
    """A PDF with one page for each content. Layer i is /Li, the font /F1, a form its key."""
    with pikepdf.new() as pdf:
        font = pdf.make_indirect(
            pikepdf.Dictionary(Type=pikepdf.Name.Font, Subtype=pikepdf.Name.Type1, BaseFont=pikepdf.Name.Helvetica)
        )
        groups = [pdf.make_indirect(pikepdf.Dictionary(Type=pikepdf.Name.OCG, Name=name)) for name in layers]
        if groups:
            pdf.Root.OCProperties = pikepdf.Dictionary(OCGs=pikepdf.Array(groups), D=pikepdf.Dictionary())
        things = pikepdf.Dictionary({key: make(pdf) for key, make in (forms or {}).items()})
        for content in pages:
            page = pdf.add_blank_page(page_size=tuple(side * POINTS_A_MM / unit for side in size_mm))
            page.Resources = pikepdf.Dictionary(
                Font=pikepdf.Dictionary(F1=font),
                Properties=pikepdf.Dictionary({f"/L{i}": group for i, group in enumerate(groups)}),
                XObject=things,
            )
            page.Contents = pdf.make_stream(content.encode())
            if unit != 1:
                page.obj.UserUnit = unit
            if rotate:
                page.obj.Rotate = rotate
        if finish:
            finish(pdf)
        out = io.BytesIO()
        pdf.save(out, **save)
    return out.getvalue()


def saved(folder: Path, content: bytes, name: str = "some.pdf") -> Path:
    path = folder / name
    path.write_bytes(content)
    return path


def tiled(
    *,
    columns: int = 3,
    rows: int = 2,
    version: str = "0.9",
    shift: tuple[float, float] = (0.0, 0.0),
    longer: dict[str, float] | None = None,
    put_in: int = 0,
    noise: float = 0.0,
    turned_round: bool = False,
    **save: Any,
) -> bytes:
    """A tiled pattern: a curved outline a size, each on its layer, over pages that show 190 x 277 mm of it each.

    `longer` moves the hem of a size down, `put_in` inserts a page with a pocket at that number.
    """
    outlines = [_outline(i, (longer or {}).get(size, 0.0), noise) for i, size in enumerate(SIZES)]
    if turned_round:
        outlines = [[*reversed(outline)] for outline in outlines]
    total = columns * rows + bool(put_in)
    pages: list[str] = []
    for row in range(rows):
        for column in range(columns):
            if len(pages) + 1 == put_in:
                pages.append(
                    in_mm(f"40 60 90 130 re S {words(40, 200, 'Pocket, cut 2')} {_foot(len(pages) + 1, total)}")
                )
            x, y = 10 - 190 * column + shift[0], 10 - 277 * row + shift[1]
            drawn = " ".join(_on_layer(i, outline) for i, outline in _order(outlines, turned_round))
            pages.append(
                in_mm(
                    f"10 10 190 277 re S {words(12, 280, f'Pebblewick, version {version}')} "
                    f"{words(20, 20, f'{chr(65 + row)}{column + 1}', 8)} {_foot(len(pages) + 1, total)} "
                    f"q 10 10 190 277 re W n 1 0 0 1 {x} {y} cm {drawn} {_marks()} Q"
                )
            )
    layers = [f"Size {size}" for size in SIZES]
    return pdf_of(*pages, layers=layers, **save)


def _order(outlines: list[list[tuple[float, float]]], backwards: bool) -> list[tuple[int, list[tuple[float, float]]]]:
    numbered = list(enumerate(outlines))
    return numbered[::-1] if backwards else numbered


def _foot(number: int, total: int) -> str:
    return words(150, 6, f"Page {number} of {total}", 3)


def _marks() -> str:
    return " ".join(words(30 + 61 * i, 40 + 29 * i % 500, f"grain {i}") for i in range(8))


def _outline(i: int, longer: float, noise: float) -> list[tuple[float, float]]:
    points = []
    for k in range(72):
        turn = math.tau * k / 72
        x = 285 + (230 + 6 * i) * (1 + 0.1 * math.sin(5 * turn)) * math.cos(turn)
        y = 277 + (220 + 5 * i) * math.sin(turn)
        hem = longer if y < 150 else 0.0
        points.append((x + noise * math.sin(7 * k), y - hem + noise * math.cos(11 * k)))
    return points


def _on_layer(i: int, points: list[tuple[float, float]]) -> str:
    first, *others = points
    path = f"{first[0]:.4f} {first[1]:.4f} m " + " ".join(f"{x:.4f} {y:.4f} l" for x, y in others)
    return f"/OC /L{i} BDC {path} s EMC"
