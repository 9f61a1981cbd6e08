"""The page on which a tester says where the toile fits and where it does not."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from django.urls import reverse
from django.utils.text import capfirst
from django.utils.translation import gettext as _

from measurements.body_measures import BODY_MEASURES
from measurements.finished_measures import FINISHED_MEASURES
from measurements.length_display import BODY_STYLE
from measurements.lengths import Length
from measurements.translated import both_units
from testing_rounds.drawings import ZoneMark, is_fuller, zones_on
from testing_rounds.models import Shoes, ZoneVerdict
from testing_rounds.round_store import zone as plain_zone
from testing_rounds.tester_book import Book
from testing_rounds.tester_families import toile_places
from testing_rounds.tester_fields import MEASUREMENTS
from testing_rounds.tester_forms import Page, Shown
from testing_rounds.tester_prints import print_ask
from testing_rounds.verdict_words import FITS, change_for, grade
from testing_rounds.zones import CATALOGUE, sort_of

# On the form a slight misfit is drawn thin and a strong one thick.
DRAWN = {1: 1, 2: 3}
# A toile sewn further from the pattern than this is measured once more (it is then set aside at its own size).
TOILE_MM = Decimal(10)
STRONG = 2
BOTH_TIGHT = frozenset({"bust", "waist"})
ZoneEntry = Mapping[str, Any]


@dataclass(frozen=True)
class Row:
    """One zone as it stands: its name, the answer (None: not looked at) in words, and what goes with it."""

    key: str
    name: str
    fit: int | None
    said: str
    by_rest: bool
    change: str
    altered: bool
    words: str

    @property
    def side(self) -> str:
        return "sm" if (self.fit or 0) < 0 else "lg" if self.fit else ""


def zone_name(entry: ZoneEntry) -> str:
    return capfirst(_(entry["label"]))


def fit_words(entry: ZoneEntry, fit: int) -> str:
    """One of the five answers on a zone in the reader's language."""
    if not fit:
        return _(FITS)
    template, values = grade(entry["low"] if fit < 0 else entry["high"], abs(fit))
    return _(template) % values


def fit_page(page: Page, at: str = "") -> dict[str, Any]:
    """The form, the question on the zone that is open, all that is marked. `at` is a zone, a side, or both: "waist
    back"."""
    book = page.book
    entries = {entry["key"]: entry for entry in book.round.zones}
    base = reverse("test_fit", args=[book.place.visit])
    asked = at.split()
    zone = next((word for word in asked if word in entries), "")
    view = _view(zone, next((word for word in asked if word in {"front", "back"}), ""))
    rows = [_row(entry, book.verdicts.get(key), page) for key, entry in entries.items()]
    drawn = {side: zones_on(book.pattern.kind, side, frozenset(entries)) for side in ("front", "back")}
    other = "back" if view == "front" else "front"
    return {
        "rows": rows,
        "marked": [row for row in rows if row.fit],
        "unsaid": [row for row in rows if row.fit is None],
        "fine_by_rest": [row for row in rows if row.by_rest],
        "view": view,
        "drawn": any(drawn.values()),
        "states": {row.key: _mark(row) for row in rows if row.key in drawn[view] and _shows(row)},
        "zone_keys": list(entries),
        "names": {key: zone_name(entry) for key, entry in entries.items()},
        "marked_elsewhere": len([row for row in rows if row.fit and row.key in set(drawn[other]) - set(drawn[view])]),
        "zone_base": base,
        "zone_href": f"{base}{{zone}}/#question",
        "fuller": _fuller(book),
        "rest": rest_field(page),
        "toile": _toile(page),
        "underneath": page.field("underneath", _("What did you wear underneath?"), _("It changes how a bodice sits.")),
        "print_ask": print_ask(book),
        **(_question(page, entries, zone) if zone else {"zone": ""}),
    }


def _view(zone: str, asked: str) -> str:
    """The side that was asked for, else the one that shows the zone."""
    side = CATALOGUE[zone].side if zone in CATALOGUE else "both"
    return asked or ("front" if side == "both" else side)


def _fuller(book: Book) -> bool:
    sizes = book.version.sizes
    return book.size in sizes and is_fuller(sizes.index(book.size), len(sizes))


def _shows(row: Row) -> bool:
    """A zone that is fine by the rest is not written on the form: its name would say what nobody pointed at."""
    return row.fit is not None and not row.by_rest


def _mark(row: Row) -> ZoneMark:
    if not row.fit:
        return ZoneMark(note=row.said)
    return ZoneMark("small" if row.fit < 0 else "large", DRAWN[abs(row.fit)], row.said)


def _row(entry: ZoneEntry, verdict: ZoneVerdict | None, page: Page) -> Row:
    key = entry["key"]
    if verdict is None:
        return Row(key, zone_name(entry), None, "", False, "", False, "")
    change = page.field(f"fit.{key}.change").value
    return Row(
        key,
        zone_name(entry),
        verdict.fit,
        fit_words(entry, verdict.fit),
        verdict.by_rest,
        _change_words(entry, verdict, change, page.book.unit),
        verdict.altered,
        verdict.words,
    )


