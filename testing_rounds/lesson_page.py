"""The page that looks back on size advice: the reports of a round on either side of a size boundary."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from decimal import Decimal

from django.utils.translation import gettext as _
from django.utils.translation import pgettext

from measurements.size_advice import advise
from measurements.size_advice_types import PatternFacts
from measurements.size_case import LARGER_FROM, SMALLER_UP_TO
from measurements.translated import in_words
from releases.advice import pattern_facts
from testing_rounds.evidence import Evidence
from testing_rounds.evidence_filter import Links
from testing_rounds.evidence_words import pole, zone_name
from testing_rounds.set_aside import Answer
from testing_rounds.size_lesson import BetweenSizes, SideCount, lesson_sentences, size_lesson
from testing_rounds.zones import sort_of

# Other widths follow from the draft and the grade, whichever of two sizes was sewn.
HELD = frozenset({"bust", "waist", "hip"})


@dataclass(frozen=True)
class LessonLine:
    """One report behind the count."""

    tester: str
    sewn: str
    said: str
    url: str
    happy: bool


@dataclass(frozen=True)
class LessonPage:
    headline: str
    sentences: tuple[str, ...]
    smaller: tuple[LessonLine, ...]
    larger: tuple[LessonLine, ...]
    left_out: int


def lesson_page(evidence: Evidence) -> LessonPage:
    """The page, from the answers that count and today's rules."""
    lesson = size_lesson(between_sizes(evidence, pattern_facts(evidence.found.version)))
    first, *rest = (in_words(one) for one in lesson_sentences(lesson))
    smaller, larger = _lines(evidence, lesson.smaller), _lines(evidence, lesson.larger)
    if not evidence.shows_bodies:  # a line tells where a body lies between two sizes
        smaller = larger = ()
    return LessonPage(first, tuple(rest), smaller, larger, len(lesson.left_out))


def between_sizes(evidence: Evidence, facts: PatternFacts) -> Iterator[BetweenSizes]:
    """The reports of testers whose choosing measure lies between two sizes, by the rules of size advice."""
    answers = _by_report(evidence)
    for number, report in enumerate(evidence.data.reports):
        body = {key: Decimal(str(round(cm * 10, 4))) for key, cm in report.body.items() if cm is not None}
        between = advise(body, facts).between if body else None
        if between is None or between.upper is None or not SMALLER_UP_TO < between.share < LARGER_FROM:
            continue
        widths = [answer for answer in answers[number] if answer.counted]
        yield BetweenSizes(
            number,
            between.lower,
            between.upper,
            float(between.share),
            report.size,
            tuple((answer.zone, answer.fit) for answer in widths if answer.fit),
            looked=bool(widths),
            again=evidence.rows[number].same_size_again,
        )


def _by_report(evidence: Evidence) -> Mapping[int, list[Answer]]:
    """The answers on the widths that size advice holds a garment to."""
    found: dict[int, list[Answer]] = defaultdict(list)
    for key, zone in evidence.zones.items():
        if sort_of(zone) == "width" and (zone.body_point in HELD or key in HELD):
            for answer in evidence.answers(key):
                found[answer.report].append(answer)
    return found


def _lines(evidence: Evidence, side: SideCount) -> tuple[LessonLine, ...]:
    reports = sorted((*side.happy, *side.unhappy), key=lambda one: one.report)
    return tuple(_line(evidence, one) for one in reports)


def _line(evidence: Evidence, one: BetweenSizes) -> LessonLine:
    row = evidence.rows[one.report]
    words = {"lower": one.lower, "upper": one.upper, "percent": round(100 * one.share), "sewn": one.sewn}
    sewn = _("%(percent)s %% of the way from %(lower)s to %(upper)s, sewed %(sewn)s") % words
    said = ", ".join(_complaints(evidence, one)) or _("no complaint about a width")
    if one.again is not None:
        said += ", " + (_("the same size again") if one.again else _("not the same size again"))
    return LessonLine(str(row.place), sewn, said, Links.of(evidence).report(row), bool(one.happy))


def _complaints(evidence: Evidence, one: BetweenSizes) -> Iterator[str]:
    for key, fit in one.complaints:
        zone = evidence.zones[key]
        places = {"zone": zone_name(zone), "word": pole(zone, fit)}
        yield pgettext("a zone and what is said of it", "%(zone)s %(word)s") % places
