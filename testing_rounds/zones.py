"""The zones of a garment: where a fit report asks, in which two words, and what each word tends to mean.

The first pole of a zone is its minus side (tight, short, narrow). Left and right are one zone. Causes and
changes are common practice, no source: a place to start looking, while the reports decide.
"""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass
from typing import Literal

from measurements.sentences import gettext_noop, pgettext_noop
from testing_rounds.round_data import Zone

Side = Literal["front", "back", "both"]
Sort = Literal["width", "height", "posture"]

KINDS = ("bodice", "shirt", "dress", "skirt", "trousers", "jacket", "knit")

# The misfit, in cm, that a tester just calls slight (common practice, no source); a studio may set its own.
TRUNK_CM, LIMB_CM, LENGTH_CM = 1.2, 0.7, 0.8


@dataclass(frozen=True)
class GarmentZone:
    """One zone of the catalogue.

    `body` and `finished` are keys of measurements, the most telling first. `low_cause` and `high_cause` say
    what usually lies behind each word, `change` what a pattern cutter would do.
    """

    key: str
    label: str
    low: str
    high: str
    side: Side
    kinds: tuple[str, ...]
    sort: Sort
    scale_cm: float
    body: tuple[str, ...]
    finished: tuple[str, ...]
    low_cause: str
    high_cause: str
    change: str

    def asked(self, chart: Collection[str] | None = None) -> Zone:
        """The zone as a round asks it.

        Its body point is the first of its body measurements that stands in the chart (any, if no chart is
        given); one that height can stand in for needs no chart.
        """
        usable = [point for point in self.body if chart is None or point in chart or point in BY_HEIGHT]
        return Zone(self.key, self.label, self.low, self.high, next(iter(usable), None), self.scale_cm)


VIEW = "a view in a photo"


@dataclass(frozen=True)
class PhotoView:
    """A view that testers are asked to photograph. Its label is translated in the context VIEW: the back of a garment
    is not the way back that a seam sits."""

    key: str
    label: str


# Body lengths that follow from the height where nobody measured them, with the length of the body they lie along.
BY_HEIGHT = {
    "height": "nape_to_waist",
    "back_waist": "nape_to_waist",
    "front_waist": "nape_to_waist",
    "arm": "arm",
    "waist_to_knee": "waist_to_knee",
}

_BODICE = ("bodice", "shirt", "dress")
_TAILORED = (*_BODICE, "jacket")
_UPPER = (*_TAILORED, "knit")


def _zone(
    key: str,
    label: str,
    low: tuple[str, str],
    high: tuple[str, str],
    change: str,
    about: tuple[Side, Sort, float],
    kinds: tuple[str, ...],
    body: str = "",
    finished: str = "",
) -> GarmentZone:
    side, sort, scale_cm = about
    (low_word, low_cause), (high_word, high_cause) = low, high
    return GarmentZone(
        key, label, low_word, high_word, side, kinds, sort, scale_cm,
        tuple(body.split()), tuple(finished.split()), low_cause, high_cause, change,
    )  # fmt: skip


