"""The launch checks of testing rounds: squares read on paper, open issues, what testers allow."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator

from django.db.models import F
from django.urls import reverse
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from people.audit import digest
from people.models import Consent, ConsentKind
from releases.launch_checks import PRINTED
from releases.models import FileKind, PatternFile, Version
from releases.registry import LaunchCheck, SizeCondition, Standing
from testing_rounds.models import Place, PrintCheck
from testing_rounds.print_check import judge
from testing_rounds.sign_off import counted_by_size, evidence_round, issues_by_size, open_issues

# What the launch pack may show of a tester.
SHOWN = (ConsentKind.PROMOTION, ConsentKind.NAME, ConsentKind.QUOTE)


def squares(version: Version) -> Iterator[Standing]:
    """Each file to print was printed since it came, and its square read true."""
    files = list(version.current_files().filter(kind__in=PRINTED))
    read = _read_true(version, files)
    for file in files:
        if file.pk not in read:
            label = FileKind(file.kind).label
            said = _("Nobody has read a true square of the %(kind)s (%(file)s) on paper since it came.")
            url = reverse("version_files", args=[version.ref])
            yield Standing(said % {"kind": label, "file": file.name}, url, _("Open the file"))


def _read_true(version: Version, files: list[PatternFile]) -> set[int]:
    """The files whose square was read true; the same content may have been read in an earlier version."""
    digests = [file.digest for file in files]
    same = list(PatternFile.objects.filter(version__pattern=version.pattern_id, digest__in=digests))
    rounds = {one.version_id for one in same}
    checks = PrintCheck.objects.filter(place__round__version__in=rounds).annotate(of=F("place__round__version"))
    true = [check for check in checks if judge(check, version.test_square_mm).state == "holds"]
    read = set()
    for file in files:
        alike = [one for one in same if one.digest == file.digest]
        first, where = min(one.added for one in alike), {one.version_id for one in alike}
        if any(check.file_kind == file.kind and check.at >= first and check.of in where for check in true):
            read.add(file.pk)
    return read


def printed_content(version: Version) -> str:
    """What a person's word on the squares is about."""
    return digest(sorted(version.current_files().filter(kind__in=PRINTED).values_list("kind", "digest")))


def issues(version: Version) -> Iterator[Standing]:
    """Nothing that testers found is open."""
    for one in open_issues(version):
        title = _("%(title)s: %(standing)s.") % {"title": one.title, "standing": one.standing}
        yield Standing(title, one.url, _("Open the evidence"))


def tested(version: Version) -> Iterator[Standing]:
    """Every size that is sold was sewn by somebody whose report counts, in this version or the one before."""
    if evidence_round(version) is None:
        url = reverse("round_new", args=[version.ref])
        yield Standing(_("Nobody has sewn it: no round has a report."), url, _("Plan a round"))


def consents(version: Version) -> Iterator[Standing]:
    """What testers allow is read again before their photos, names and words go into the pack."""
    allowed = Counter(kind for _subject, kind in _allowed(version))
    if allowed:
        told = {kind: allowed[kind] for kind in SHOWN}
        said = _(
            "Testers who allow it now: photos shown %(promotion)s, named %(name)s, quoted %(quote)s. Read it again."
        )
        found = evidence_round(version)
        url = reverse("panel", args=[found.ref]) if found else reverse("version", args=[version.ref])
        yield Standing(said % told, url, _("Open the panel"))


def allowed_content(version: Version) -> str:
    """What a person's word on the permissions is about: one taken back asks for it again."""
    return digest(_allowed(version))


def _allowed(version: Version) -> list[tuple[str, str]]:
    places = Place.objects.filter(round__version__pattern=version.pattern_id).values("ref")
    standing = Consent.objects.filter(subject__in=places, kind__in=SHOWN, withdrawn_at=None)
    return sorted(standing.values_list("subject", "kind"))


CONDITIONS = (
    SizeCondition("counted", gettext_lazy("Two counted reports"), counted_by_size, order=10),
    SizeCondition("issues", gettext_lazy("No open issue"), issues_by_size, order=20),
)
CHECKS = (
    LaunchCheck("tested", gettext_lazy("It was sewn"), tested, order=5),
    LaunchCheck("issues", gettext_lazy("Nothing that testers found is open"), issues, order=20),
    LaunchCheck(
        "squares",
        gettext_lazy("Every file’s square is read on paper"),
        squares,
        order=50,
        confirm=gettext_lazy("I have printed each file and read its square"),
        about=printed_content,
    ),
    LaunchCheck(
        "consents",
        gettext_lazy("What testers allow is read again"),
        consents,
        order=90,
        confirm=gettext_lazy("I have read again what testers allow"),
        about=allowed_content,
    ),
)
