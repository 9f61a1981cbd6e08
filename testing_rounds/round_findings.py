"""What a round finds besides the fit: steps at which notes repeat, and files that print wrong."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass

from django.urls import reverse
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from measurements.translated import in_words
from testing_rounds.decided import file_name
from testing_rounds.issues import Beside
from testing_rounds.models import FitReport, IssueAbout, PrintCheck, Round, StepNote
from testing_rounds.print_faults import FileFault, Prints, SquareRead, read_prints
from testing_rounds.round_store import cm, sent_reports
from testing_rounds.set_aside import HAIR, print_limit
from testing_rounds.step_weight import StepNotes, weigh_steps


@dataclass(frozen=True)
class BesideFinding:
    """One finding about a step or a file: the claim, its counts, and what was decided."""

    about: str
    key: str
    direction: int
    title: str
    said: str
    more: str
    issue: str
    settled: bool
    url: str


def beside_findings(
    found: Round,
    known: Beside | None = None,
    checks: Sequence[SquareRead] | None = None,
    sent: Sequence[FitReport] | None = None,
) -> tuple[BesideFinding, ...]:
    """The repeated steps, most notes first, then the faulty files. What a page has read already is not read again:
    `checks`, what checked_squares gave; `sent`, the reports of the round with their places."""
    weights = {} if known and not known.noting else step_weights(found)
    steps = sorted(weights.values(), key=lambda one: (-one.noted, one.step))
    lines = [_step(found, one, known) for one in steps if one.level == "repeated"]
    return (*lines, *(_file(found, one, known) for one in prints_of(found, checks, sent).faults))


def step_weights(found: Round) -> dict[int, StepNotes]:
    """Each step at which somebody noted something, weighed against all whose report is in."""
    sent = FitReport.objects.filter(place__round=found, submitted_at__isnull=False).order_by()
    notes = StepNote.objects.filter(report__in=sent, step__isnull=False).order_by()
    noted: dict[int, set[int]] = defaultdict(set)
    for step, place in notes.values_list("step", "report__place"):
        noted[step or 0].add(place)
    if not noted:
        return {}
    sewed = sent.values("place").distinct().count()
    counts = {step: len(places) for step, places in noted.items()}
    return weigh_steps(counts, sewed, found.version.steps.count())


def true_prints(found: Round, file: str) -> int:
    """How many testers read a square of the file that holds."""
    nominal = cm(found.version.test_square_mm)
    if not nominal:
        return 0
    limit = print_limit(nominal) + HAIR
    return len({one.tester for one in squares_of(found) if one.file == file and abs(one.read / nominal - 1) <= limit})


def prints_of(
    found: Round, checks: Sequence[SquareRead] | None = None, sent: Sequence[FitReport] | None = None
) -> Prints:
    """The squares that testers read, in their order; the report's own where no print check was kept."""
    nominal = cm(found.version.test_square_mm)
    return read_prints(squares_of(found, checks, sent), nominal) if nominal else Prints((), ())


def squares_of(
    found: Round, checks: Sequence[SquareRead] | None = None, sent: Sequence[FitReport] | None = None
) -> list[SquareRead]:
    squares = list(checked_squares(found) if checks is None else checks)
    seen = {one.tester for one in squares}
    for report in sent_reports(found) if sent is None else sent:
        alias, square = report.place.alias, report.test_square_mm
        if alias not in seen and square is not None:
            squares.append(SquareRead(alias, report.file_kind, float(square / 10), report.size))
            seen.add(alias)
    return squares


def checked_squares(found: Round) -> tuple[SquareRead, ...]:
    """The print checks of a round, the direction that is further off of each; one query."""
    checks = (
        PrintCheck.objects.filter(place__round=found)
        .order_by("id")
        .values_list("place__alias", "file_kind", "across_mm", "down_mm", "place__size", "place__paper")
    )
    nominal, squares = found.version.test_square_mm, []
    for alias, file, across, down, size, paper in checks:
        read = [mm for mm in (across, down) if mm is not None]
        if read and nominal:
            worst = max(read, key=lambda mm: abs(mm - nominal))
            squares.append(SquareRead(alias, file or paper, float(worst / 10), size))
    return tuple(squares)


def _step(found: Round, one: StepNotes, known: Beside | None) -> BesideFinding:
    issue = known.beside_issue(IssueAbout.STEP, str(one.step)) if known else None
    return BesideFinding(
        about=IssueAbout.STEP,
        key=str(one.step),
        direction=0,
        title=_("Step %(step)s loses testers: look at its words and its numbers") % {"step": one.step},
        said=_("%(k)s of %(n)s who sewed it noted something.") % {"k": one.noted, "n": one.sewed},
        more=_("Unclear words or numbers make toiles that say nothing of the draft."),
        issue=issue.words() if issue else "",
        settled=bool(issue and issue.settled),
        url=reverse("round_step", args=[found.ref, str(one.step)]),
    )


def _file(found: Round, one: FileFault, known: Beside | None) -> BesideFinding:
    issue = known.beside_issue(IssueAbout.FILE, one.file) if known else None
    title = _("The %(file)s print small") if one.direction < 0 else _("The %(file)s print large")
    return BesideFinding(
        about=IssueAbout.FILE,
        key=one.file,
        direction=one.direction,
        title=title % {"file": file_name(one.file)},
        said=in_words(one.says()),
        more=since_words(one),
        issue=issue.words() if issue else "",
        settled=bool(issue and issue.settled),
        url=reverse("round_prints", args=[found.ref, one.file]),
    )


def since_words(fault: FileFault) -> str:
    """How many read a true print of the file since, and how many sewed from the wrong one."""
    parts = []
    if fault.right_since:
        said = ngettext(
            "%(n)s of them has read a true print since.",
            "%(n)s of them have read a true print since.",
            len(fault.right_since),
        )
        parts.append(said % {"n": len(fault.right_since)})
    if fault.still:
        said = ngettext("%(n)s has no other print.", "%(n)s have no other print.", len(fault.still))
        parts.append(said % {"n": len(fault.still)})
    return " ".join(parts)
