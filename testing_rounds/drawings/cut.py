"""The form cut into zones: which areas, lines and outlines a garment kind shows on each view.

A loop is a list of seam names, walked in order; "-" walks a seam backwards. "whole" loops run from the
centre top over the right side to the centre foot and are closed by their mirror image; "pair" loops
lie on one side and are drawn on both. Left and right are one zone.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from functools import lru_cache

from testing_rounds.drawings.curves import Point, Seam, back, joined
from testing_rounds.drawings.outline import CENTRE, Seams, across, other_side, place, seams
from testing_rounds.zones import zones_for

_SLEEVE = frozenset({"cap", "upper_arm", "sleeve_length"})
LOWER_KINDS = frozenset({"skirt", "trousers"})

# From below to above: wide zones, then lines with the wider targets that they borrow from them, then the small
# zones, which must keep all they have.
_ORDER = (
    "across_back", "bust", "front_length", "back_length", "waist", "high_hip", "hip", "rise", "thigh", "neck",
    "length", "bust_point", "shoulder_line", "armhole", "strap", "shoulder", "sleeve_length", "cap", "upper_arm",
)  # fmt: skip
_PAIRS = frozenset(
    {"shoulder", "shoulder_line", "armhole", "strap", "cap", "upper_arm", "sleeve_length", "thigh", "bust_point"}
)
_CHEST = "-chest_neck -chest_strap -chest_shoulder inner_low underarm_low"
_LOOPS = {
    "neck": "-neck_low yoke_neck strap_inner chest_neck",
    "shoulder": "yoke_shoulder inner_top chest_shoulder -strap_outer",
    "shoulder_line": "shoulder armhole_top -yoke_armhole -yoke_shoulder -yoke_strap -yoke_neck -neck_top",
    "armhole": "armhole_low underarm_top -inner_low -inner_top yoke_armhole",
    "strap": "yoke_strap strap_outer chest_strap -strap_inner",
    "bust": f"{_CHEST} side_bust bust_low",
    "front_length": "-bust_low side_rib waist_top",
    "across_back": f"{_CHEST} blade",
    "back_length": "-blade side_bust side_rib waist_top",
    "waist": "-waist_top side_waist waist_low",
    "high_hip": "-waist_low side_high_hip_top side_high_hip_low high_hip_low",
    "hip": "-high_hip_low side_hip_top side_hip_low hip_low",
    "rise": "-hip_low side_rise crotch_line crotch",
    "thigh": "side_thigh thigh_low inside_thigh -crotch_line",
    "bust_point": "dart_lower -dart_mouth dart_upper",
    "cap": "cap_outer biceps -armhole_low -armhole_top",
    "upper_arm": "sleeve_outer sleeve_band sleeve_inner -biceps",
    "sleeve_length": "cuff_outer cuff cuff_inner -sleeve_band",
}
# Without a strap its strip belongs to the shoulder; where no high hip is asked the hip begins at the waist.
_SHOULDER_NO_STRAP = "yoke_strap yoke_shoulder inner_top chest_shoulder chest_strap -strap_inner"
_HIP_FROM_WAIST = "-waist_low side_high_hip_top side_high_hip_low side_hip_top side_hip_low hip_low"
# The hem band of each kind: upper edge, side, lower edge.
_HEMS = {
    "bodice": "-high_hip_mid side_high_hip_low high_hip_low",
    "shirt": "-hip_mid side_hip_low hip_low",
    "jacket": "-hip_low side_jacket jacket_low",
    "knit": "-hip_low side_jacket jacket_low",
    "dress": "-skirt_low side_hem hem_low",
    "skirt": "-skirt_low side_hem hem_low",
    "trousers": "side_leg_hem leg_hem_low inside_leg_hem -leg_low",
}
# Edges that are a row of stitches rather than a seam.
_STITCHED = frozenset({
    "yoke_neck", "yoke_strap", "yoke_shoulder", "yoke_armhole", "inner_top", "inner_low", "sleeve_band", "skirt_low",
    "leg_low", "hip_mid", "high_hip_mid", "thigh_low", "dart_upper", "dart_lower",
})  # fmt: skip

_TORSO_TOP = "-neck_low -neck_top shoulder armhole_top armhole_low underarm_top underarm_low side_bust side_rib"
_SLEEVE_EDGE = "cap_outer sleeve_outer cuff_outer cuff cuff_inner sleeve_inner"
_TO_HIP = "side_waist side_high_hip_top side_high_hip_low side_hip_top side_hip_low"
_HEM_WALK = {
    "bodice": "side_waist side_high_hip_top side_high_hip_low high_hip_low",
    "shirt": f"{_TO_HIP} hip_low",
    "jacket": f"{_TO_HIP} side_jacket jacket_low",
    "knit": f"{_TO_HIP} side_jacket jacket_low",
    "dress": f"{_TO_HIP} side_skirt side_hem hem_low",
    "skirt": f"{_TO_HIP} side_skirt side_hem hem_low",
    "trousers": f"{_TO_HIP} hip_low",
}
_LEG = "side_thigh side_leg side_leg_hem leg_hem_low inside_leg_hem inside_leg inside_thigh"

_REACHES: dict[str, tuple[str, float]] = {
    "armhole": ("inner_top inner_low", 24),
    "strap": ("strap_inner", 26),
    "bust_point": ("dart_upper", 40),
    "sleeve_length": ("cuff", 50),
    "cap": ("cap_outer", 26),
    "upper_arm": ("sleeve_outer", 20),
}
# Where a label points: on the right half, in form units; sleeves and hems point at the middle of their loop.
_SPOTS: dict[str, Point] = {
    "neck": (196, 106), "shoulder": (238.5, 106), "shoulder_line": (241, 83), "armhole": (241.5, 131),
    "strap": (227, 100), "bust": (206, 197), "bust_point": (222, 182.5), "front_length": (232, 233),
    "across_back": (218, 166), "back_length": (232, 233), "waist": (229, 272), "high_hip": (242, 316),
    "hip": (250, 368), "rise": (240, 411), "thigh": (244, 456),
}  # fmt: skip


@dataclass(frozen=True)
class Area:
    """One zone on one view. `reach` is an unseen stroke (seams, width) that widens a thin zone's target;
    `anchors` are the points, left and right, at which a label may point."""

    key: str
    loops: tuple[Seam, ...]
    anchors: tuple[Point, Point]
    reach: tuple[Seam, ...] = ()
    reach_width: float = 0.0


@dataclass(frozen=True)
class Cut:
    """A view of the form for one kind of garment, from below to above."""

    ground: tuple[Seam, ...]
    ground_line: tuple[Seam, ...]
    garment: tuple[Seam, ...]
    areas: tuple[Area, ...]
    seam_line: tuple[Seam, ...]
    stitch_line: tuple[Seam, ...]
    outline: tuple[Seam, ...]
    parts: Seams
    sleeved: bool
    bottom: float


def zones_on(kind: str, view: str, asked: frozenset[str] | None = None) -> tuple[str, ...]:
    """Keys of the zones that a view ("front" or "back") shows for a kind, in the catalogue's order.

    `asked` narrows them to a round's own. Raises KeyError for an unknown kind.
    """
    seen = (zone.key for zone in zones_for(kind) if zone.side in (view, "both"))
    return tuple(key for key in seen if asked is None or key in asked)


@lru_cache(maxsize=256)
def cut(kind: str, view: str, *, fuller: bool = False, asked: frozenset[str] | None = None) -> Cut:
    """Cut the "front" or "back" of the form for a kind of garment. Raises KeyError for an unknown kind."""
    parts = seams(view, fuller)
    keys = frozenset(zones_on(kind, view, asked))
    specs = {key: _spec(key, kind, keys) for key in _ORDER if key in keys}
    drawn = {name.lstrip("-") for spec in specs.values() for name in spec.split()}
    sleeved = kind not in LOWER_KINDS and not keys.isdisjoint(_SLEEVE)
    outline, edges = _outline(parts, kind, sleeved)
    ground_line = _ground_line(parts, kind, sleeved)
    inner = sorted(drawn - edges | ({"armhole_top", "armhole_low"} if sleeved else set()))
    return Cut(
        ground=_ground(parts, sleeved), ground_line=ground_line, garment=_garment(parts, kind, sleeved),
        sleeved=sleeved,
        areas=tuple(_area(parts, key, spec, kind, fuller) for key, spec in specs.items()),
        seam_line=_both(parts[name] for name in inner if name not in _STITCHED),
        stitch_line=_both(parts[name] for name in inner if name in _STITCHED),
        outline=outline, parts=parts, bottom=max(y for one in (*outline, *ground_line) for _, y in one),
    )  # fmt: skip


def _spec(key: str, kind: str, keys: frozenset[str]) -> str:
    if key == "length":
        return _HEMS[kind]
    if key == "shoulder" and "strap" not in keys:
        return _SHOULDER_NO_STRAP
    if key == "hip" and "high_hip" not in keys:
        return _HIP_FROM_WAIST
    return _LOOPS[key]


def _walk(parts: Seams, spec: str) -> Seam:
    return joined(*(back(parts[word[1:]]) if word[0] == "-" else parts[word] for word in spec.split()))


def _both(halves: Iterable[Seam]) -> tuple[Seam, ...]:
    return tuple(one for half in halves for one in (half, other_side(half)))


def _area(parts: Seams, key: str, spec: str, kind: str, fuller: bool) -> Area:
    walked = _walk(parts, spec)
    paired = key in _PAIRS or (key == "length" and kind == "trousers")
    x, y = place(_SPOTS[key], fuller) if key in _SPOTS else _middle(walked)
    reach, width = _reach(parts, key, kind)
    return Area(key, _both([walked]) if paired else (across(walked),), ((2 * CENTRE - x, y), (x, y)), reach, width)


def _middle(one: Seam) -> Point:
    xs, ys = [x for x, _ in one], [y for _, y in one]
    return ((min(xs) * 0.3 + max(xs) * 0.7), (min(ys) + max(ys)) / 2)


def _reach(parts: Seams, key: str, kind: str) -> tuple[tuple[Seam, ...], float]:
    """An unseen stroke, and its width, that widens the target of a narrow zone: into a wide neighbour or outwards."""
    if key == "shoulder_line":
        return _both([tuple((x + 4, y - 15) for x, y in parts["shoulder"])]), 46
    if key == "length":
        return _both([parts[_HEMS[kind].split()[1 if kind == "trousers" else -1]]]), 66
    walk, width = _REACHES.get(key, ("", 0))
    return (_both([_walk(parts, walk)]) if walk else ()), width


def _ground(parts: Seams, sleeved: bool) -> tuple[Seam, ...]:
    torso = across(_walk(parts, f"{_TORSO_TOP} {_TO_HIP} hip_low"))
    return (torso,) if sleeved else (torso, *_both([_walk(parts, "arm_plate -armhole_low -armhole_top")]))


def _ground_line(parts: Seams, kind: str, sleeved: bool) -> tuple[Seam, ...]:
    """The form's own edge where no garment covers it: arm plates, and the body above or below the garment."""
    walks = [] if sleeved else ["arm_plate"]
    if kind in LOWER_KINDS:
        body = "underarm_top underarm_low side_bust side_rib"
        walks += ["neck_top neck_low", "shoulder", "armhole_top armhole_low", body]
    else:
        walks.append(f"{_TO_HIP} hip_low")
    return _both(_walk(parts, walk) for walk in walks)


