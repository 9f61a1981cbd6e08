"""Where a version stands, in sentences: what it still lacks before a round, and what comes next."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

from django.db.models import Count, Prefetch, Q
from django.urls import reverse
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from measurements import sentences
from measurements.models import ChartAbout
from people.models import Studio
from releases.models import Pattern, Version, VersionState
from releases.registry import NextStep, next_steps


@dataclass(frozen=True)
class Lack:
    """One thing that a version still needs before testers can sew it."""

    words: str
    action: str
    url: str


def lacks(version: Version) -> list[Lack]:
    """What is missing, in the order in which one would do it."""
    files = version.current_files().exists()
    return list(_lacks(version, bool(files)))


def _lacks(version: Version, has_files: bool) -> Iterable[Lack]:
    if version.finished_chart_id is None:
        yield Lack(
            _("the finished measurements"),
            _("Type the finished measurements"),
            reverse("version_finished", args=[version.ref]),
        )
    if not has_files:
        yield Lack(_("a file to print"), _("Add a file"), reverse("version_files", args=[version.ref]))
    if version.test_square_mm is None:
        yield Lack(
            _("the length of its test square"), _("Give the test square"), reverse("version_edit", args=[version.ref])
        )


STATES = {
    VersionState.DRAFT: gettext_lazy("in draft"),
    VersionState.IN_TESTING: gettext_lazy("in testing"),
    VersionState.CLEARED: gettext_lazy("cleared for sale"),
    VersionState.ON_SALE: gettext_lazy("on sale"),
    VersionState.WITHDRAWN: gettext_lazy("withdrawn"),
}


def headline(version: Version, missing: Sequence[Lack]) -> str:
    """The situation of a version in a sentence."""
    number = version.number
    if version.is_draft and missing:
        things = listed([lack.words for lack in missing])
        return _("Version %(number)s still needs %(things)s.") % {"number": number, "things": things}
    if version.is_draft:
        return _("Version %(number)s is ready for a round.") % {"number": number}
    return _("Version %(number)s is %(state)s.") % {"number": number, "state": STATES[VersionState(version.state)]}


def listed(words: Sequence[str]) -> str:
    """One, two or more things as a person lists them."""
    return sentences.listed(words, _)


@dataclass(frozen=True)
class PatternLine:
    """A pattern in the studio's list: its newest version, where it stands, what is next."""

    pattern: Pattern
    version: Version | None
    next: NextStep


def pattern_lines(studio: Studio) -> list[PatternLine]:
    """The studio's patterns with their newest versions. The number of queries does not grow with them."""
    in_use = Count("files", filter=Q(files__replaced_at=None))
    # Counting drops the usual order: newest first.
    versions = Version.objects.annotate(file_count=in_use).order_by("-created", "-id")
    patterns = list(studio.patterns.select_related("chart").prefetch_related(Prefetch("versions", queryset=versions)))
    newest = {pattern.pk: next(iter(pattern.versions.all()), None) for pattern in patterns}
    known = next_steps([version for version in newest.values() if version])
    return [
        PatternLine(pattern, version, (known.get(version.pk) if version else None) or _next(pattern, version))
        for pattern in patterns
        for version in [newest[pattern.pk]]
    ]


def _next(pattern: Pattern, version: Version | None) -> NextStep:
    if version is None and pattern.chart is None:
        return NextStep(
            _("No size chart is chosen yet."), _("Choose its chart"), reverse("pattern_edit", args=[pattern.ref])
        )
    if version is None:
        return NextStep(
            _("It has no version yet."), _("Start its first version"), reverse("version_new", args=[pattern.ref])
        )
    missing = list(_lacks(version, bool(getattr(version, "file_count", 0))))
    if version.is_draft and missing:
        return NextStep(headline(version, missing), missing[0].action, missing[0].url)
    if version.is_draft:
        return NextStep(headline(version, []), _("Plan a round"), reverse("round_new", args=[version.ref]))
    return NextStep(headline(version, []), _("Open the version"), reverse("version", args=[version.ref]))


@dataclass(frozen=True)
class First:
    """One of the four things before the first call; `url` is empty while another must come before."""

    title: str
    words: str
    action: str
    url: str
    done: bool
    is_next: bool = False


def firsts(studio: Studio, lines: Sequence[PatternLine]) -> list[First]:
    """The four things, ticked when done."""
    versions = [line.version for line in lines if line.version]
    pattern = lines[0].pattern if lines else None
    version = versions[0] if versions else None
    started = bool(next_steps(versions))
    steps = [
        First(
            _("A size chart"),
            _("Your sizes in order, and the body that each is drafted for. Paste it, load it or type it."),
            _("Lay down a chart"),
            reverse("chart_new", args=[studio.ref]),
            studio.charts.filter(about=ChartAbout.BODY).exists(),
        ),
        First(
            _("A pattern with its first version"),
            _("What it is, what it is sewn in, and what the finished garment measures in each size."),
            _("Name a pattern") if pattern is None else _("Start its first version"),
            reverse("pattern_new", args=[studio.ref])
            if pattern is None
            else reverse("version_new", args=[pattern.ref]),
            version is not None,
        ),
        First(
            _("Its files, with a test square"),
            _("The PDFs that testers print. They measure the square first, so that no print passes for a draft."),
            _("Add the files"),
            reverse("version_files", args=[version.ref]) if version else "",
            any(getattr(one, "file_count", 0) and one.test_square_mm for one in versions),
        ),
        First(
            _("A round"),
            _("The days, how many testers a size, and what you ask and give. It stays yours until you open the call."),
            _("Plan the round"),
            reverse("round_new", args=[version.ref]) if version else "",
            started,
        ),
    ]
    following = next((i for i, step in enumerate(steps) if not step.done), -1)
    return [replace(step, is_next=i == following) for i, step in enumerate(steps)]


def studio_headline(lines: Sequence[PatternLine], steps: Sequence[First]) -> str:
    """The situation of a studio in a sentence: before its first round, what comes next; later, what is in work."""
    sentences = (
        _("Nothing is laid out yet. Begin with the sizes."),
        _("The sizes are here. Next comes the pattern."),
        _("The pattern is here. Next come its files."),
        _("All is ready for the first round."),
    )
    if lines and steps[0].done and not steps[1].done:
        return _("The pattern is here. Next comes its first version.")
    if not steps[-1].done:
        return next(sentence for sentence, step in zip(sentences, steps, strict=True) if not step.done)
    in_testing = Version.objects.filter(pattern__in=[line.pattern for line in lines], state=VersionState.IN_TESTING)
    tested = in_testing.values("pattern").distinct().count()
    if len(lines) == 1:
        return _("One pattern, and it is in testing.") if tested else _("One pattern, and no version is in testing.")
    said = {"count": len(lines), "tested": tested}
    if not tested:
        return _("%(count)s patterns, none of them in testing.") % said
    return _("%(count)s patterns, %(tested)s of them in testing.") % said
