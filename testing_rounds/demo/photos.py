"""The demo's photos: drawn, never taken. A toile on a dress form, with the folds of its misfit."""

from __future__ import annotations

import math
from collections.abc import Iterable
from io import BytesIO
from random import Random

from PIL import Image, ImageChops, ImageDraw, ImageFilter

WIDTH, HEIGHT = 720, 900
CLOTHS = ((232, 226, 212), (222, 226, 224), (236, 232, 224), (228, 220, 206), (226, 222, 216))
Point = tuple[float, float]

_BODY: tuple[Point, ...] = (
    (318, 150), (322, 205), (262, 232), (214, 262), (226, 330), (238, 400), (250, 470), (252, 520), (236, 600),
    (212, 690), (196, 780), (524, 780), (508, 690), (484, 600), (468, 520), (470, 470), (482, 400), (494, 330),
    (506, 262), (458, 232), (398, 205), (402, 150),
)  # fmt: skip
_SHIRT: tuple[Point, ...] = (
    (318, 214), (262, 236), (206, 268), (172, 372), (236, 392), (240, 360), (250, 470), (250, 520), (218, 640),
    (186, 744), (534, 744), (502, 640), (470, 520), (470, 470), (480, 360), (484, 392), (548, 372), (514, 268),
    (458, 236), (402, 214), (384, 244), (360, 252), (336, 244),
)  # fmt: skip
# Where the folds of a zone run: start, end and bow of each.
_FOLDS: dict[str, tuple[tuple[Point, Point, float], ...]] = {
    "waist": tuple(((256, 486 + 9 * i), (464, 488 + 9 * i), 7 - 3 * i) for i in range(-3, 5)),
    "upper_arm": tuple(((186 + 2 * i, 330 + 11 * i), (242, 318 + 12 * i), 3) for i in range(5))
    + tuple(((534 - 2 * i, 330 + 11 * i), (478, 318 + 12 * i), 3) for i in range(5)),
    "back_length": tuple(((262, 470 + 12 * i), (458, 470 + 12 * i), -14 + i) for i in range(3)),
    "": tuple(((300 + 40 * i, 540), (270 + 60 * i, 740), 5 - 3 * i) for i in range(4)),
}


def photo(*, seed: int, folds: Iterable[str] = (), back: bool = False) -> bytes:
    """One JPEG of 720 by 900: the same seed draws the same picture."""
    random = Random(seed)  # noqa: S311  (a picture, not a secret)
    image = _room(random)
    _form(image)
    cloth = CLOTHS[seed % len(CLOTHS)]
    _shirt(image, cloth, random, back=back)
    for zone in ("", *folds):
        _folds(image, _FOLDS.get(zone, ()), strength=46 if zone else 20)
    out = BytesIO()
    image.filter(ImageFilter.GaussianBlur(0.6)).save(out, "JPEG", quality=84)
    return out.getvalue()


def _room(random: Random) -> Image.Image:
    shade = random.randint(-10, 10)
    column = Image.new("RGB", (1, HEIGHT))
    for y in range(HEIGHT):
        tone = int(176 + shade - 44 * y / HEIGHT + (10 if y > 820 else 0))
        column.putpixel((0, y), (tone, tone + 3, tone + 1))
    return column.resize((WIDTH, HEIGHT))


def _form(image: Image.Image) -> None:
    draw = ImageDraw.Draw(image)
    draw.rectangle((354, 780, 366, 900), fill=(92, 84, 74))
    draw.polygon(_BODY, fill=(206, 196, 180))
    draw.ellipse((316, 130, 404, 168), fill=(150, 140, 124))


def _mask(points: Iterable[Point], blur: float = 1.2) -> Image.Image:
    mask = Image.new("L", (WIDTH, HEIGHT), 0)
    ImageDraw.Draw(mask).polygon(list(points), fill=255)
    return mask.filter(ImageFilter.GaussianBlur(blur))


def _shirt(image: Image.Image, cloth: tuple[int, int, int], random: Random, *, back: bool) -> None:
    mask = _mask(_SHIRT)
    image.paste(Image.new("RGB", image.size, cloth), mask=mask)
    # Light from the left: the far side lies in a soft shade, and so does the edge of the whole shape.
    far = Image.linear_gradient("L").rotate(90).resize(image.size).point(lambda tone: int(tone * 0.32))
    _darken(image, ImageChops.multiply(far, mask))
    rim = ImageChops.subtract(mask, _mask(_SHIRT, 26))
    _darken(image, ImageChops.multiply(rim.point(lambda tone: int(tone * 0.5)), mask))
    draw = ImageDraw.Draw(image)
    line = tuple(int(value * 0.72) for value in cloth)
    for start, end in (
        ((318, 300), (262, 300)),
        ((402, 300), (458, 300)),
        ((172, 372), (236, 392)),
        ((548, 372), (484, 392)),
    ):
        draw.line((start, end), fill=line, width=2)
    if not back:
        draw.line(((360, 252), (360 + random.randint(-2, 2), 744)), fill=line, width=2)
        for i in range(7):
            y = 290 + 62 * i
            draw.ellipse((364, y, 374, y + 10), outline=line, width=2)


def _folds(image: Image.Image, folds: Iterable[tuple[Point, Point, float]], *, strength: int) -> None:
    layer = Image.new("L", image.size, 0)
    draw = ImageDraw.Draw(layer)
    for start, end, bow in folds:
        draw.line(_curve(start, end, bow), fill=strength * 2, width=4, joint="curve")
    _darken(image, ImageChops.multiply(layer.filter(ImageFilter.GaussianBlur(2.6)), _mask(_SHIRT)))


def _curve(start: Point, end: Point, bow: float) -> list[Point]:
    steps = 24
    return [
        (
            start[0] + (end[0] - start[0]) * i / steps,
            start[1] + (end[1] - start[1]) * i / steps + bow * math.sin(math.pi * i / steps),
        )
        for i in range(steps + 1)
    ]


def _darken(image: Image.Image, shade: Image.Image) -> None:
    image.paste(Image.new("RGB", image.size, (52, 48, 44)), mask=shade)
