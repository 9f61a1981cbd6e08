"""A layout as a drawing: boxes with names, sides and grain arrows, the fold marked, the cloth measured.

One unit is a centimetre of cloth. x runs along the cloth; the fold, or one selvedge, lies below.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from measurements.length_display import LengthStyle

STYLE = LengthStyle(8, Decimal("0.5"))
PARTS_A_CM = 10_000
# The type is a share of the cloth's length, so that it prints alike on a page's width; a letter is half as wide.
TYPE, LETTER = 1 / 62, 0.56
# The picture is at least so wide for its height; on paper so that two stand on a page.
LEAST_SHAPE, PAPER_SHAPE = 1.3, 1.95


@dataclass(frozen=True)
class Text:
    """A line of text about its middle; `turned` runs it along the other way."""

    x: float
    y: float
    words: str
    size: float
    strong: bool = False
    turned: bool = False


@dataclass(frozen=True)
class Shown:
    """A box on paper: its corner, sides, texts, grain arrow as a path, and the middle of a fold piece that is opened.

    `fold`: its lower edge lies on the fold.
    """

    x: float
    y: float
    width: float
    height: float
    texts: tuple[Text, ...]
    grain: str
    middle: str
    fold: bool
    shade: int

    @property
    def foot(self) -> float:
        return self.y + self.height

    @property
    def end(self) -> float:
        return self.x + self.width


@dataclass(frozen=True)
class Drawing:
    """The whole picture with its margins; `cloths` are the parts of the cloth (x, y, width, height, folded).

    `fold_line` is where the fold runs: its height, and how far.
    """

    width: float
    height: float
    view: str
    boxes: tuple[Shown, ...]
    cloths: tuple[tuple[float, float, float, float, bool], ...]
    texts: tuple[Text, ...]
    fold_line: tuple[float, float] | None
    thin: float
    thick: float
    arrow: float


@dataclass(frozen=True)
class LayWords:
    """The words of a drawing, and the decimal mark, in the reader's language."""

    fold: str
    selvedge: str
    opened: str
    mark: str = "."


def draw(
    placements: Sequence[Mapping[str, Any]],
    length_mm: Decimal,
    usable_mm: Decimal,
    words: LayWords,
    shape: float = LEAST_SHAPE,
) -> Drawing:
    """A layout from its stored placements (thousandths of a millimetre), the cloth's length and usable width."""
    length, usable = float(length_mm) / 10, float(usable_mm) / 10
    folded = any(not one["opened"] for one in placements)
    split = max((_cm(one["x"] + one["length"]) for one in placements if not one["opened"]), default=0.0)
    deep = usable / 2 if folded and all(not one["opened"] for one in placements) else usable
    size = max(length, deep * shape) * TYPE
    numbers: dict[str, int] = {}
    materials: dict[str, int] = {}
    boxes = tuple(
        _box(one, deep, size, words.mark, numbers.setdefault(one["name"], len(numbers) + 1),
             materials.setdefault(one["material"], len(materials)))
        for one in placements
    )  # fmt: skip
    cloths = []
    if folded:
        opens = split < length and any(one["opened"] for one in placements)
        cloths.append((0.0, deep - usable / 2, split if opens else length, usable / 2, True))
    if any(one["opened"] for one in placements):
        cloths.append((split, deep - usable, length - split, usable, False))
    left, below, above = size * 2.2, size * 4.6, size * 2.2
    wide = STYLE.both(usable_mm / 2 if deep < usable else usable_mm)
    texts = [
        Text(length / 2, deep + size * 3.9, STYLE.both(length_mm).replace(".", words.mark), size * 1.15, strong=True),
        Text(-size * 1.1, deep / 2, wide.replace(".", words.mark), size, turned=True),
        Text(length / 2, deep + size * 1.5, words.fold if folded else words.selvedge, size),
        Text(length / 2, -size * 0.7, words.selvedge, size),
    ]
    if folded and len(cloths) > 1:
        texts.append(Text((split + length) / 2, deep + size * 2.6, words.opened, size))
    height = deep + below + above
    # A short layout keeps the scale of its height: it is not blown up over the page.
    width = max(length + left + size, height * shape)
    view = f"{-left:.2f} {-above:.2f} {width:.2f} {height:.2f}"
    fold_line = (deep, cloths[0][2]) if folded else None
    return Drawing(
        width, height, view, boxes, tuple(cloths), tuple(texts), fold_line, size * 0.07, size * 0.22, size * 0.5
    )


