"""One report whole: what it says of each zone and whether that counts, and everything around it."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from decimal import Decimal

from django.utils.text import capfirst
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from measurements.translated import in_words
from releases.models import FileKind
from testing_rounds.decision_forms import WeighForm
from testing_rounds.evidence import Evidence
from testing_rounds.evidence_filter import Links, answer_anchor
from testing_rounds.evidence_words import listed, spelled, stage_name, verdict_words, zone_name, zone_title
from testing_rounds.models import FitReport, PrintCheck, StepNote, WeighedByHand, Weighing, ZoneVerdict
from testing_rounds.overview_words import STYLE, mm
from testing_rounds.report_cards import NO_PHOTOS, BodyFact, ReportPhotos, body_facts, body_name, photos_of
from testing_rounds.set_aside import Answer
from testing_rounds.size_page import sewn_words


@dataclass(frozen=True)
class AnswerLine:
    """One zone of the report that was looked at. `form` turns its count round."""

    key: str
    anchor: str
    title: str
    size: str
    said: str
    css: str
    change: Decimal | None
    note: str
    counted: bool
    reasons: tuple[str, ...]
    put_back: str
    history: tuple[WeighedByHand, ...]
    form: WeighForm | None
    url: str


@dataclass(frozen=True)
class ToileFact:
    """A measure of the toile beside the drafted one, in mm."""

    name: str
    sewn: Decimal
    drafted: Decimal | None


@dataclass(frozen=True)
class ReportPage:
    """Everything that the page of a report shows."""

    report: FitReport
    tester: str
    stage: str
    headline: str
    sewn: str
    version: str
    file: str
    square: Decimal | None
    nominal: Decimal | None
    error: float | None
    checks: tuple[PrintCheck, ...]
    body: tuple[BodyFact, ...]
    toile: tuple[ToileFact, ...]
    answers: tuple[AnswerLine, ...]
    whole: tuple[str, ...]
    whole_form: WeighForm | None
    unasked: tuple[str, ...]
    notes: tuple[StepNote, ...]
    photos: ReportPhotos
    links: Links

    @property
    def all_aside(self) -> bool:
        return not any(answer.counted for answer in self.answers)


def report_page(evidence: Evidence, report: FitReport, *, editing: bool, typed: WeighForm | None = None) -> ReportPage:
    """The page of a report of this evidence's stage. `typed`: a form that was sent and could not be used."""
    number = next(i for i, row in enumerate(evidence.rows) if row.pk == report.pk)
    row, data = evidence.rows[number], evidence.data.reports[number]
    answers = [answer for key in evidence.zones for answer in evidence.answers(key) if answer.report == number]
    answers.sort(key=lambda answer: answer.fit == 0)
    whole = _of_the_whole(evidence, answers)
    lines = _lines(evidence, row, answers, whole, editing=editing, typed=typed)
    square = evidence.data.test_square
    return ReportPage(
        report=row,
        tester=str(row.place),
        stage=stage_name(row.stage),
        headline=_headline(evidence, row, answers),
        sewn=sewn_words(data.size, data.sizes, evidence),
        version=row.version_said or report.version.number,
        file=str(FileKind(row.file_kind).label) if row.file_kind in FileKind.values else row.file_kind,
        square=row.test_square_mm,
        nominal=evidence.found.version.test_square_mm,
        error=100 * (data.test_square / square - 1) if data.test_square and square else None,
        checks=tuple(PrintCheck.objects.filter(place=row.place_id)),
        body=body_facts(evidence, data, data.size, dict.fromkeys([*evidence.data.body_chart, *data.body])),
        toile=tuple(_toile(evidence, number)),
        answers=tuple(lines),
        whole=whole,
        whole_form=_whole_form(answers, typed) if editing and answers else None,
        unasked=tuple(zone_title(evidence.zones[key]) for key in evidence.zones if key not in data.zones),
        notes=tuple(row.step_notes.all()),
        photos=photos_of(evidence.found, [row]).get(row.pk, NO_PHOTOS),
        links=Links.of(evidence),
    )


