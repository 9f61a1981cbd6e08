"""What a replaced file does to signed sizes, once the two were compared page by page."""

from __future__ import annotations

from django.db import transaction
from django.utils.translation import gettext as _

from releases.actions.sign_off import lapse
from releases.actions.stale import done_anew
from releases.file_comparisons import comparison_of
from releases.models import FileComparison, MadeState, PatternFile, Version
from releases.pdf.compare import from_dict
from releases.pdf.layers import print_lists


def compared(made: FileComparison) -> None:
    """Lapse the sizes whose pages changed in versions that wait for this comparison. Run again it changes nothing."""
    versions = Version.objects.filter(
        pattern__studio=made.studio_id,
        files__digest=made.new_digest,
        stale_marks__what="files",
        stale_marks__cleared_at=None,
    )
    for version in versions.select_related("pattern__studio").distinct():
        settle(version)


@transaction.atomic
def settle(version: Version) -> None:
    """Every replaced file whose comparison is there lapses its sizes; the mark goes when none is waited for."""
    mark = version.stale_marks.select_for_update().filter(what="files", cleared_at=None).first()
    if mark is None:
        return
    waits = False
    marked = {value for why in mark.why for name, value, _is_term in why["values"] if name == "ref"}
    for new in version.current_files().filter(ref__in=marked):
        old = version.files.filter(kind=new.kind, replaced_at__lte=new.added).order_by("-replaced_at").first()
        made = comparison_of(old, new) if old else None
        if made is None or made.state == MadeState.WAITING:
            waits = waits or made is not None
            continue
        why = _("The pages changed: %(file)s.") % {"file": new.name}
        lapse(version=version, sizes=_touched(version, made, new), why=why, by=new.by)
    if not waits:
        done_anew(version=version, deed="compared", by=None)


def _touched(version: Version, made: FileComparison, new: PatternFile) -> list[str]:
    """The sizes that print a changed page; all of them where the files could not be compared, or the drawing moved."""
    if made.state != MadeState.READY or made.result is None:
        return list(version.sizes)
    found = from_dict(made.result)
    if found.moved_mm:
        return list(version.sizes)
    lists = print_lists(found.reprint, version.sizes, (new.found or {}).get("layers", ()))
    return [size for one in lists for size in one.sizes]
