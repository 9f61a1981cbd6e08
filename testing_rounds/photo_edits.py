"""How a photo is turned, cropped and covered: read from what a page sends, applied to the picture.

All places are shares of the turned picture's width and height, from its top left corner, so that they hold for any of
its sizes. Method and limits: docs/algorithms/photos.md.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from config.limits import PHOTO_COVER_POINTS, PHOTO_COVERS
from measurements.sentences import Sentence, gettext_noop, sentence

if TYPE_CHECKING:
    from PIL import Image

Point = tuple[float, float]
Box = tuple[float, float, float, float]

WHOLE: Box = (0.0, 0.0, 1.0, 1.0)
# What is left of a picture: less than a twentieth of a side is a slip of the finger.
LEAST_LEFT = 0.05
# An even tone, not a blur: a blur can be undone.
COVER = (118, 116, 112)
TURNS = (0, 90, 180, 270)

UNREADABLE = sentence("edits", gettext_noop("This change could not be read. Please make it again."))
TOO_LITTLE = sentence("crop", gettext_noop("Too little of the photo would be left. Leave more of it."))
NOTHING = sentence(
    "nothing", gettext_noop("Nothing is changed yet: turn the photo, cut its edges, or cover something.")
)
TOO_MANY = sentence("covers", gettext_noop("That is a lot of covering. Cut the edges instead, or use a wider brush."))


class EditsError(ValueError):
    """A change that cannot be made; `sentence` says why."""

    def __init__(self, why: Sentence) -> None:
        super().__init__(why.code)
        self.sentence = why


@dataclass(frozen=True)
class Stroke:
    """A line of the brush: its half width as a share of the longer side, and where it went."""

    radius: float
    points: tuple[Point, ...]


@dataclass(frozen=True)
class Edits:
    """`turn` is clockwise in degrees, `crop` the part that stays, `strokes` and `boxes` are covered."""

    turn: int = 0
    crop: Box = WHOLE
    strokes: tuple[Stroke, ...] = ()
    boxes: tuple[Box, ...] = ()

    def as_dict(self) -> dict[str, Any]:
        return {
            "turn": self.turn,
            "crop": list(self.crop),
            "strokes": [
                {"radius": one.radius, "points": [list(point) for point in one.points]} for one in self.strokes
            ],
            "boxes": [list(box) for box in self.boxes],
        }


def read_edits(told: Any) -> Edits:
    """The change that a page sent as {turn, crop, strokes, boxes}. Raises EditsError."""
    try:
        edits = Edits(
            turn=int(told.get("turn", 0)),
            crop=_box(told.get("crop") or WHOLE),
            strokes=tuple(_stroke(one) for one in told.get("strokes", ())),
            boxes=tuple(_box(one) for one in told.get("boxes", ())),
        )
    except (AttributeError, KeyError, TypeError, ValueError, OverflowError):
        raise EditsError(UNREADABLE) from None
    _check(edits)
    return edits


def _check(edits: Edits) -> None:
    left, top, right, bottom = edits.crop
    if edits.turn not in TURNS:
        raise EditsError(UNREADABLE)
    if edits == Edits():
        raise EditsError(NOTHING)
    if right - left < LEAST_LEFT or bottom - top < LEAST_LEFT:
        raise EditsError(TOO_LITTLE)
    points = sum(len(stroke.points) for stroke in edits.strokes)
    if len(edits.strokes) + len(edits.boxes) > PHOTO_COVERS or points > PHOTO_COVER_POINTS:
        raise EditsError(TOO_MANY)


def _share(value: Any) -> float:
    number = float(value)
    if not -1 <= number <= 2:  # a finger may leave the picture; not-a-number is in no range
        raise ValueError(value)
    return round(min(max(number, 0.0), 1.0), 5)


def _box(told: Any) -> Box:
    left, top, right, bottom = map(_share, told)
    return min(left, right), min(top, bottom), max(left, right), max(top, bottom)


def _stroke(told: Any) -> Stroke:
    points = tuple((_share(x), _share(y)) for x, y in told["points"])
    if not points:
        raise ValueError(told)
    return Stroke(max(_share(told["radius"]), 0.002), points)


def apply_edits(picture: Image.Image, edits: Edits) -> Image.Image:
    """A new RGB picture: turned, then covered, then cropped."""
    from PIL import Image, ImageDraw

    turns = {
        90: Image.Transpose.ROTATE_270,
        180: Image.Transpose.ROTATE_180,
        270: Image.Transpose.ROTATE_90,
    }
    turned = picture.transpose(turns[edits.turn]) if edits.turn else picture.copy()
    width, height = turned.size
    draw = ImageDraw.Draw(turned)
    for left, top, right, bottom in edits.boxes:
        draw.rectangle((left * width, top * height, right * width, bottom * height), fill=COVER)
    for stroke in edits.strokes:
        _paint(draw, stroke, width, height)
    return turned.crop(_pixels(edits.crop, width, height))


def _paint(draw: Any, stroke: Stroke, width: int, height: int) -> None:
    radius = stroke.radius * max(width, height)
    places = [(x * width, y * height) for x, y in stroke.points]
    if len(places) > 1:
        draw.line(places, fill=COVER, width=round(2 * radius))
    for x, y in places:
        draw.ellipse((x - radius, y - radius, x + radius, y + radius), fill=COVER)


def _pixels(box: Box, width: int, height: int) -> tuple[int, int, int, int]:
    left, top, right, bottom = box
    return round(left * width), round(top * height), round(right * width), round(bottom * height)