def _garment(parts: Seams, kind: str, sleeved: bool) -> tuple[Seam, ...]:
    if kind == "skirt":
        return (across(_walk(parts, f"-waist_top {_HEM_WALK[kind]}")),)
    if kind == "trousers":
        block = across(_walk(parts, f"-waist_top {_TO_HIP} side_rise crotch_line crotch"))
        return (block, *_both([_walk(parts, f"{_LEG} -crotch_line")]))
    body = across(_walk(parts, f"{_TORSO_TOP} {_HEM_WALK[kind]}"))
    return (body, *_both([_walk(parts, f"{_SLEEVE_EDGE} -armhole_low -armhole_top")])) if sleeved else (body,)


def _outline(parts: Seams, kind: str, sleeved: bool) -> tuple[tuple[Seam, ...], frozenset[str]]:
    """The garment's own edge, in the heavy line, and the names of the seams that it uses."""
    if kind == "skirt":
        walks = ["waist_top", _HEM_WALK[kind]]
    elif kind == "trousers":
        walks = ["waist_top", f"{_TO_HIP} side_rise {_LEG} crotch"]
    else:
        arm = _SLEEVE_EDGE if sleeved else "armhole_top armhole_low"
        body = f"underarm_top underarm_low side_bust side_rib {_HEM_WALK[kind]}"
        walks = [f"shoulder {arm}", body, "neck_top neck_low"]
    return _both(_walk(parts, walk) for walk in walks), frozenset(" ".join(walks).split())