def _change_words(entry: ZoneEntry, verdict: ZoneVerdict, change: str, unit: str) -> str:
    """ "I would let it out by 2.5 cm", or nothing."""
    if verdict.change_mm is None or not change:
        return ""
    amount = change if change[-1].isalpha() or change[-1] == '"' else f"{change} {unit}"
    return f"{_(change_for(_pole(entry, verdict.fit)))} {amount}"


def _pole(entry: ZoneEntry, fit: int) -> str:
    return entry["low"] if fit < 0 else entry["high"] if fit > 0 else ""


def rest_field(page: Page) -> Shown:
    return page.field("rest_fits", _("All these I looked at, fine"))


def question(page: Page, zone: str) -> dict[str, Any]:
    """The question on one zone, with its neighbours."""
    return _question(page, {entry["key"]: entry for entry in page.book.round.zones}, zone)


def _question(page: Page, entries: Mapping[str, ZoneEntry], zone: str) -> dict[str, Any]:
    entry, keys = entries[zone], list(entries)
    verdict = page.book.verdicts.get(zone)
    width = sort_of(plain_zone(entry)) == "width"
    hint = _("In all, the whole way round. Leave it empty if you are not sure.") if width else ""
    return {
        "zone": zone,
        "zone_name": zone_name(entry),
        "zone_row": _row(entry, verdict, page),
        **_follow_up(page, entry),
        "fit": page.field(f"fit.{zone}", choices=[(str(n), fit_words(entry, n)) for n in (-2, -1, 0, 1, 2)]),
        "change": page.field(
            f"fit.{zone}.change",
            _(change_for(_pole(entry, verdict.fit if verdict else 0))),
            hint or _("Leave it empty if you are not sure."),
        ),
        "altered": page.field(f"fit.{zone}.altered", _("It was altered here before sewing")),
        "words": page.field(f"fit.{zone}.words", _("What do you see?"), _("Drag lines, folds, where it starts.")),
        **_neighbours(keys, keys.index(zone), entries),
    }


def _follow_up(page: Page, entry: ZoneEntry) -> dict[str, Any]:
    """What is asked after this answer, so that the misfit can be told from its cause: a sentence, and fields."""
    book = page.book
    verdict, point = book.verdicts.get(entry["key"]), str(entry.get("body_point") or "")
    if verdict is None or not verdict.fit:
        return {"look_again": "", "follow": []}
    measures = MEASUREMENTS in book.consents
    tight = {zone for zone, row in book.verdicts.items() if row.fit < 0}
    if entry["key"] in BOTH_TIGHT <= tight:
        seam = page.field("seam", _("How wide did you sew the side seams?"), _("From the stitching to the raw edge."))
        said = _("Bust and waist both tight: please measure the garment itself, below, and the width of its seams.")
        return {"look_again": said, "follow": [seam]}
    if entry["key"] == "length":
        height = [_body_again(page, "height")] if measures else []
        shoes = page.field(
            "shoes", _("With which shoes?"), choices=[("", _("not said")), *Shoes.choices], layout="select"
        )
        return {"look_again": _("The hem hangs by your height and your shoes."), "follow": [shoes, *height]}
    strong_width = abs(verdict.fit) == STRONG and sort_of(plain_zone(entry)) == "width"
    if strong_width and point in BODY_MEASURES and measures:
        said = _("That is a strong mark. If you can, take this measurement once more; what you write here replaces it.")
        return {"look_again": said, "follow": [_body_again(page, point)]}
    return {"look_again": "", "follow": []}


def _body_again(page: Page, key: str) -> Shown:
    measure = BODY_MEASURES[key]
    return page.field(f"body.{key}", _(measure.name), _(measure.how))


def _neighbours(keys: list[str], position: int, entries: Mapping[str, ZoneEntry]) -> dict[str, str]:
    """The zones before and after this one in the round's order, with their names; "" at the ends."""
    before = keys[position - 1] if position else ""
    following = keys[position + 1] if position + 1 < len(keys) else ""
    return {
        "zone_before": before,
        "zone_before_name": zone_name(entries[before]) if before else "",
        "zone_after": following,
        "zone_after_name": zone_name(entries[following]) if following else "",
    }


def _toile(page: Page) -> list[Shown]:
    """The toile measured flat: typed as measured, doubled to the full girth."""
    fields, keys = [], toile_places(page.book.pattern.kind)
    meant = page.book.finished_mm(keys)
    for key in keys:

        def echo(length: Length, key: str = key) -> str:
            return doubled(length, meant.get(key), page.book.unit)

        label = _("Across the %(place)s, flat") % {"place": _(FINISHED_MEASURES[key].name).lower()}
        fields.append(page.field(f"toile.{key}", label, echo=echo))
    return fields


def doubled(length: Length, meant_mm: Decimal | None, unit: str) -> str:
    """What a flat measure makes of the girth, beside what the pattern means; far apart asks for a second look."""
    girth = length.mm * 2
    said = _("Doubled: %(girth)s.") % {"girth": both_units(BODY_STYLE, girth, unit)}
    if meant_mm is None or abs(girth - meant_mm) <= TOILE_MM:
        return said
    return (
        said
        + " "
        + _(
            "The pattern has %(meant)s here: please measure once more. If it stays, leave it: it shows how it was sewn."
        )
        % {"meant": both_units(BODY_STYLE, meant_mm, unit)}
    )
