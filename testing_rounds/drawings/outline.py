"""The dress form's seams: the right half of each view, from which the zones are cut.

Raw numbers are form units (centre line at 180, neck at 63, hip at 394). `seams` places them on the
drawing: smaller, and for the upper sizes fuller, most of all at the waist, because bust, waist and
hip grow there while shoulder and neck hardly do (the widths follow common practice, no source).
"""

from __future__ import annotations

from itertools import pairwise
from math import cos, radians, sin

from testing_rounds.drawings.curves import (
    Point,
    Seam,
    back,
    between,
    joined,
    mirrored,
    moved,
    piece,
    seam,
    split,
    straight,
)

CENTRE = 192.0
SCALE = 0.86
TOP = 20.0
RAW_CENTRE = 180.0

Seams = dict[str, Seam]

# How much wider the fuller form is at a height of the form.
FULLER = (
    (0, 1.03),
    (63, 1.04),
    (90, 1.05),
    (157, 1.09),
    (182, 1.12),
    (230, 1.20),
    (268, 1.26),
    (312, 1.19),
    (364, 1.14),
    (440, 1.11),
    (562, 1.02),
)

# Below the crotch the legs are drawn longer than the supplied form's, so that a hem can be told from a knee.
LEG_TOP, LEG_STRETCH = 440.0, 1.42

SIDE = {
    "side_bust": "257.5 182  258.12 191.41 255.97 200.9 253.5 210",
    "side_rib": "253.5 210  251.25 218.3 246.77 225.85 244 234  241.99 239.93 239.65 245.82 238.6 252",
    "side_waist": "238.6 252  237.71 257.27 237.39 262.66 237.6 268  237.84 274.07 239.03 280.08 240.4 286",
    "side_high_hip_top": "240.4 286  242.47 294.95 246.48 303.33 249.5 312",
    "side_high_hip_low": "249.5 312  252.51 320.66 256.12 329.14 258.5 338",
    "side_hip_top": "258.5 338  260.79 346.53 262.64 355.22 263.6 364",
    "side_hip_low": "263.6 364  264.69 373.94 264 384 264 394",
    "side_skirt": "264 394  264 434 287 480 295 524",
    "side_hem": "295 524  297.5 538 299 550 300 562",
}
LEVEL = {
    "bust_low": "253.5 210  238 222 200 227 180 218.5",
    "blade": "257.5 182  236 189.6 209 194.5 180 194.5",
    "waist_top": "238.6 252  222.19 257.58 202.27 261 180 261",
    "waist_low": "240.4 286  223.49 292.2 202.95 296 180 296",
    "high_hip_mid": "249.5 312  229.5 319 205.7 323.6 180 323.6",
    "high_hip_low": "258.5 338  236.52 346.06 209.83 351 180 351",
    "hip_mid": "263.6 364  241 372.6 212.4 378.6 180 378.6",
    "hip_low": "264 394  240.48 403.3 211.92 409 180 409",
    "skirt_low": "295 524  262.8 533.92 223.7 540 180 540",
    "hem_low": "300 562  266.4 573.16 225.6 580 180 580",
}
LEGS = {
    "side_rise": "264 394  264 398.67 263.64 403.34 263.4 408",
    "side_thigh": "263.4 408  262.86 418.68 262.22 429.36 261.2 440  259.92 453.38 257.74 466.67 256 480",
    "side_leg": "256 480  254.17 494 251.97 507.96 250.5 522  249.6 530.6 248.9 539 248.4 546",
    "side_leg_hem": "248.4 546  247.9 553 247.4 561 247 568",
    "crotch_line": "263.4 408  244 424 204 431 182 440",
    "crotch": "182 440  181.4 441 180.7 441.4 180 441.4",
    "thigh_low": "256 480  243 486 201 486 187 480",
    "leg_low": "248.4 546  237.6 552.4 209.6 553 196.6 546",
    "leg_hem_low": "247 568  236 575 211 576 199 568",
    "inside_thigh": "187 480  185 465.5 182.24 452.09 182 440",
    "inside_leg": "196.6 546  195.6 538 194.2 530 193 522  190.92 506.66 189.1 494 187 480",
    "inside_leg_hem": "199 568  198.4 560.6 197.5 553 196.6 546",
}
DECOR = {
    "shade_edge": (
        "264 394  261.21 384 259.78 373.94 256.92 364  254.57 355.22 251.58 346.53 248.37 338  "
        "245.21 329.14 241.2 320.66 237.83 312  234.62 303.33 230.77 294.95 228.61 286  "
        "227.25 280.08 226.07 274.07 225.71 268  225.44 262.66 225.62 257.27 226.29 252  "
        "227.14 245.82 229.07 239.93 230.82 234  233.35 225.85 237.39 218.3 239.91 210  "
        "242.95 200.9 246.16 191.41 247.42 182  249 173.41 248.38 165.25 251 157"
    ),
    "neck_shade": "204 26  204 44 205 57 213 63  212 71 209 75 205 78  194 62 197 46 204 26",
    "rib_inner": "209.88 407.42  212.04 440 218.52 486 223.2 578.1",
    "rib_outer": "238.1 402.16  242.3 440 254.9 486 264 571.79",
    "rib_high": "269.3 432  244.3 441.3 213.93 447 180 447",
    "rib_mid": "281 478  252.72 487.3 218.38 493 180 493",
    "arm_plate": "265 90  280 97 288.5 124 287 151  278 162 261 164 251 157",
    "post": "213 63  205 57 204 44 204 26  196 29.5 188 30.5 180 30.5",
    "cap": "180 18.5  192 18.5 204 20 204 26  204 32 192 32 180 32",
    "finial": "180 6  182.5 6 184.5 8 184.5 10.5  184.5 13.5 183 15 183 18.6  182 18.6 181 18.6 180 18.6",
}
SHADED = (
    "underarm_top", "underarm_low", "side_bust", "side_rib", "side_waist", "side_high_hip_top", "side_high_hip_low",
    "side_hip_top", "side_hip_low",
)  # fmt: skip
PRINCESS = {
    "front": (
        "218 178  216.23 192.65 214.24 207.29 213 222  211.71 237.3 210.23 252.65 210.5 268  "
        "210.75 282.05 212.02 296.09 214 310  215.91 323.46 220.04 336.54 222 350  "
        "224.6 367.86 225.28 385.97 226 404"
    ),
    "back": (
        "222 170  218.94 187.27 216.26 204.61 214 222  212.02 237.3 208.84 252.58 209 268  "
        "209.14 282.1 211.94 296.05 214 310  215.97 323.39 219.24 336.58 221 350  "
        "223.35 367.9 224.28 385.97 225 404"
    ),
}
SHOULDER = "213 63  224 73 246 79 265 90"
UNDERARM = "251 157  253.47 165.25 256.94 173.41 257.5 182"
NECK = {"front": "213 63  211 80 195 87 180 87", "back": "213 63  204 71 191 74 180 74"}
ARMHOLE = {"front": "265 90  246 108 239 136 251 157", "back": "265 90  252 110 247 138 251 157"}
# Where the stitched inner edge of the armhole meets the chest line, and how it bends on the way down.
# The bust dart: a wedge from the side seam to the bust point.
DART_POINT: Point = (219, 181)
CHEST_END: dict[str, Point] = {"front": (235.5, 119), "back": (240, 119)}
INNER_LOW: dict[str, tuple[Point, Point]] = {"front": ((231.5, 134), (238, 156)), "back": ((237.5, 134), (239, 156))}