def _headline(evidence: Evidence, row: FitReport, answers: Sequence[Answer]) -> str:
    """ "Farida, size 10: the bust and the back length are off, two answers are set aside." """
    places = {"tester": row.place, "size": row.size}
    complaints = [zone_name(evidence.zones[answer.zone]) for answer in answers if answer.fit]
    aside = sum(not answer.counted for answer in answers)
    if not complaints:
        said = _("%(tester)s, size %(size)s: every zone that was looked at fits") % places
    elif len(complaints) > 3:
        said = _("%(tester)s, size %(size)s: %(n)s zones do not fit") % {**places, "n": spelled(len(complaints))}
    else:
        said = ngettext(
            "%(tester)s, size %(size)s: the %(zones)s does not fit",
            "%(tester)s, size %(size)s: the %(zones)s do not fit",
            len(complaints),
        ) % {**places, "zones": listed(complaints)}
    if aside == len(answers) > 1:
        return _("%(said)s; the whole report is set aside.") % {"said": said}
    if aside:
        rest = ngettext("%(n)s answer is set aside", "%(n)s answers are set aside", aside) % {"n": spelled(aside)}
        return _("%(said)s; %(rest)s.") % {"said": said, "rest": rest}
    return _("%(said)s.") % {"said": said}


def _of_the_whole(evidence: Evidence, answers: Sequence[Answer]) -> tuple[str, ...]:
    """The reasons that set every answer of the report aside alike: said once, above them all."""
    if len(answers) < 2 or any(answer.counted for answer in answers):
        return ()
    first = [in_words(reason, STYLE) for reason in evidence.reasons(answers[0])]
    others = [{in_words(reason, STYLE) for reason in evidence.reasons(answer)} for answer in answers[1:]]
    return tuple(why for why in first if all(why in reasons for reasons in others))


def _whole_form(answers: Sequence[Answer], typed: WeighForm | None) -> WeighForm:
    """The form that turns the whole report round: back where nothing of it counts, else aside."""
    if typed is not None and not typed.zone:
        return typed
    return WeighForm(what=Weighing.ASIDE if any(answer.counted for answer in answers) else Weighing.BACK)


def _lines(
    evidence: Evidence,
    row: FitReport,
    answers: Sequence[Answer],
    whole: Sequence[str],
    *,
    editing: bool,
    typed: WeighForm | None,
) -> Iterable[AnswerLine]:
    notes = dict(ZoneVerdict.objects.filter(report=row).values_list("zone", "words"))
    history: dict[str, list[WeighedByHand]] = defaultdict(list)
    for word in row.weighings.select_related("by"):
        history[word.zone].append(word)
    places = {key: i for i, key in enumerate(evidence.zones)}
    for answer in answers:
        form = _weigh_form(answer, places[answer.zone], typed) if editing else None
        reasons = [in_words(reason, STYLE) for reason in evidence.reasons(answer)]
        own = tuple(why for why in reasons if why not in whole)
        yield _line(evidence, row, answer, own, notes.get(answer.zone, ""), tuple(history[answer.zone]), form)


def _weigh_form(answer: Answer, at: int, typed: WeighForm | None) -> WeighForm:
    """The form that turns an answer's count round: what was typed, where that was for this zone."""
    if typed is not None and typed.zone == answer.zone:
        return typed
    return WeighForm(zone=answer.zone, at=at, what=Weighing.ASIDE if answer.counted else Weighing.BACK)


def _line(
    evidence: Evidence,
    row: FitReport,
    answer: Answer,
    reasons: tuple[str, ...],
    note: str,
    history: tuple[WeighedByHand, ...],
    form: WeighForm | None,
) -> AnswerLine:
    zone, sizes = evidence.zones[answer.zone], evidence.data.sizes
    links = Links.of(evidence)
    return AnswerLine(
        key=answer.zone,
        anchor=answer_anchor(evidence, answer.zone),
        title=zone_title(zone),
        size=answer.size if answer.size != row.size else "",
        said=capfirst(verdict_words(zone, answer.fit)),
        css=("sm" if answer.fit < 0 else "lg" if answer.fit else "") if answer.counted else "soft",
        change=mm(answer.change) if answer.change else None,
        note=note,
        counted=answer.counted,
        reasons=reasons,
        put_back=answer.put_back or "",
        history=history,
        form=form,
        url=links.cell(answer.zone, sizes.index(answer.size)),
    )


def _toile(evidence: Evidence, number: int) -> Iterable[ToileFact]:
    report = evidence.data.reports[number]
    at = evidence.data.sizes.index(report.size) if report.size in evidence.data.sizes else None
    for point, sewn in report.toile.items():
        if sewn is not None:
            row = evidence.data.finished_chart.get(point)
            drafted = row[at] if row and at is not None else None
            yield ToileFact(body_name(point), mm(sewn), None if drafted is None else mm(drafted))
