"""The overview of a round: what to change, on the form, in the table, with all that is set aside or missing."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date

from django.utils.translation import gettext as _

from measurements.translated import in_words
from testing_rounds import say
from testing_rounds.chart_tables import Charts
from testing_rounds.claims import ClearLine, Fix, also_words, clear_lines, fix_of, strength_words
from testing_rounds.drawings import PanelSize, PlotSize, Span, ZoneMark, is_fuller
from testing_rounds.evidence import Evidence
from testing_rounds.evidence_drawn import hint_mark, panel_sizes, plot_sizes, read_mark, span
from testing_rounds.evidence_filter import Links, Shown
from testing_rounds.evidence_words import (
    cell_words,
    covered,
    k_of_n,
    pole,
    reading_title,
    size_span,
    zone_title,
)
from testing_rounds.issues import Beside
from testing_rounds.matrix import Matrix, matrix
from testing_rounds.overview_lists import (
    AsideGroup,
    AsideLine,
    NeedLine,
    PersonLine,
    aside_lines,
    grouped,
    need_lines,
    people_lines,
)
from testing_rounds.overview_words import asked_for, headline, voice
from testing_rounds.reading import Reading
from testing_rounds.round_data import Zone
from testing_rounds.round_findings import BesideFinding


@dataclass(frozen=True)
class ReadingLine:
    """One repeated reading: the claim, its counts, where to look, what testers asked for, what was decided."""

    number: int
    key: str
    title: str
    css: str
    counts: str
    elsewhere: str
    strength: str
    causes: tuple[str, ...]
    fix: Fix | None
    asked: str
    issue: str
    settled: bool
    plot: tuple[PlotSize, ...]
    span: Span
    url: str


@dataclass(frozen=True)
class NumberedFinding:
    """A finding besides the fit, numbered on from the readings."""

    number: int
    found: BesideFinding


@dataclass(frozen=True)
class HintLine:
    """A zone that is flagged, or watched, without a reading."""

    title: str
    said: str
    url: str


@dataclass(frozen=True)
class Overview:
    """Everything that the overview shows, in words and drawings."""

    headline: str
    voice: tuple[str, ...]
    readings: tuple[ReadingLine, ...]
    unseen: int
    findings: tuple[NumberedFinding, ...]
    hints: tuple[HintLine, ...]
    marks: Mapping[str, ZoneMark]
    fuller: bool
    names: Mapping[str, str]
    zone_link: str
    panel: tuple[PanelSize, ...]
    matrix: Matrix
    aside: tuple[AsideLine, ...]
    back: tuple[AsideLine, ...]
    people: tuple[PersonLine, ...]
    needs: tuple[NeedLine, ...]
    clear: tuple[ClearLine, ...]

    @property
    def aside_groups(self) -> tuple[AsideGroup, ...]:
        return grouped(self.aside)

    @property
    def back_groups(self) -> tuple[AsideGroup, ...]:
        return grouped(self.back)

    @property
    def late(self) -> int:
        return sum(person.late for person in self.people)

    @property
    def counted(self) -> int:
        return sum(one.counted for one in self.panel)

    @property
    def set_aside(self) -> int:
        return sum(one.aside for one in self.panel)

    @property
    def to_come(self) -> int:
        return sum(one.to_come for one in self.panel)


def overview(
    evidence: Evidence, shown: Shown, known: Beside, today: date, findings: Sequence[BesideFinding] = ()
) -> Overview:
    """The overview of what is shown; the headline speaks of the whole round, its steps and files included."""
    ranked = rank(evidence)
    charts = Charts.of(evidence.found.version) if ranked else None
    lines = [_line(evidence, known, charts, number, reading) for number, reading in enumerate(ranked, start=1)]
    seen = [line for line, reading in zip(lines, ranked, strict=True) if _touches(reading, shown, evidence)]
    told = evidence.only(shown.told_by) if shown.some_reports else evidence
    aside = aside_lines(told, shown)
    return Overview(
        headline=headline(
            evidence,
            len(lines) + len(findings),
            sum(line.settled for line in lines) + sum(one.settled for one in findings),
        ),
        voice=tuple(voice(evidence, today)),
        readings=tuple(seen),
        unseen=len(lines) - len(seen),
        findings=tuple(NumberedFinding(number, one) for number, one in enumerate(findings, start=len(lines) + 1)),
        hints=tuple(_hints(evidence, shown)),
        marks=_marks(evidence, shown, ranked),
        fuller=is_fuller(middle(ranked, evidence.data.sizes, shown.size), len(evidence.data.sizes)),
        names={key: zone_title(zone) for key, zone in evidence.zones.items()},
        zone_link=Links.of(evidence).zone("ZONE").replace("ZONE", "{zone}"),
        panel=panel_sizes(told),
        matrix=matrix(told, shown, ranked),
        aside=tuple(line for line in aside if not line.back),
        back=tuple(line for line in aside if line.back),
        people=tuple(people_lines(evidence, shown, today)),
        needs=tuple(need_lines(evidence, shown)),
        clear=tuple(clear_lines(evidence, shown.zones, shown.sizes)),
    )


def rank(evidence: Evidence) -> list[Reading]:
    """The repeated readings, the strongest first: by their strength where the method gives one, else by complaints."""
    repeated = [reading for reading in evidence.readings.values() if reading.level == "repeated"]
    return sorted(repeated, key=lambda reading: (-(reading.strength or 0), -_complaints(reading)))


def middle(ranked: Sequence[Reading], sizes: Sequence[str], shown: str = "") -> int:
    """The size that the form is drawn for: the one shown, else the middle of those that are read most."""
    touched = [sizes.index(shown)] if shown else [sizes.index(size) for one in ranked for size in one.sizes]
    return sorted(touched)[len(touched) // 2] if touched else 0


def _complaints(reading: Reading) -> int:
    return _sum(reading, reading.sizes)[0]


def _touches(reading: Reading, shown: Shown, evidence: Evidence) -> bool:
    return reading.zone in shown.zones and bool(set(covered(reading, evidence.data.sizes)) & set(shown.sizes))


def _line(evidence: Evidence, known: Beside, charts: Charts | None, number: int, reading: Reading) -> ReadingLine:
    zone, sizes = evidence.zones[reading.zone], evidence.data.sizes
    issue = known.issue(reading.zone, reading.direction)
    counts, elsewhere = counts_of(reading, zone, sizes)
    touched = [answer for answer in evidence.answers(reading.zone) if answer.size in covered(reading, sizes)]
    return ReadingLine(
        number=number,
        key=reading.zone,
        title=reading_title(reading, zone, sizes),
        css="sm" if reading.direction < 0 else "lg",
        counts=counts,
        elsewhere=elsewhere,
        strength=strength_words(reading),
        causes=causes_of(reading),
        fix=fix_of(evidence, reading, charts),
        asked=asked_for(answer for answer in touched if answer.fit * reading.direction > 0),
        issue=issue.words() if issue else "",
        settled=bool(issue and issue.settled),
        plot=plot_sizes(evidence.counts.row(reading.zone)),
        span=span(reading, sizes),
        url=Links.of(evidence).zone(reading.zone),
    )


def counts_of(reading: Reading, zone: Zone, sizes: Sequence[str]) -> tuple[str, str]:
    """The people's counts of a reading: "3 of 3 tight", and where, and how it stands in the other sizes."""
    touched = covered(reading, sizes)
    word, (complaints, answers) = pole(zone, reading.direction), _sum(reading, touched)
    if len(touched) == len(sizes):
        return k_of_n(complaints, answers, word), _("over all sizes.")
    others = _sum(reading, [size for size in sizes if size not in touched])
    places = {"sizes": size_span(touched, sizes), "k": others[0], "n": others[1]}
    return k_of_n(complaints, answers, word), _("in %(sizes)s; %(k)s of %(n)s in the other sizes.") % places


