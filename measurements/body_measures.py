"""Body measurements: definitions, how to take them, and which a kind of garment asks for.

Only what a zone of the garment uses is asked. Weight, bra size and age never are. The ranges are wide
bounds for adults, to catch a slip of the tape or of the unit; they judge nobody.
Source: common practice; bust, under bust, waist, hip and back waist follow EN 13402-1 in substance.
"""

from __future__ import annotations

from collections.abc import Collection
from decimal import Decimal

from measurements.measures import Catalogue, Measure
from measurements.sentences import gettext_noop


def _body(
    key: str, name: str, cm: tuple[int, int], definition: str, how: str, *aliases: str, girth: bool = False
) -> Measure:
    return Measure(key, name, definition, how, Decimal(cm[0] * 10), Decimal(cm[1] * 10), girth, aliases)


def _girth(key: str, name: str, cm: tuple[int, int], definition: str, how: str, *aliases: str) -> Measure:
    return _body(key, name, cm, definition, how, *aliases, girth=True)


BODY_MEASURES = Catalogue(
    (
        _girth(
            "bust", gettext_noop("Bust"), (65, 170),
            gettext_noop("Around the fullest part of the bust, level."),
            gettext_noop("Wear the undergarment that you will wear with the garment. Keep the tape level all round."),
            "full bust", "bust fullest", "chest", "bust chest", "bust full",
        ),
        _girth(
            "high_bust", gettext_noop("High bust"), (65, 155),
            gettext_noop("Around the chest under the arms, above the bust."),
            gettext_noop("Pass the tape close under the arms and over the top of the bust. Hold it snug."),
            "upper bust", "upper chest", "highbust", "above bust", "high chest",
        ),
        _girth(
            "under_bust", gettext_noop("Under bust"), (55, 150),
            gettext_noop("Around the ribs directly below the bust."),
            gettext_noop("Keep the tape level and snug. Breathe out, then read."),
            "underbust", "below bust", "rib cage", "ribcage", "band",
        ),
        _girth(
            "waist", gettext_noop("Waist"), (48, 165),
            gettext_noop("Around the natural waist, where the side bends."),
            gettext_noop("Tie elastic round the middle and bend to one side: it settles at the waist. Measure there."),
            "natural waist", "waistline",
        ),
        _girth(
            "high_hip", gettext_noop("High hip"), (60, 170),
            gettext_noop("Around the hip, 10 cm (4 in) below the waist."),
            gettext_noop("Mark 10 cm (4 in) below the elastic at the side. Keep the tape level at the mark."),
            "upper hip", "top hip", "high hips", "abdomen",
        ),
        _girth(
            "hip", gettext_noop("Hip"), (70, 180),
            gettext_noop("Around the fullest part of the seat, level."),
            gettext_noop("Stand with the feet together. Look sideways in a mirror to find the fullest level."),
            "hips", "full hip", "low hip", "seat", "hipline", "full hips", "lower hip",
        ),
        _body(
            "hip_depth", gettext_noop("Hip depth"), (12, 32),
            gettext_noop("From the waist down to the level of the hip, at the side."),
            gettext_noop("Measure down the side from the elastic to the level where the hip was taken."),
            "waist to hip", "hip height", "waist hip depth",
        ),
        _body(
            "height", gettext_noop("Height"), (130, 210),
            gettext_noop("From the floor to the top of the head, without shoes."),
            gettext_noop("Stand barefoot with the heels to a wall. Lay a book level on the head and mark the wall."),
            "stature", "body height", "total height",
        ),
        _body(
            "back_waist", gettext_noop("Back waist"), (32, 54),
            gettext_noop("From the nape bone down the back to the waist."),
            gettext_noop("Bend the head to find the bone at the nape, stand straight, measure to the elastic."),
            "back waist length", "nape to waist", "nape waist", "center back length", "cb length",
            "back length", "back neck to waist", "back bodice length",
        ),
        _body(
            "front_waist", gettext_noop("Front waist"), (34, 66),
            gettext_noop("From the side of the neck over the bust point to the waist."),
            gettext_noop("Start where neck and shoulder meet, pass over the bust point, end at the elastic."),
            "front waist length", "neck to front waist", "shoulder to waist", "front length", "front bodice length",
        ),
        _body(
            "bust_height", gettext_noop("Bust height"), (18, 45),
            gettext_noop("From the side of the neck to the bust point."),
            gettext_noop("Start where neck and shoulder meet. Wear the undergarment that you will wear."),
            "bust depth", "bust point height", "neck to bust point", "shoulder to bust point", "nape to bust",
        ),
        _body(
            "shoulder", gettext_noop("Shoulder"), (8, 19),
            gettext_noop("From the side of the neck to the bone at the end of the shoulder."),
            gettext_noop("Find the bone by lifting the arm. Measure along the top of the shoulder."),
            "shoulder length", "shoulder seam", "single shoulder",
        ),
        _body(
            "across_back", gettext_noop("Across back"), (26, 54),
            gettext_noop("Across the back between the creases of the arms."),
            gettext_noop("Let the arms hang. Measure halfway between shoulder and underarm, crease to crease."),
            "back width", "cross back", "x back", "back across", "width back",
        ),
        _girth(
            "neck", gettext_noop("Neck"), (28, 56),
            gettext_noop("Around the base of the neck."),
            gettext_noop("Pass the tape over the nape bone and the hollow in front. Keep it easy."),
            "neck base", "base neck", "neckline",
        ),
        _girth(
            "upper_arm", gettext_noop("Upper arm"), (18, 62),
            gettext_noop("Around the fullest part of the upper arm, relaxed."),
            gettext_noop("Let the arm hang. Keep the tape square to the arm."),
            "bicep", "biceps", "upperarm", "top arm",
        ),
        _body(
            "arm", gettext_noop("Arm"), (46, 74),
            gettext_noop("From the shoulder bone over the bent elbow to the wrist."),
            gettext_noop("Rest the hand on the hip. Measure along the outside of the arm to the wrist bone."),
            "arm length", "sleeve length", "shoulder to wrist", "outer arm",
        ),
        _body(
            "rise", gettext_noop("Rise"), (18, 42),
            gettext_noop("From the waist to the seat of the chair, at the side, sitting."),
            gettext_noop("Sit upright on a hard chair. Measure from the elastic straight down to the seat."),
            "crotch depth", "body rise", "sitting rise", "seat depth", "crotch height",
        ),
        _body(
            "crotch_length", gettext_noop("Crotch length"), (46, 110),
            gettext_noop("From the waist in front, between the legs, to the waist at the back."),
            gettext_noop("Pass the tape between the legs from elastic to elastic. Do not pull it."),
            "total rise", "crotch total", "through crotch", "full crotch length", "total crotch length",
        ),
        _girth(
            "thigh", gettext_noop("Thigh"), (38, 100),
            gettext_noop("Around the fullest part of the thigh."),
            gettext_noop("Stand with the legs a little apart. Keep the tape level."),
            "thighs", "upper thigh", "upper leg",
        ),
        _body(
            "inside_leg", gettext_noop("Inside leg"), (56, 98),
            gettext_noop("From the crotch to the floor, inside the leg."),
            gettext_noop("Stand barefoot. A book held up between the legs gives the level of the crotch."),
            "inseam", "inner leg", "inside leg length", "inside seam",
        ),
        _body(
            "waist_to_knee", gettext_noop("Waist to knee"), (45, 76),
            gettext_noop("From the waist to the middle of the knee, at the side."),
            gettext_noop("Measure from the elastic down the side to the middle of the kneecap."),
            "waist knee", "knee length", "knee height from waist",
        ),
    )
)  # fmt: skip

