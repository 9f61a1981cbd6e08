"""Finished garment measurements, and the body measurement that each is compared with for ease.

Taken on the closed garment, darts folded, half widths doubled, nothing stretched (common practice, no source).
"""

from __future__ import annotations

from decimal import Decimal

from measurements.measures import Catalogue, Measure
from measurements.sentences import gettext_noop


def _around(
    key: str, name: str, cm: tuple[int, int], definition: str, *aliases: str, body: str | None = None
) -> Measure:
    how = gettext_noop("Close the garment, lay it flat, measure across and double it.")
    return Measure(key, name, definition, how, Decimal(cm[0] * 10), Decimal(cm[1] * 10), True, aliases, body)


def _along(
    key: str, name: str, cm: tuple[int, int], definition: str, *aliases: str, body: str | None = None
) -> Measure:
    how = gettext_noop("Lay the garment flat, smooth it without stretching, measure along the line.")
    return Measure(key, name, definition, how, Decimal(cm[0] * 10), Decimal(cm[1] * 10), False, aliases, body)


FINISHED_MEASURES = Catalogue(
    (
        _around(
            "bust", gettext_noop("Bust"), (55, 260),
            gettext_noop("Around the garment at the bust line, below the armholes."),
            "finished bust", "chest", "garment bust", "full bust", body="bust",
        ),
        _around(
            "waist", gettext_noop("Waist"), (40, 260),
            gettext_noop("Around the garment at the waist seam or waist line."),
            "finished waist", "garment waist", "waistline", body="waist",
        ),
        _around(
            "high_hip", gettext_noop("High hip"), (55, 280),
            gettext_noop("Around the garment 10 cm (4 in) below the waist."),
            "finished high hip", "upper hip", "top hip", body="high_hip",
        ),
        _around(
            "hip", gettext_noop("Hip"), (60, 320),
            gettext_noop("Around the garment at the stated depth below the waist."),
            "finished hip", "garment hip", "hips", "seat", "full hip", body="hip",
        ),
        _around(
            "sweep", gettext_noop("Sweep"), (60, 1200),
            gettext_noop("Around the hem of a skirt, dress or shirt."),
            "hem sweep", "hem width", "sweep hem", "bottom width",
        ),
        _along(
            "back_length", gettext_noop("Centre back length"), (25, 70),
            gettext_noop("From the neck seam down the centre back to the waist."),
            "center back", "cb", "cb length", "back length", "back waist", "nape to waist", body="back_waist",
        ),
        _along(
            "front_length", gettext_noop("Centre front length"), (18, 70),
            gettext_noop("From the neck edge down the centre front to the waist."),
            "center front", "cf", "cf length", "front length",
        ),
        _along(
            "length", gettext_noop("Length"), (15, 200),
            gettext_noop("The whole length at the centre back, down to the finished hem."),
            "total length", "garment length", "finished length", "center back total length", "skirt length",
        ),
        _along(
            "side_length", gettext_noop("Side length"), (15, 150),
            gettext_noop("From the waist down the side seam to the finished hem."),
            "side seam", "side", "outseam", "outside leg",
        ),
        _along(
            "shoulder", gettext_noop("Shoulder seam"), (2, 30),
            gettext_noop("Along the shoulder seam, from the neck edge to the armhole."),
            "shoulder", "shoulder length", "finished shoulder", body="shoulder",
        ),
        _along(
            "across_back", gettext_noop("Across back"), (22, 70),
            gettext_noop("Across the back from armhole to armhole, halfway down them."),
            "back width", "cross back", "x back", body="across_back",
        ),
        _along(
            "neck_edge", gettext_noop("Neck edge"), (28, 120),
            gettext_noop("Around the finished neck edge, unstretched."),
            "neck", "neckline", "collar", "neck seam", body="neck",
        ),
        _along(
            "neck_opening", gettext_noop("Neck opening, stretched"), (45, 140),
            gettext_noop("Around the neck opening, pulled out as far as it goes over the head."),
            "neck stretched", "stretched neck", "minimum neck stretch",
        ),
        _along(
            "armhole", gettext_noop("Armhole"), (28, 90),
            gettext_noop("Around the armhole along the seam line."),
            "armscye", "arm hole", "armhole seam", "scye",
        ),
        _along(
            "armhole_depth", gettext_noop("Armhole depth"), (12, 40),
            gettext_noop("From the shoulder point straight down to the level of the underarm."),
            "scye depth", "armscye depth",
        ),
        _along(
            "dart_point", gettext_noop("Dart point"), (15, 50),
            gettext_noop("From the neck point of the shoulder down to the point of the bust dart."),
            "dart height", "bust point", "apex", body="bust_height",
        ),
        _along(
            "strap", gettext_noop("Strap"), (4, 80),
            gettext_noop("Along the finished strap, seam to seam."),
            "strap length", "straps",
        ),
        _along(
            "opening", gettext_noop("Opening"), (3, 130),
            gettext_noop("Along the zip or placket: how long the garment opens."),
            "zip", "zip length", "zipper", "placket", "zip opening",
        ),
        _around(
            "upper_arm", gettext_noop("Upper arm"), (16, 100),
            gettext_noop("Around the sleeve 2.5 cm (1 in) below the underarm."),
            "bicep", "biceps", "sleeve width", "finished upper arm", body="upper_arm",
        ),
        _along(
            "cap_seam", gettext_noop("Sleeve cap seam"), (28, 100),
            gettext_noop("Along the seam line of the sleeve cap, underarm to underarm."),
            "sleeve cap", "cap", "sleeve head", "cap length",
        ),
        _along(
            "sleeve_length", gettext_noop("Sleeve length"), (4, 85),
            gettext_noop("From the shoulder end of the cap to the finished hem of the sleeve."),
            "sleeve", "arm length", body="arm",
        ),
        _around(
            "sleeve_opening", gettext_noop("Sleeve opening"), (14, 120),
            gettext_noop("Around the finished hem or cuff of the sleeve."),
            "sleeve hem", "cuff", "cuff width", "wrist",
        ),
        _around(
            "thigh", gettext_noop("Thigh"), (36, 160),
            gettext_noop("Around one leg 2.5 cm (1 in) below the crotch."),
            "thigh width", "finished thigh", "upper leg", body="thigh",
        ),
        _around(
            "knee", gettext_noop("Knee"), (26, 200),
            gettext_noop("Around one leg at the knee line."),
            "knee width", "finished knee",
        ),
        _around(
            "hem", gettext_noop("Hem"), (18, 240),
            gettext_noop("Around one leg at the finished hem."),
            "leg opening", "hem opening", "leg hem", "ankle",
        ),
        _along(
            "front_rise", gettext_noop("Front rise"), (12, 55),
            gettext_noop("Along the front crotch seam, from waist to inside leg."),
            "front crotch", "rise front",
        ),
        _along(
            "back_rise", gettext_noop("Back rise"), (18, 70),
            gettext_noop("Along the back crotch seam, from waist to inside leg."),
            "back crotch", "rise back",
        ),
        _along(
            "inside_leg", gettext_noop("Inside leg"), (3, 110),
            gettext_noop("Along the inside leg seam, from crotch to finished hem."),
            "inseam", "inner leg", "inside leg seam", body="inside_leg",
        ),
    )
)  # fmt: skip

_BODICE = (
    *("bust", "waist", "back_length", "front_length", "shoulder"),
    *("across_back", "neck_edge", "armhole", "dart_point"),
)
_SLEEVE = ("upper_arm", "cap_seam", "sleeve_length", "sleeve_opening")
_DRESS = (*_BODICE, "hip", "sweep", "length", "opening")

BY_KIND: dict[str, tuple[str, ...]] = {
    "bodice": _BODICE,
    "shirt": (*_BODICE, "sweep", "length", *_SLEEVE),
    "dress": _DRESS,
    "skirt": ("waist", "hip", "sweep", "length", "side_length"),
    "trousers": ("waist", "hip", "thigh", "knee", "hem", "front_rise", "back_rise", "inside_leg"),
    "sleeve": _SLEEVE,
    "jacket": (*_DRESS, *_SLEEVE),
    "knit": (*_DRESS, "neck_opening"),
}


def finished_for(kind: str) -> tuple[str, ...]:
    """The finished measurements that a version of this kind should give, in order."""
    return BY_KIND[kind]