def _sum(reading: Reading, sizes: Iterable[str]) -> tuple[int, int]:
    """Complaints in the reading's direction, and answers that count, over some sizes."""
    pairs = [reading.counted[size] for size in sizes]
    return sum(pair[0] for pair in pairs), sum(pair[1] for pair in pairs)


def causes_of(reading: Reading) -> tuple[str, ...]:
    """Where to look first, and where else."""
    first = say.cause(reading)
    return ((in_words(first),) if first else ()) + tuple(also_words(reading))


def _hints(evidence: Evidence, shown: Shown) -> Iterator[HintLine]:
    links = Links.of(evidence)
    alone = _alone(evidence)
    for key in shown.zones:
        zone, reading = evidence.zones[key], evidence.readings[key]
        for direction in (-1, 1):
            sizes = [size for size in alone[key, direction] if shown.has_size(size)]
            if sizes:
                title = _("%(zone)s: %(word)s in %(sizes)s, by their own reports alone.") % {
                    "zone": zone_title(zone),
                    "word": pole(zone, direction),
                    "sizes": size_span(sizes, evidence.data.sizes),
                }
                yield HintLine(title, _said_in(evidence, key, sizes), links.zone(key))
        if reading.level == "watch" and not (alone[key, -1] or alone[key, 1]):
            title = reading_title(reading, zone, evidence.data.sizes)
            complaining = [size for size in shown.sizes if reading.counted[size][0]]
            yield HintLine(f"{title}.", _said_in(evidence, key, complaining), links.zone(key))


def _alone(evidence: Evidence) -> dict[tuple[str, int], list[str]]:
    """The sizes that are flagged by their own reports and by no reading, for each zone and side."""
    found: dict[tuple[str, int], list[str]] = defaultdict(list)
    for flag in evidence.flags:
        if flag.by == "cell":
            found[flag.zone, flag.direction].append(flag.size)
    return found


def _said_in(evidence: Evidence, key: str, sizes: Iterable[str]) -> str:
    """ "2 of 3 tight in 14; 1 of 2 tight in 16"."""
    cells = [evidence.counts.cells[key, size] for size in sizes]
    said = [
        _("%(said)s in %(size)s") % {"said": cell_words(cell, evidence.zones[key]), "size": cell.size} for cell in cells
    ]
    return "; ".join(said)


def _marks(evidence: Evidence, shown: Shown, ranked: Sequence[Reading]) -> dict[str, ZoneMark]:
    """The form's marks: hints first, so that a reading of the same zone stands over them."""
    sizes, marks = evidence.data.sizes, {}
    for (key, direction), found in _alone(evidence).items():
        marks[key] = hint_mark(evidence.zones[key], direction, found, sizes)
    several = [reading for reading in ranked if len(reading.sizes) > 1]
    for reading in ranked:
        strongest = reading is next(iter(several), None)
        marks[reading.zone] = read_mark(reading, evidence.zones[reading.zone], sizes, strongest=strongest)
    touched = {reading.zone for reading in ranked if _touches(reading, shown, evidence)}
    kept = touched | {key for (key, _side), found in _alone(evidence).items() if set(found) & set(shown.sizes)}
    return {key: mark for key, mark in marks.items() if key in kept and key in shown.zones}