def seams(view: str, fuller: bool) -> Seams:
    """All seams of a view ("front" or "back"), placed on the drawing, by name."""
    raw = {name: seam(numbers) for name, numbers in {**SIDE, **LEVEL, **DECOR}.items()}
    raw["princess"] = seam(PRINCESS[view])
    raw |= _upper_chest(view)
    raw |= {name: moved(seam(numbers), _longer) for name, numbers in LEGS.items()}
    raw["shade"] = joined(*(raw[name] for name in SHADED), raw["shade_edge"])
    raw |= _dart(raw["side_bust"])
    raw["side_jacket"] = split(raw["side_skirt"], 0.2)[0]
    raw["jacket_low"] = straight_level(raw["side_jacket"][-1])
    placed = {name: moved(one, lambda p: place(p, fuller)) for name, one in raw.items()}
    return placed | _sleeve(placed["shoulder"][-1], placed["underarm_top"][0], fuller)


def straight_level(end: Point) -> Seam:
    """A level line from the side to the centre that hangs as the hip line does."""
    x, y = end
    return (end, (x - 23.5, y + 9.3), (x - 52, y + 15), (RAW_CENTRE, y + 15))


def other_side(one: Seam) -> Seam:
    return mirrored(one, CENTRE)


def across(half: Seam) -> Seam:
    """A closed loop over the centre line from its right half, centre top to centre bottom."""
    return joined(half, back(other_side(half)))