_ = gettext_noop
_ALL = (
    _zone(
        "neck", _("neck"),
        (_("tight"), _("The neck is cut high.")),
        (_("gaping"), _("The edge has stretched, or the size went by the full bust.")),
        _("Lower the neck edge; close a wedge into the dart."),
        ("both", "width", LIMB_CM), _UPPER, "high_bust neck", "neck_edge",
    ),
    _zone(
        "shoulder", _("shoulder"),
        (_("narrow"), _("The size is small for the frame.")),
        (_("wide"), _("The size is large for the frame.")),
        _("Move the armhole along the shoulder."),
        ("both", "width", LIMB_CM), _UPPER, "shoulder", "shoulder",
    ),
    _zone(
        "shoulder_line", _("shoulder line"),
        (_("back"), _("The draft sets the seam too far back.")),
        (_("forward"), _("The draft sets the seam too far forward, or the shoulders stand forward.")),
        _("Swing the shoulder seam from the neck point."),
        ("both", "posture", LENGTH_CM), _TAILORED,
    ),
    _zone(
        "across_back", _("across back"),
        (_("tight"), _("There is no ease to reach forward.")),
        (_("loose"), _("The draft is wide for an upright stance.")),
        _("Move the back armhole; take width into the shoulder dart."),
        ("back", "width", TRUNK_CM), _UPPER, "across_back", "across_back",
    ),
    _zone(
        "armhole", _("armhole"),
        (_("high"), _("The depth of the armhole falls behind the grade.")),
        (_("low"), _("The armhole is cut too deep.")),
        _("Change the depth, and the sleeve cap with it."),
        ("both", "height", LENGTH_CM), _UPPER, "upper_arm", "armhole armhole_depth",
    ),
    _zone(
        "bust", _("bust"),
        (_("tight"), _("The drafted cup is small.")),
        (_("loose"), _("There is more ease than meant.")),
        _("A full or small bust change."),
        ("front", "width", TRUNK_CM), _UPPER, "bust high_bust", "bust",
    ),
    _zone(
        "bust_point", _("bust point"),
        (_("high"), _("The dart is placed high.")),
        (_("low"), _("The dart is placed low.")),
        _("Move the dart."),
        ("front", "height", LENGTH_CM), _TAILORED, "bust_height", "dart_point",
    ),
    _zone(
        "front_length", _("front length"),
        (_("short"), _("A full cup lifts the hem.")),
        (_("long"), _("The draft is long in front.")),
        _("Open or close a wedge at the dart."),
        ("front", "height", LENGTH_CM), _TAILORED, "front_waist", "front_length",
    ),
    _zone(
        "back_length", _("back length"),
        (_("short"), _("The draft is short in the back.")),
        (_("long"), _("The cloth folds above the waist: a hollow back.")),
        _("Lengthen the back; or fold out at the centre back."),
        ("back", "height", LENGTH_CM), _UPPER, "back_waist", "back_length",
    ),
    _zone(
        "waist", _("waist"),
        (_("tight"), _("A step of the grade has slipped, or two sizes were not blended.")),
        (_("loose"), _("A step of the grade has slipped, or two sizes were not blended.")),
        _("Change the darts and the side seams."),
        ("both", "width", TRUNK_CM), (*_BODICE, "skirt", "trousers", "jacket"), "waist", "waist",
    ),
    _zone(
        "high_hip", _("high hip"),
        (_("tight"), _("The side seam runs too straight.")),
        (_("loose"), _("The side seam curves too much.")),
        _("Redraw the curve of the side seam."),
        ("front", "width", TRUNK_CM), ("dress", "skirt", "trousers", "jacket"), "high_hip", "high_hip",
    ),
    _zone(
        "hip", _("hip"),
        (_("tight"), _("The grade falls behind.")),
        (_("loose"), _("There is more ease than meant.")),
        _("Change the side seams."),
        ("both", "width", TRUNK_CM), ("dress", "skirt", "trousers", "jacket", "knit"), "hip", "hip",
    ),
    _zone(
        "length", _("length"),
        (_("short"), _("The height drafted for is less than the testers'.")),
        (_("long"), _("The height drafted for is more than the testers'.")),
        _("Move the hem, or spread and fold at the marked line."),
        ("both", "height", LENGTH_CM), KINDS, "height", "length inside_leg",
    ),
    _zone(
        "cap", _("sleeve cap"),
        (_("pulls"), _("The cap is flat.")),
        (_("puckers"), _("There is too much ease in the cap.")),
        _("Change the height of the cap."),
        ("both", "width", LIMB_CM), _UPPER, "shoulder", "cap_seam",
    ),
    _zone(
        "upper_arm", _("upper arm"),
        (_("tight"), _("The sleeve has no break where the body has one.")),
        (_("loose"), _("The sleeve is over-wide.")),
        _("Spread or fold the sleeve, then check the cap again."),
        ("both", "width", LIMB_CM), _UPPER, "upper_arm", "upper_arm",
    ),
    _zone(
        "sleeve_length", _("sleeve length"),
        (_("short"), _("The height drafted for is less than the testers'.")),
        (_("long"), _("The sleeve is drafted long.")),
        _("Spread or fold at the marked line."),
        ("both", "height", LENGTH_CM), _UPPER, "arm", "sleeve_length",
    ),
    _zone(
        "strap", _("strap"),
        (_("short"), _("The height drafted for is less than the testers'.")),
        (_("long"), _("A strap cut on the bias has grown.")),
        _("Cut it long and fit it on the body."),
        ("both", "height", LENGTH_CM), ("bodice", "dress"), "front_waist back_waist", "strap",
    ),
    _zone(
        "rise", _("rise"),
        (_("short"), _("The crotch seam pulls up.")),
        (_("long"), _("The cloth folds under the seat.")),
        _("Change the depth and the hook of the crotch seam."),
        ("both", "height", LENGTH_CM), ("trousers",), "rise crotch_length", "front_rise back_rise",
    ),
    _zone(
        "thigh", _("thigh"),
        (_("tight"), _("The grade falls behind.")),
        (_("loose"), _("There is more ease than meant.")),
        _("Move the inside leg seam."),
        ("both", "width", LIMB_CM), ("trousers",), "thigh", "thigh",
    ),
)  # fmt: skip

