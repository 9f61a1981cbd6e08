"""The picture that stands beside a call's address where it is shared: the words of the call and a dress form.

Drawn here, from the app's own type and form, as a PNG of 1200 x 630 pixels; nothing is fetched from anywhere.
"""

from __future__ import annotations

from collections.abc import Iterable
from functools import cache, lru_cache
from io import BytesIO
from itertools import groupby
from pathlib import Path

from PIL import Image, ImageDraw, ImageFont

from testing_rounds.drawings.curves import Point, Seam
from testing_rounds.drawings.outline import CENTRE, seams
from testing_rounds.drawings.palette import CHALK, EDGE, INK, INK_2, SHEET, SHEET_2, TABLE

WIDTH, HEIGHT = 1200, 630
FONTS = Path(__file__).resolve().parents[1] / "static" / "fonts"
LEFT, RIGHT = 72, 800
# The right half of the form from the neck to the hem, seam by seam.
OUTLINE = (
    "shoulder", "armhole_top", "armhole_low", "underarm_top", "underarm_low", "side_bust", "side_rib", "side_waist",
    "side_high_hip_top", "side_high_hip_low", "side_hip_top", "side_hip_low", "side_skirt", "side_hem",
)  # fmt: skip
ACROSS = ("bust_low", "waist_top", "high_hip_mid", "hip_low", "skirt_low")
FORM_SCALE, FORM_LEFT, FORM_TOP = 1.12, 790, 8


@lru_cache(maxsize=32)
def call_picture(small: str, title: str, lines: tuple[str, ...]) -> bytes:
    """A PNG: a small line, a title in the reading face, further lines under it. Too long a title is set smaller.

    The same words again cost nothing: whoever shares a call has it fetched many times.
    """
    image = Image.new("RGB", (WIDTH, HEIGHT), SHEET)
    pen = ImageDraw.Draw(image)
    _form(image)
    pen.rectangle((0, 0, WIDTH, 8), fill=INK)
    top = 74 + _text(pen, (LEFT, 74), small, "archivo", 30, 500, INK_2)
    size, rows = _fitting(title)
    for row in rows:
        top += 8 + _text(pen, (LEFT, top + 18), row, "piazzolla", size, 500, INK)
    top += 34
    for line in lines:
        top += 14 + _text(pen, (LEFT, top), line, "archivo", 32, 500, CHALK if top > HEIGHT - 140 else INK)
    out = BytesIO()
    image.save(out, "PNG", optimize=True)
    return out.getvalue()


def _fitting(title: str) -> tuple[int, list[str]]:
    """The largest size at which the title has at most four lines; the rest of a longer one is left out."""
    for size in (68, 58, 48, 40):
        rows = _wrapped(title, size)
        if len(rows) <= (4 if size > 40 else 5):
            break
    return size, rows[:5]


def _wrapped(text: str, size: int) -> list[str]:
    rows = [""]
    for word in text.split():
        longer = f"{rows[-1]} {word}".strip()
        if rows[-1] and _length(longer, "piazzolla", size, 500) > RIGHT - LEFT:
            rows.append(word)
        else:
            rows[-1] = longer
    return rows


# type


@cache
def _font(face: str, part: str, size: int, weight: int) -> ImageFont.FreeTypeFont:
    font = ImageFont.truetype(FONTS / f"{face}-{part}.woff2", size)
    second = 100 if face == "archivo" else 30
    font.set_variation_by_axes([weight, second])
    return font


def _runs(text: str) -> Iterable[tuple[str, str]]:
    """(part of the face, characters): the faces come in two files, as the style sheet names them."""
    for is_plain, run in groupby(text, lambda one: ord(one) < 0x100 or 0x2000 <= ord(one) < 0x2070 or one in "ŒœıŠ"):
        yield ("latin" if is_plain else "latin-ext"), "".join(run)


def _length(text: str, face: str, size: int, weight: int) -> float:
    return sum(_font(face, part, size, weight).getlength(run) for part, run in _runs(text))


def _text(
    pen: ImageDraw.ImageDraw, at: tuple[float, float], text: str, face: str, size: int, weight: int, ink: str
) -> int:
    """Set one line from its top left; returns its height."""
    left, top = at
    for part, run in _runs(text):
        font = _font(face, part, size, weight)
        pen.text((left, top + size), run, font=font, fill=ink, anchor="ls")
        left += font.getlength(run)
    return round(size * 1.15)


# the form


def _form(image: Image.Image) -> None:
    """The dress form's front at the right edge, drawn at twice the size and shrunk, so that its seams are smooth."""
    large = Image.new("RGB", (WIDTH * 2, HEIGHT * 2), SHEET)
    pen = ImageDraw.Draw(large)
    pen.rectangle((RIGHT * 2 + 80, 0, WIDTH * 2, HEIGHT * 2), fill=TABLE)
    known = seams("front", False)
    half = [point for name in OUTLINE for point in _flat(known[name])]
    neck, hem = _flat(known["neck_top"]) + _flat(known["neck_low"]), _flat(known["hem_low"])
    right = [*reversed(neck), *half, *hem]
    pen.polygon([_place(point) for point in [*right, *(_other(point) for point in reversed(right))]], fill=SHEET_2)
    for seam in ("neck_top", "neck_low", *OUTLINE, "hem_low"):
        _line(pen, known[seam], INK, 5)
    for seam in ACROSS:
        _line(pen, known[seam], EDGE, 3)
    _line(pen, known["princess"], EDGE, 3)
    image.paste(large.resize((WIDTH, HEIGHT), Image.Resampling.LANCZOS))


def _line(pen: ImageDraw.ImageDraw, seam: Seam, ink: str, width: int) -> None:
    points = _flat(seam)
    for side in (points, [_other(point) for point in points]):
        pen.line([_place(point) for point in side], fill=ink, width=width, joint="curve")


def _other(point: Point) -> Point:
    return (2 * CENTRE - point[0], point[1])


def _place(point: Point) -> Point:
    return ((FORM_LEFT + point[0] * FORM_SCALE) * 2, (FORM_TOP + point[1] * FORM_SCALE) * 2)


def _flat(seam: Seam, steps: int = 12) -> list[Point]:
    """A chain of cubics as points near enough to look round."""
    points = [seam[0]]
    for start in range(0, len(seam) - 1, 3):
        a, b, c, d = seam[start : start + 4]
        for step in range(1, steps + 1):
            t = step / steps
            u = 1 - t
            k = (u**3, 3 * u * u * t, 3 * u * t * t, t**3)
            points.append(tuple(sum(w * p[axis] for w, p in zip(k, (a, b, c, d), strict=True)) for axis in (0, 1)))  # type: ignore[arg-type]
    return points
