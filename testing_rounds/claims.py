"""How sure a reading is, what else it could be, and what to change by how much: in words and in numbers."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal

from django.utils.text import capfirst
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, ngettext

from measurements.translated import both_units, by_locale, in_words
from testing_rounds import say
from testing_rounds.chart_tables import Charts
from testing_rounds.correction import Correction, correct
from testing_rounds.evidence import Evidence
from testing_rounds.evidence_words import covered, listed, size_span, spelled, zone_title
from testing_rounds.overview_words import STYLE
from testing_rounds.reading import Reading
from testing_rounds.zone_correction import estimate_of, touched_by, zone_correction

# From this strength on. A claim is made from .62 on (said.REPEATED_FROM), and none is stated above .99.
SURE = (
    (0.95, gettext_lazy("all but certain")),
    (0.85, gettext_lazy("very likely")),
    (0.70, gettext_lazy("likely")),
    (0.50, gettext_lazy("more likely than not")),
    (0.00, gettext_lazy("a hint")),
)


def strength_words(reading: Reading) -> str:
    """ "very likely, 93 %": the chance that something is wrong there; "" where the method states none."""
    if reading.strength is None:
        return ""
    words = next(str(words) for least, words in SURE if reading.strength >= least)
    return _("%(words)s, %(percent)s %%") % {"words": words, "percent": percent(reading.strength)}


def percent(share: float) -> int:
    """A share in whole per cent."""
    return round(100 * share)


def also_words(reading: Reading) -> Iterator[str]:
    """What else it could be, with the share of each: "It could also be (14 %): from one size on ..." """
    shares = [share for shape, share in reading.alternatives.items() if shape in say.CAUSES]
    for cause, share in zip(say.also(reading), shares, strict=True):
        words = in_words(cause)
        words = words[:1].lower() + words[1:]
        if share is None:
            yield _("It could also be: %(cause)s") % {"cause": words}
        else:
            yield _("It could also be (%(percent)s %%): %(cause)s") % {"percent": percent(share), "cause": words}


@dataclass(frozen=True)
class Fix:
    """The proposed change in words: what to change by how much, the testers' range, which number is taken and why."""

    change: str
    within: str
    why: str


def fix_of(evidence: Evidence, reading: Reading, charts: Charts | None) -> Fix | None:
    """The change that a reading proposes; None where there is no number."""
    zone = evidence.zones[reading.zone]
    found = zone_correction(evidence, zone, charts) if charts else None
    name = found.name if found else zone_title(zone)
    correction = found.correction if found else _by_testers(evidence, reading)
    if not correction.known:
        return None
    sizes = evidence.data.sizes
    return Fix(_change(name, correction, sizes), _within(correction, sizes), in_words(correction.says))


def _by_testers(evidence: Evidence, reading: Reading) -> Correction:
    """The testers' own number, where no finished measurement shows the zone."""
    touched = touched_by(evidence, reading)
    estimate = estimate_of(evidence, reading, touched)
    return correct(
        "", reading.reading, reading.direction, touched, evidence.data.sizes, estimate=estimate, graded=()
    )  # fmt: skip


def _change(name: str, correction: Correction, sizes: Sequence[str]) -> str:
    """ "Waist: +2.5 cm (1 in) in size 18", "Upper arm: +0.5 cm (1/4 in) at 16, growing to +3 cm (1 1/8 in) at 24"."""
    named = [size for size in sizes if size in correction.changes]
    ends = correction.changes[named[0]], correction.changes[named[-1]]
    places = {"name": name, "first": named[0], "last": named[-1], "all": size_span(named, sizes)}
    places |= {"one": signed(ends[0]), "other": signed(ends[1])}
    if len({*correction.changes.values()}) == 1:
        if len(named) == 1:
            return _("%(name)s: %(one)s in size %(first)s") % places
        return _("%(name)s: %(one)s in %(all)s") % places
    if len(named) == 2:
        return _("%(name)s: %(one)s at %(first)s, %(other)s at %(last)s") % places
    if abs(ends[1]) >= abs(ends[0]):
        return _("%(name)s: %(one)s at %(first)s, growing to %(other)s at %(last)s") % places
    return _("%(name)s: %(other)s at %(last)s, growing to %(one)s at %(first)s") % places


