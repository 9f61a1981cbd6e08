"""Looking into a tiled pattern of sixty pages, and comparing it with the next version of itself."""

from __future__ import annotations

import math
import tempfile
import time
from pathlib import Path

from lib.bench_figures import Figure

COLUMNS, ROWS, SIZES = 6, 10, 10
POINTS_A_MM = 72 / 25.4
# Somebody waits for the pages to print again: on one core.
MOST_SECONDS = 20.0


def tiled(path: Path, version: str, longer: float, corners: int) -> Path:
    """A nest of ten curved outlines, each on its layer, drawn whole on every tile and cut there."""
    import pikepdf

    with pikepdf.new() as pdf:
        font = pdf.make_indirect(
            pikepdf.Dictionary(Type=pikepdf.Name.Font, Subtype=pikepdf.Name.Type1, BaseFont=pikepdf.Name.Helvetica)
        )
        layers = [
            pdf.make_indirect(pikepdf.Dictionary(Type=pikepdf.Name.OCG, Name=f"Size {6 + 2 * i}")) for i in range(SIZES)
        ]
        pdf.Root.OCProperties = pikepdf.Dictionary(OCGs=pikepdf.Array(layers), D=pikepdf.Dictionary())
        drawn = " ".join(_outline(i, longer if i == 3 else 0.0, corners) for i in range(SIZES))
        for tile in range(COLUMNS * ROWS):
            x, y = 10 - 190 * (tile % COLUMNS), 10 - 277 * (tile // COLUMNS)
            page = pdf.add_blank_page(page_size=(210 * POINTS_A_MM, 297 * POINTS_A_MM))
            page.Resources = pikepdf.Dictionary(
                Font=pikepdf.Dictionary(F1=font),
                Properties=pikepdf.Dictionary({f"/L{i}": layer for i, layer in enumerate(layers)}),
            )
            page.Contents = pdf.make_stream(
                f"q {POINTS_A_MM:.6f} 0 0 {POINTS_A_MM:.6f} 0 0 cm 0.3 w 10 10 190 277 re S "
                f"BT /F1 4 Tf 12 280 Td (Pebblewick, version {version}, tile {tile + 1}) Tj ET "
                f"10 10 190 277 re W n 1 0 0 1 {x} {y} cm {drawn} Q".encode()
            )
        pdf.save(path)
    return path


def _outline(i: int, longer: float, corners: int) -> str:
    points = []
    for k in range(corners):
        turn = math.tau * k / corners
        round_ = 1 + 0.1 * math.sin(5 * turn)
        y = 1385 + (1150 + 8 * i) * round_ * math.sin(turn)
        points.append((570 + (450 + 6 * i) * round_ * math.cos(turn), y - (longer if y < 600 else 0.0)))
    path = " l ".join(f"{x:.3f} {y:.3f}" for x, y in points[1:])
    return f"/OC /L{i} BDC {points[0][0]:.3f} {points[0][1]:.3f} m {path} l s EMC"


def files(*, full: bool) -> list[Figure]:
    """CPU of looking into sixty tiles and of comparing two files of them."""
    from releases.pdf.compare import compare_files
    from releases.pdf.inspection import look

    corners = 1500 if full else 400
    came = f"{COLUMNS * ROWS} tiles, {SIZES} sizes of {corners} corners on each"
    with tempfile.TemporaryDirectory() as folder:
        old = tiled(Path(folder) / "old.pdf", "0.9", 0.0, corners)
        new = tiled(Path(folder) / "new.pdf", "1.0", 15.0, corners)
        begun = time.process_time()
        look(old)
        looked = time.process_time()
        found = compare_files(old, new)["comparison"]
        compared = time.process_time()
    again = f"{came}; {len(found['reprint'])} to print again"
    return [
        Figure("CPU of looking into a file", looked - begun, "s", came=came),
        Figure("CPU of comparing two files", compared - looked, "s", MOST_SECONDS, again),
    ]