def _upper_chest(view: str) -> Seams:
    """Shoulder, neck, strap and armhole: bands of even width, cut from the same few curves."""
    shoulder, neck, armhole = seam(SHOULDER), seam(NECK[view]), seam(ARMHOLE[view])
    neck_top, neck_low = split(neck, 0.24 if view == "front" else 0.36)
    armhole_top, armhole_low = split(armhole, 0.16)
    underarm_top, underarm_low = split(seam(UNDERARM), 0.62)
    yoke = _parallel(shoulder, neck_top[-1], armhole_top[-1])
    chest_end = CHEST_END[view]
    inner_start = piece(yoke, 0, 0.82)[-1]
    chest = (chest_end, (219, 124.4), (200, 126.6), (RAW_CENTRE, 126.6))
    parts = {
        "shoulder": shoulder, "neck_top": neck_top, "neck_low": neck_low,
        "armhole_top": armhole_top, "armhole_low": armhole_low,
        "underarm_top": underarm_top, "underarm_low": underarm_low,
        "yoke_neck": piece(yoke, 0, 0.36), "yoke_strap": piece(yoke, 0.36, 0.6),
        "yoke_shoulder": piece(yoke, 0.6, 0.82), "yoke_armhole": piece(yoke, 0.82, 1),
        "inner_top": (
            inner_start, between(inner_start, chest_end, 0.3), (chest_end[0] + 2, chest_end[1] - 9), chest_end,
        ),
        "inner_low": (chest_end, *INNER_LOW[view], underarm_top[-1]),
        "chest_shoulder": piece(chest, 0, 0.1), "chest_strap": piece(chest, 0.1, 0.32),
        "chest_neck": piece(chest, 0.32, 1),
    }  # fmt: skip
    parts["strap_inner"] = straight(parts["yoke_neck"][-1], parts["chest_strap"][-1])
    parts["strap_outer"] = straight(parts["yoke_strap"][-1], parts["chest_strap"][0])
    return parts


def _dart(side_bust: Seam) -> Seams:
    """The bust dart's two legs and its mouth on the side seam."""
    mouth = piece(side_bust, 0.16, 0.68)
    upper, lower = straight(mouth[0], DART_POINT, 0.6), straight(DART_POINT, mouth[-1], 0.6)
    return {"dart_mouth": mouth, "dart_upper": upper, "dart_lower": lower}


def _parallel(one: Seam, start: Point, end: Point) -> Seam:
    """A cubic shaped like `one` between two other ends."""
    a, b, c, d = one
    return (start, (b[0] + start[0] - a[0], b[1] + start[1] - a[1]), (c[0] + end[0] - d[0], c[1] + end[1] - d[1]), end)


def _sleeve(tip: Point, underarm: Point, fuller: bool) -> Seams:
    """A sleeve to the elbow that hangs clear of the side: cap, upper arm, hem band."""
    angle = radians(18 if fuller else 17)
    down, out = (sin(angle), cos(angle)), (cos(angle), -sin(angle))
    width, hem_width = (37.5, 34.0) if fuller else (34.0, 31.0)
    length = 50.0

    def at(along: float, over: float) -> Point:
        return (underarm[0] + along * down[0] + over * out[0], underarm[1] + along * down[1] + over * out[1])

    def inner(t: float) -> Point:
        return at(length * t, 0.6 * t)

    def outer(t: float) -> Point:
        return at(length * t, width + (hem_width - width) * t)

    band = 0.7
    return {
        "cap_outer": (tip, (tip[0] + 11, tip[1] + 4), at(-20, width + 0.5), outer(0)),
        "biceps": straight(outer(0), inner(0), 3.2),
        "sleeve_outer": straight(outer(0), outer(band)),
        "sleeve_inner": straight(inner(band), inner(0)),
        "sleeve_band": straight(outer(band), inner(band), 3.2),
        "cuff_outer": straight(outer(band), outer(1)),
        "cuff_inner": straight(inner(1), inner(band)),
        "cuff": straight(outer(1), inner(1), 3.6),
        "sleeve_shade": joined(
            straight(outer(-0.2), outer(1)),
            straight(outer(1), at(length, hem_width - 8)),
            (at(length, hem_width - 8), at(length * 0.7, hem_width - 7), at(length * 0.2, width - 4), outer(-0.2)),
        ),
    }


def _longer(point: Point) -> Point:
    x, y = point
    return (x, LEG_TOP + (y - LEG_TOP) * LEG_STRETCH) if y > LEG_TOP else point


def place(point: Point, fuller: bool) -> Point:
    """A point of the form on the drawing."""
    x, y = point
    wide = _width_at(y) if fuller else 1.0
    return (CENTRE + (x - RAW_CENTRE) * SCALE * wide, TOP + y * SCALE)


def _width_at(y: float) -> float:
    """The fuller form's width factor at a height, smooth between the listed heights."""
    for (above, wide_above), (below, wide_below) in pairwise(FULLER):
        if y <= below:
            t = max(0.0, (y - above) / (below - above))
            return wide_above + (wide_below - wide_above) * t * t * (3 - 2 * t)
    return FULLER[-1][1]