def _within(correction: Correction, sizes: Sequence[str]) -> str:
    """The range of the testers' estimate in the sizes that stand at the ends of the change."""
    ranges = correction.estimate.ranges
    named = [size for size in sizes if size in correction.changes and size in ranges]
    if not named:
        return ""
    if correction.kind == "draft":
        lows, highs = zip(*(ranges[size] for size in named), strict=True)
        shared = max(lows), min(highs)
        parts = [_range(shared if shared[0] <= shared[1] else (min(lows), max(highs)))]
    else:
        ends = list(dict.fromkeys([named[0], named[-1]]))
        if len(ends) == 1:
            parts = [_range(ranges[ends[0]])]
        else:
            parts = [_("%(range)s at %(size)s") % {"range": _range(ranges[size]), "size": size} for size in ends]
    if correction.estimate.asked:
        return _("Testers ask for %(ranges)s.") % {"ranges": listed(parts)}
    return _("Testers’ range, 90 %%: %(ranges)s.") % {"ranges": listed(parts)}


def _range(ends: tuple[Decimal, Decimal]) -> str:
    return _("%(low)s to %(high)s cm") % {"low": _plus(ends[0]), "high": _plus(ends[1])}


def _plus(mm: Decimal) -> str:
    return f"{_sign(mm)}{by_locale(STYLE.cm(abs(mm)))}"


def signed(mm: Decimal) -> str:
    """ "+1.5 cm (5/8 in)"."""
    return f"{_sign(mm)}{both_units(STYLE, abs(mm))}"


def _sign(mm: Decimal) -> str:
    return "" if STYLE.cm(abs(mm)) == STYLE.cm(Decimal(0)) else "+" if mm > 0 else "−"


@dataclass(frozen=True)
class ClearLine:
    """As many more reports that fit would clear these sizes: `said`, and in how many zones each is open still."""

    said: str
    open: str


def clear_lines(evidence: Evidence, zones: Iterable[str], sizes: Sequence[str]) -> Iterator[ClearLine]:
    """What would clear the sizes in which nothing is read and a fault is not ruled out either, the least first."""
    more, open_in = dict.fromkeys(sizes, 0), dict.fromkeys(sizes, 0)
    for key in zones:
        for size, number in (evidence.readings[key].more_reports or {}).items():
            if size in more:
                more[size], open_in[size] = max(more[size], number), open_in[size] + 1
    for number in sorted({number for number in more.values() if number}):
        yield _clear_line(number, [size for size in sizes if more[size] == number], open_in, evidence.data.sizes)


def _clear_line(number: int, named: Sequence[str], open_in: Mapping[str, int], whole: Sequence[str]) -> ClearLine:
    places = {"n": spelled(number), "sizes": size_span(named, whole)}
    if len(named) == 1:
        said = ngettext(
            "%(n)s more report in %(sizes)s would do, if it fits.",
            "%(n)s more reports in %(sizes)s would do, if they fit.",
            number,
        )
    else:
        said = ngettext(
            "%(n)s more report each in %(sizes)s would do, if they fit.",
            "%(n)s more reports each in %(sizes)s would do, if they fit.",
            number,
        )
    parts = [
        ngettext("%(n)s zone in %(size)s", "%(n)s zones in %(size)s", open_in[size])
        % {"n": open_in[size], "size": size}
        for size in named
    ]
    return ClearLine(capfirst(said % places), _("Not cleared yet: %(zones)s.") % {"zones": listed(parts)})


def change_at(reading: Reading, size: str, sizes: Sequence[str]) -> str:
    """The testers' estimate at one size that a reading covers: "+1.5 cm (5/8 in), +0.9 to +2.1 cm"; else ""."""
    if reading.level != "repeated" or size not in covered(reading, sizes) or not reading.correction_cm:
        return ""
    cm, ends = reading.correction_cm.get(size), (reading.interval_cm or {}).get(size)
    if cm is None:
        return ""
    change = signed(Decimal(str(round(cm * 10, 4))))
    if ends is None:
        return change
    low, high = (Decimal(str(round(end * 10, 4))) for end in ends)
    return _("%(change)s; %(range)s") % {"change": change, "range": _range((low, high))}