_BODICE = ("high_bust", "bust", "waist", "height")
_BODICE_MORE = ("back_waist", "front_waist", "bust_height", "shoulder", "across_back", "neck")

REQUIRED: dict[str, tuple[str, ...]] = {
    "bodice": _BODICE,
    "shirt": _BODICE,
    "dress": _BODICE,
    "skirt": ("waist", "hip", "height"),
    "trousers": ("waist", "hip", "height", "rise", "thigh", "inside_leg"),
    "sleeve": ("upper_arm",),
    "jacket": _BODICE,
    "knit": ("high_bust", "bust", "waist", "hip", "height"),
}
OPTIONAL: dict[str, tuple[str, ...]] = {
    "bodice": _BODICE_MORE,
    "shirt": ("hip", *_BODICE_MORE, "upper_arm", "arm"),
    "dress": ("hip", *_BODICE_MORE, "upper_arm"),
    "skirt": ("high_hip", "waist_to_knee"),
    "trousers": ("crotch_length",),
    "sleeve": ("arm",),
    "jacket": ("hip", *_BODICE_MORE, "upper_arm", "arm"),
    "knit": (),
}
KINDS = tuple(REQUIRED)


def required(kind: str, fitted: Collection[str] = ()) -> tuple[str, ...]:
    """The measurements that a kind of garment must have; a fitted hip makes the hip one of them."""
    keys = REQUIRED[kind]
    return (*keys, "hip") if "hip" in fitted and "hip" in OPTIONAL[kind] else keys


def optional(kind: str, fitted: Collection[str] = ()) -> tuple[str, ...]:
    """The measurements that help: without one the report counts, but "body not known" explains nothing."""
    must = required(kind, fitted)
    return tuple(key for key in OPTIONAL[kind] if key not in must)
