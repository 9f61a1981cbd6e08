"""Jobs of releases. Each may run twice: its effect is written once."""

from __future__ import annotations

from django_tasks import task

from releases.models import MadeTables


@task()
def make_tables(ref: str) -> None:
    """Make a long document of measurement tables, unless newer tables have taken its place."""
    from releases.table_document import write

    made = MadeTables.objects.select_related("version__pattern__studio").filter(ref=ref).first()
    if made is not None:
        write(made)
