"""The dress form as a view-model: everything the template needs to draw one view, ready to print."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from testing_rounds.drawings.curves import Seam, joined, number, path
from testing_rounds.drawings.cut import LOWER_KINDS, Area, Cut, cut
from testing_rounds.drawings.labels import Label, Margins, Naming, place_labels
from testing_rounds.drawings.outline import CENTRE, across, other_side
from testing_rounds.drawings.palette import LINES, POLE_INK, POLE_WASH

WIDTH = 384.0
UPPER_THIRD = 2 / 3


@dataclass(frozen=True)
class ZoneMark:
    """What is known of a zone: `pole` "small", "large" or "none", `strength` 1 to 3 (0 with "none"), a short note."""

    pole: str = "none"
    strength: int = 0
    note: str = ""

    def __post_init__(self) -> None:
        if self.pole not in POLE_INK or not 0 <= self.strength <= 3:
            raise ValueError(f"not a mark: {self.pole} {self.strength}")

    @property
    def pattern(self) -> str:
        return f"{self.pole}{self.strength}" if self.pole != "none" and self.strength else ""


@dataclass(frozen=True)
class Pattern:
    """Lines across for the small side, down for the large side, over the whole drawing at once.

    One tile as large as the drawing: smaller tiles show hairline joins in print.
    """

    name: str
    lines: str
    thickness: float
    ink: str
    wash: str


@dataclass(frozen=True)
class ZoneShape:
    """One zone, drawn: its area, its wider target, the mark that fills it, where a tap leads."""

    key: str
    title: str
    area: str
    reach: str
    reach_width: float
    pattern: str
    href: str
    selected: bool


@dataclass(frozen=True)
class NamedZone:
    """A label with what it says and does."""

    label: Label
    href: str
    selected: bool
    marked: bool


@dataclass(frozen=True)
class FormDrawing:
    """One view of the form; every string is SVG path data unless its name says otherwise."""

    prefix: str
    kind: str
    view: str
    title: str
    view_box: str
    width: float
    height: float
    tile: tuple[float, float]
    paper: bool
    zones: tuple[ZoneShape, ...]
    names: tuple[NamedZone, ...]
    patterns: tuple[Pattern, ...]
    ground: str
    ground_line: str
    garment: str
    seam_line: str
    stitch_line: str
    outline: str
    shade: str
    folds: str
    centre_line: str
    ribs: str
    post: str
    finial: str
    cap: str
    pole: str
    feet: str
    name_size: float


def is_fuller(position: int, count: int) -> bool:
    """Whether a size at a position (0 first) of `count` sizes is drawn on the fuller form: the upper third."""
    return count > 1 and position / (count - 1) >= UPPER_THIRD


def dress_form(
    kind: str,
    view: str,
    *,
    prefix: str,
    names: Mapping[str, str],
    title: str = "",
    marks: Mapping[str, ZoneMark] | None = None,
    selected: str = "",
    href: str = "",
    fuller: bool = False,
    labels: str = "all",
    side: str = "both",
    asked: Iterable[str] | None = None,
    paper: bool = False,
) -> FormDrawing:
    """One view ("front" or "back") of the form for a kind of garment.

    `names` gives each zone's words; `marks` what is known of it; `href` a pattern with "{zone}" for links
    (none: a drawing without links); `labels` "all", "marked" or "none"; `side` where marked names stand
    ("left", "right" or "both"); `asked` narrows the zones to a round's own. KeyError for an unknown kind.
    """
    marks = marks or {}
    form = cut(kind, view, fuller=fuller, asked=None if asked is None else frozenset(asked))
    shapes = tuple(_shape(area, names, marks, selected, href) for area in form.areas)
    named = () if labels == "none" else _named(form, kind, names, marks, labels == "marked")
    foot = _foot(kind, form.bottom)
    margins = _margins(form, labels, side, foot)
    top = 17 if kind in LOWER_KINDS else 0
    by_key = {shape.key: shape for shape in shapes}
    placed = place_labels(named, margins, side if labels == "marked" else "both")
    return FormDrawing(
        prefix=prefix, kind=kind, view=view, title=title, paper=paper, zones=shapes,
        view_box=f"{number(margins.left)} {top} {number(margins.right - margins.left)} {number(foot - top)}",
        tile=(WIDTH, foot), width=margins.right - margins.left, height=foot - top, name_size=margins.name_size,
        names=tuple(_link(label, by_key[label.key], marks) for label in placed),
        patterns=tuple(_pattern(name, foot) for name in sorted({shape.pattern for shape in shapes if shape.pattern})),
        ground=path(form.ground, close=True), ground_line=path(form.ground_line),
        garment=path(form.garment, close=True),
        seam_line=path(form.seam_line), stitch_line=path(form.stitch_line), outline=path(form.outline),
        **_decor(form, kind),
    )  # fmt: skip


def _shape(area: Area, names: Mapping[str, str], marks: Mapping[str, ZoneMark], selected: str, href: str) -> ZoneShape:
    mark = marks.get(area.key, ZoneMark())
    name = names.get(area.key, area.key)
    return ZoneShape(
        key=area.key, title=f"{name}: {mark.note}" if mark.note else name, area=path(area.loops, close=True),
        reach=path(area.reach), reach_width=area.reach_width, pattern=mark.pattern,
        href=href.replace("{zone}", area.key), selected=area.key == selected,
    )  # fmt: skip


def _named(
    form: Cut, kind: str, names: Mapping[str, str], marks: Mapping[str, ZoneMark], only_marked: bool
) -> list[Naming]:
    """The names to set; that of a wide skirt's hem stands higher up, where the skirt is narrow."""
    lift = 57.0 if kind in ("skirt", "dress") else 0.0
    return [
        Naming(
            area.key, names.get(area.key, area.key), marks[area.key].note if area.key in marks else "", area.anchors,
            lift if area.key == "length" else 0.0,
        )
        for area in form.areas
        if not only_marked or area.key in marks
    ]  # fmt: skip


