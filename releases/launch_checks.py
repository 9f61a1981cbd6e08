"""The launch checks of this app: sizes, stale marks, files, the grade check, fabric."""

from __future__ import annotations

from collections.abc import Iterator

from django.urls import reverse
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, ngettext

from measurements.translated import in_words
from releases.file_facts import reports
from releases.grade import version_grade
from releases.layouts import progress
from releases.models import FileKind, SignOffState, Version
from releases.registry import LaunchCheck, Standing
from releases.sign_offs import STANDS, standing
from releases.situation import lacks
from releases.stale import span
from releases.stale_store import open_marks
from releases.wording_page import WordingLine, wording_page

SETTLED = STANDS | {SignOffState.WITHDRAWN}


def signed(version: Version) -> Iterator[Standing]:
    """Every size is signed, or withdrawn from sale; and at least one is sold."""
    known = standing(version)
    url, action = reverse("sign_off", args=[version.ref]), _("Open the sign-off")
    if version.sizes and all(size in known and known[size].state == SignOffState.WITHDRAWN for size in version.sizes):
        yield Standing(_("Every size is withdrawn: nothing is left to sell."), url, action)
    for size, row in known.items():
        if size in version.sizes and row.state == SignOffState.HELD:
            words = _("Size %(size)s is held: %(note)s") % {"size": size, "note": row.note}
            yield Standing(words, _size_url(version, size), _("Open size %(size)s") % {"size": size})
    for state, sentence in (
        ("", gettext_lazy("Nobody has signed %(sizes)s.")),
        (SignOffState.LAPSED, gettext_lazy("The sign-off of %(sizes)s lapsed with a later change.")),
    ):
        sizes = [size for size in version.sizes if (known[size].state if size in known else "") == state]
        if sizes:
            yield Standing(str(sentence) % {"sizes": span(sizes, version.sizes)}, _size_url(version, sizes[0]), action)


def _size_url(version: Version, size: str) -> str:
    return reverse("sign_off_size", args=[version.ref, version.sizes.index(size)])


def stale(version: Version) -> Iterator[Standing]:
    """Nothing is left behind by a later change."""
    for line in open_marks(version):
        sizes = f" ({line.sizes})" if line.sizes else ""
        yield Standing(f"{line.name}{sizes}: {' '.join(line.why)}", line.url, line.action)


def files(version: Version) -> Iterator[Standing]:
    """There is what a buyer needs, it was looked into, and nothing is wrong with it."""
    if not version.is_draft and not version.current_files().exists():
        yield Standing(_("There is no file to print."), reverse("version_files", args=[version.ref]), _("Add a file"))
    for lack in lacks(version) if version.is_draft else ():
        yield Standing(_("It lacks %(thing)s.") % {"thing": lack.words}, lack.url, lack.action, edits=True)
    url = reverse("version_files", args=[version.ref])
    for report in reports(version):
        if report.waits:
            yield Standing(_("%(file)s is still being looked into.") % {"file": report.file.name}, url, _("Open files"))
        for says in [report.refused] if report.refused else [in_words(one.says) for one in report.findings]:
            yield Standing(f"{report.file.name}: {says}", url, _("Replace the file"))


def grade(version: Version) -> Iterator[Standing]:
    """The grade check is clean, or what it found is silenced with a reason."""
    if version.finished_chart is None:
        return
    n = len(version_grade(version, may_edit=False)[0].open)
    if n:
        said = ngettext("The grade check has %(n)s finding.", "The grade check has %(n)s findings.", n) % {"n": n}
        yield Standing(said, reverse("version_grade", args=[version.ref]), _("Open the grade check"))


def fabric(version: Version) -> Iterator[Standing]:
    """The fabric requirement is computed for every size."""
    made, asked = progress(version)
    url = reverse("version_fabric", args=[version.ref])
    if not asked:
        yield Standing(_("There is no cutting list, so no fabric requirement."), url, _("Open the fabric page"))
    elif made < asked:
        told = {"made": made, "asked": asked}
        yield Standing(_("%(made)s of %(asked)s layouts are made.") % told, url, _("Open the fabric page"))


def _open_wording(version: Version) -> tuple[WordingLine, ...]:
    """What is open in the words: two checks of one gate ask, and the booklet is read once."""
    kept: tuple[WordingLine, ...] | None = getattr(version, "_wording_kept", None)
    if kept is None:
        kept = wording_page(version).open
        version._wording_kept = kept  # type: ignore[attr-defined]
    return kept


def forget(version: Version) -> None:
    """Let the next gate read the booklet anew."""
    version.__dict__.pop("_wording_kept", None)


def wording(version: Version) -> Iterator[Standing]:
    """What the wording check found is taken or silenced with a reason; cautions have a check of their own."""
    n = sum(not one.adds for one in _open_wording(version))
    if n:
        said = ngettext("The wording check has %(n)s finding.", "The wording check has %(n)s findings.", n) % {"n": n}
        yield Standing(said, reverse("version_wording", args=[version.ref]), _("Open the wording"))


def cautions(version: Version) -> Iterator[Standing]:
    """Every step that calls for a caution shows it, or a reason says why not."""
    for one in _open_wording(version):
        if one.adds:
            words = f"{in_words(one.found.says)} {one.found.proposed or ''}".strip()
            url = reverse("version_wording", args=[version.ref])
            yield Standing(words, url, _("Open the wording"))


CHECKS = (
    LaunchCheck("sizes", gettext_lazy("Every size is signed or withdrawn"), signed, order=10),
    LaunchCheck("stale", gettext_lazy("Nothing is left behind by a change"), stale, order=30),
    LaunchCheck("files", gettext_lazy("The files are there and without faults"), files, order=40),
    LaunchCheck("grade", gettext_lazy("The grade check is clean or answered"), grade, order=60),
    LaunchCheck("wording", gettext_lazy("What the wording check found is settled"), wording, order=65),
    LaunchCheck("fabric", gettext_lazy("The fabric is computed"), fabric, order=70),
    LaunchCheck("cautions", gettext_lazy("The cautions are shown"), cautions, order=80),
)
PRINTED = frozenset(set(FileKind.values) - {FileKind.BOOKLET})