CATALOGUE: dict[str, GarmentZone] = {zone.key: zone for zone in _ALL}

# A change in one of these asks for another look at the others.
LINKED: tuple[tuple[str, ...], ...] = (
    ("bust", "front_length", "armhole"),
    ("armhole", "cap", "upper_arm"),
    ("back_length", "waist"),
    ("waist", "hip", "rise"),
)
# With these goes the opening, which is a length of the garment and no zone.
WITH_OPENING = frozenset({"back_length", "waist"})

_VIEWS = {
    view.key: view
    for view in (
        PhotoView("front", pgettext_noop("a view in a photo", "front")),
        PhotoView("side", pgettext_noop("a view in a photo", "side")),
        PhotoView("back", pgettext_noop("a view in a photo", "back")),
        PhotoView("arms_forward", pgettext_noop("a view in a photo", "arms forward")),
        PhotoView("seated", pgettext_noop("a view in a photo", "seated")),
        PhotoView("close_up", pgettext_noop("a view in a photo", "close-up")),
    )
}
# Zones that a kind has only in some styles: straps, and the sleeve of a bodice that is sewn without one.
_SLEEVE = {"cap", "upper_arm", "sleeve_length"}


def zones_for(kind: str) -> tuple[GarmentZone, ...]:
    """Every zone that a kind of garment can have. Raises KeyError for an unknown kind."""
    _known(kind)
    return tuple(zone for zone in _ALL if kind in zone.kinds)


def default_zones(kind: str) -> tuple[GarmentZone, ...]:
    """The zones that a round of this kind asks unless the studio chooses others."""
    left_out = {"strap"} | (_SLEEVE if kind == "bodice" else set())
    return tuple(zone for zone in zones_for(kind) if zone.key not in left_out)


def default_views(kind: str) -> tuple[PhotoView, ...]:
    """The photo views that a round of this kind asks."""
    _known(kind)
    moving = {"trousers": ["seated"], "skirt": []}.get(kind, ["arms_forward"])
    return tuple(_VIEWS[key] for key in ("front", "side", "back", *moving, "close_up"))


def linked(key: str) -> tuple[str, ...]:
    """The zones to look at again when this one changes, in the order of the catalogue."""
    others = {other for group in LINKED if key in group for other in group} - {key}
    return tuple(zone for zone in CATALOGUE if zone in others)


def sort_of(zone: Zone) -> Sort:
    """Whether a zone of a round measures a width, a height or a posture: its two words tell first."""
    words = {zone.low, zone.high}
    if words & {"tight", "loose", "narrow", "wide"}:
        return "width"
    if words & {"short", "long", "high", "low"}:
        return "height"
    return CATALOGUE[zone.key].sort if zone.key in CATALOGUE else "width"


def finished_points(zone: Zone) -> tuple[str, ...]:
    """The finished measurements that show a zone of a round, by the catalogue or by the zone's own names."""
    if zone.key in CATALOGUE:
        return CATALOGUE[zone.key].finished
    return (zone.key, zone.body_point) if zone.body_point else (zone.key,)


def _known(kind: str) -> None:
    if kind not in KINDS:
        raise KeyError(f"{kind!r} is no kind of garment; the kinds are {', '.join(KINDS)}")