def _cm(parts: int) -> float:
    return parts / PARTS_A_CM


def _box(one: Mapping[str, Any], deep: float, size: float, mark: str, number: int, shade: int) -> Shown:
    x, y, width, height = (_cm(one[key]) for key in ("x", "y", "length", "width"))
    top = deep - y - height
    at_fold = one["cut"] == "fold" and not one["opened"]
    return Shown(
        x,
        top,
        width,
        height,
        _texts(one, (x, top, width, height), size, number, mark),
        _arrow(one, x, top, width, height, size),
        _middle(one, x, top, width, height),
        at_fold,
        shade % 3,
    )


def _texts(
    one: Mapping[str, Any], at: tuple[float, float, float, float], size: float, number: int, mark: str
) -> tuple[Text, ...]:
    """The number and name, and the sides below it; the number alone where there is no room. Turned in a slim box."""
    x, top, width, height = at
    mm = [Decimal(one[key]) / 1000 for key in ("length", "width")]
    sides = " × ".join(STYLE.cm(side) for side in mm)
    lines = [f"{number} {one['name']}", sides.replace(".", mark) + " cm"]
    middle_x, middle_y = x + width / 2, top + height / 2
    for turned, along, across in ((False, width, height), (True, height, width)):
        for shown in (lines, lines[:1]):
            wide = max(len(line) for line in shown) * size * LETTER
            if wide <= along * 0.96 and len(shown) * size * 1.25 + size * 0.9 <= across:
                return tuple(
                    _line(middle_x, middle_y, words, size, (at - (len(shown) - 1) / 2) * size * 1.25, not at, turned)
                    for at, words in enumerate(shown)
                )
    small = min(size, width * 0.8, height * 0.8)
    return (_line(middle_x, middle_y, str(number), small, 0, True, False),)


def _line(x: float, y: float, words: str, size: float, off: float, strong: bool, turned: bool) -> Text:
    # A line of text stands on its foot: about a third of its size below the middle.
    shift = off + size * 0.35
    return Text(x + shift if turned else x, y if turned else y + shift, words, size, strong, turned)


def _arrow(one: Mapping[str, Any], x: float, top: float, width: float, height: float, size: float) -> str:
    """The piece's own lengthwise grain with a head at either end, near the box's edge; nothing where any will do."""
    reach = min(width, height)
    if one["grain"] == "any" or reach < size * 1.6:
        return ""
    edge, head = min(size * 0.6, reach * 0.15), size * 0.28
    if one["grain"] == "bias":
        far = reach * 0.25
        left, low, right, high = x + edge, top + edge + far, x + edge + far, top + edge
        start = f"M{left:.2f} {low - head:.2f}V{low:.2f}H{left + head:.2f}"
        end = f"M{right - head:.2f} {high:.2f}H{right:.2f}V{high + head:.2f}"
        return f"M{left:.2f} {low:.2f}L{right:.2f} {high:.2f}{start}{end}"
    left, right, y = x + width * 0.25, x + width * 0.75, top + edge
    heads = "".join(
        f"M{end + way * head:.2f} {y - head:.2f}L{end:.2f} {y:.2f}L{end + way * head:.2f} {y + head:.2f}"
        for end, way in ((left, 1), (right, -1))
    )
    return f"M{left:.2f} {y:.2f}H{right:.2f}{heads}"


def _middle(one: Mapping[str, Any], x: float, top: float, width: float, height: float) -> str:
    """The line that would have been the fold, along the piece's own length; nothing for other pieces."""
    if one["cut"] != "fold" or not one["opened"] or one["grain"] == "bias":
        return ""
    if one["turned"]:
        return f"M{x + width / 2:.2f} {top:.2f}v{height:.2f}"
    return f"M{x:.2f} {top + height / 2:.2f}h{width:.2f}"
