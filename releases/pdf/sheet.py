"""A page's size as it is seen, and the map from its own units to millimetres.

The visible box is the crop box as far as it lies on the media box; UserUnit multiplies, Rotate turns clockwise.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from releases.pdf.geometry import Matrix, times
from releases.pdf.kinds import has_keys

POINT_MM = 25.4 / 72
# What readers take when a page names no size: Letter.
LETTER_POINTS = (0.0, 0.0, 612.0, 792.0)
_MOST_PARENTS = 50


@dataclass(frozen=True)
class Sheet:
    """Width and height as seen in mm, how it is turned in degrees, and the map. `said` is False without a size."""

    width_mm: float
    height_mm: float
    rotation: int
    matrix: Matrix
    said: bool = True


def sheet_of(page: Any) -> Sheet:
    """The sheet of a page dictionary."""
    media = _box(inherited(page, "/MediaBox"))
    crop = _box(inherited(page, "/CropBox")) or media
    said = media is not None
    left, bottom, right, top = media or LETTER_POINTS
    if crop:
        shared = max(left, crop[0]), max(bottom, crop[1]), min(right, crop[2]), min(top, crop[3])
        if shared[2] > shared[0] and shared[3] > shared[1]:
            left, bottom, right, top = shared
    unit = _number(page.get("/UserUnit"), 1.0)
    unit = unit if 0 < unit <= 75_000 else 1.0
    rotation = round(_number(inherited(page, "/Rotate"), 0.0) / 90) * 90 % 360
    scale = unit * POINT_MM
    width, height = (right - left) * scale, (top - bottom) * scale
    upright: Matrix = (scale, 0.0, 0.0, scale, -left * scale, -bottom * scale)
    turned: dict[int, Matrix] = {
        0: (1, 0, 0, 1, 0, 0),
        90: (0, -1, 1, 0, 0, width),
        180: (-1, 0, 0, -1, width, height),
        270: (0, 1, -1, 0, height, 0),
    }
    if rotation % 180:
        width, height = height, width
    return Sheet(width, height, rotation, times(upright, turned[rotation]), said)


def inherited(page: Any, key: str) -> Any:
    """A page's own value or that of the nearest node above it."""
    node = page
    for _ in range(_MOST_PARENTS):
        if not has_keys(node):
            return None
        if (value := node.get(key)) is not None:
            return value
        node = node.get("/Parent")
    return None


def _box(values: Any) -> tuple[float, float, float, float] | None:
    """Left, bottom, right, top, whichever corners the file names; None for what is no box."""
    try:
        a, b, c, d = (float(value) for value in values)
    except (TypeError, ValueError):
        return None
    box = min(a, c), min(b, d), max(a, c), max(b, d)
    return box if box[2] - box[0] > 0 and box[3] - box[1] > 0 and max(map(abs, box)) < 1e9 else None


def _number(value: Any, otherwise: float) -> float:
    try:
        return float(value)
    except (TypeError, ValueError):
        return otherwise