def _link(label: Label, shape: ZoneShape, marks: Mapping[str, ZoneMark]) -> NamedZone:
    return NamedZone(label, shape.href, shape.selected, shape.key in marks)


def _margins(form: Cut, labels: str, side: str, foot: float) -> Margins:
    """The room for names: on both sides, on one with larger type beside a second view, or none."""
    taken = tuple(point for area in form.areas for loop in area.loops for point in loop)
    if labels == "none":
        return Margins(60, WIDTH - 60, foot, taken)
    if labels == "all" or side == "both":
        return Margins(0, WIDTH, foot, taken)
    left, right = (-44.0, WIDTH - 58) if side == "left" else (58.0, WIDTH + 44)
    return Margins(left, right, foot, taken, name_size=16.5, hit_width=120.0)


def _pattern(name: str, foot: float) -> Pattern:
    pole, strength = name[:-1], int(name[-1])
    thickness, pitch = LINES[strength - 1]
    count = int((foot if pole == "small" else WIDTH) / pitch)
    places = [number((i + 0.5) * pitch) for i in range(count)]
    lines = "".join(f"M0 {at}H{number(WIDTH)}" if pole == "small" else f"M{at} 0V{number(foot)}" for at in places)
    return Pattern(name, lines, thickness, POLE_INK[pole], POLE_WASH[pole][strength - 1])


# The stand below the form: how long a piece of the pole shows.
_POLE = {"skirt": 10.0, "dress": 10.0, "trousers": 12.0}


def _foot(kind: str, bottom: float) -> float:
    return round(bottom + _POLE.get(kind, 46.0) + 23)


def _decor(form: Cut, kind: str) -> dict[str, str]:
    """The form's own marks, which no zone answers for: post, shading, princess seams, centre, cage."""
    parts, foot_y = form.parts, _foot(kind, form.bottom)
    post = across(joined(parts["post"][::-1], parts["neck_top"], parts["neck_low"]))
    princess = parts["princess"]
    first, last = (6, 15) if kind in LOWER_KINDS else (0, {"bodice": 12}.get(kind, 15))
    top = parts["waist_top" if kind in LOWER_KINDS else "neck_low"][-1][1]
    foot = parts["crotch" if kind == "trousers" else "high_hip_low" if kind == "bodice" else "hip_low"][-1][1]
    ribs = (
        [parts[name] for name in ("rib_inner", "rib_outer", "rib_high", "rib_mid")]
        if kind in ("skirt", "dress")
        else []
    )
    shades = ("shade", "neck_shade", "sleeve_shade") if form.sleeved else ("shade", "neck_shade")
    pole_top = parts["crotch"][-1][1] if kind == "trousers" else form.bottom - 14
    return {
        "post": path([post], close=True), "cap": path([across(parts["cap"])], close=True),
        "finial": path([across(parts["finial"])], close=True),
        "shade": path([parts[name] for name in shades], close=True),
        "folds": path(_both_sides([princess[first : last + 1]])), "ribs": path(_both_sides(ribs)),
        "centre_line": f"M{number(CENTRE)} {number(top)}V{number(foot)}",
        "pole": "".join(f"M{number(CENTRE + x)} {number(pole_top)}V{number(foot_y - 14)}" for x in (-3.0, 3.0)),
        "feet": _feet(foot_y - 22),
    }  # fmt: skip


def _both_sides(halves: Iterable[Seam]) -> list[Seam]:
    return [one for half in halves for one in (half, other_side(half))]


def _feet(top: float) -> str:
    """Three curved feet under the pole, as on a workroom stand."""
    toe = (
        (3.0, 0.0),
        (12, 1.7),
        (26, 7),
        (36, 13.8),
        (38.7, 15.5),
        (37, 18),
        (33.5, 17.2),
        (22.4, 13.8),
        (10.3, 11.2),
        (2.6, 11.2),
    )
    front = ((3.0, 6.9), (3.0, 13.8), (1.7, 18.9), (0, 18.9), (-1.7, 18.9), (-3.0, 13.8), (-3.0, 6.9))
    right = tuple((CENTRE + x, top + y) for x, y in toe)
    return path([right, other_side(right), tuple((CENTRE + x, top + y) for x, y in front)])
