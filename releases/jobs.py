"""Jobs of releases. Each may run twice: its effect is written once."""

from __future__ import annotations

from datetime import timedelta

from django.conf import settings
from django.utils import timezone
from django_tasks import task

from releases.models import ArrivingFile, FileComparison, MadeTables, PatternFile


@task()
def make_document(ref: str) -> None:
    """Make a long document of a version, unless a newer one has taken its place."""
    from releases.made_documents import write

    made = MadeTables.objects.select_related("version__pattern__studio").filter(ref=ref).first()
    if made is not None:
        write(made)


@task()
def lay_pieces(ref: str) -> None:
    """Make the layouts of a version that are not made yet, one after another; a run that dies leaves those made."""
    from releases.layouts import lay_all

    lay_all(ref)


@task()
def look_into_file(ref: str) -> None:
    """Look at what is drawn in a file, then compare it with the version before."""
    from releases.file_comparisons import ask_for_comparisons
    from releases.file_facts import look_into

    file = PatternFile.objects.select_related("version__pattern__studio").filter(ref=ref).first()
    if file is not None:
        look_into(file)
        ask_for_comparisons(file.version)


@task()
def look_again() -> None:
    """Nightly: look into the files in use that nobody looked into, or only by an earlier method."""
    from releases.file_facts import is_looked_into

    for file in PatternFile.objects.filter(replaced_at=None).only("ref", "found"):
        if not is_looked_into(file):
            look_into_file.enqueue(file.ref)


@task()
def compare_files(ref: str) -> None:
    """Compare two files page by page."""
    from releases.file_comparisons import make

    made = FileComparison.objects.select_related("studio").filter(ref=ref).first()
    if made is not None:
        from releases.replaced_files import compared

        make(made)
        compared(made)


@task()
def sweep_files() -> None:
    """Nightly: remove stored contents that no version names; those of the last day may still be on their way in.
    Parts of uploads that nobody finished go too."""
    from people.arriving import sweep_arriving
    from releases.files import sweep

    sweep(timezone.now() - timedelta(days=1))
    sweep_arriving(ArrivingFile, timezone.now() - timedelta(days=settings.UPLOAD_DAYS))
