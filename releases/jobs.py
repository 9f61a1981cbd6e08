"""Jobs of releases. Each may run twice: its effect is written once."""

from __future__ import annotations

from datetime import timedelta

from django.utils import timezone
from django_tasks import task

from releases.models import MadeTables


@task()
def make_tables(ref: str) -> None:
    """Make a long document of measurement tables, unless newer tables have taken its place."""
    from releases.table_document import write

    made = MadeTables.objects.select_related("version__pattern__studio").filter(ref=ref).first()
    if made is not None:
        write(made)


@task()
def sweep_files() -> None:
    """Nightly: remove stored contents that no version names; those of the last day may still be on their way in."""
    from releases.files import sweep

    sweep(timezone.now() - timedelta(days=1))
