"""Keeping and removing samples of bodies."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from decimal import Decimal

from django.db import transaction

from measurements.body_sample import Sample
from measurements.length_display import plain
from measurements.models import BodySample
from people.audit import record
from people.models import Person, Studio


@transaction.atomic
def keep_sample(
    *, studio: Studio, name: str, source: str, columns: Mapping[str, Sequence[Decimal | None]], by: Person
) -> BodySample:
    """A sample of the studio, from columns of millimetres."""
    kept = {key: [None if mm is None else plain(mm) for mm in column] for key, column in columns.items()}
    bodies = max(map(len, kept.values()), default=0)
    sample = BodySample.objects.create(studio=studio, name=name, source=source, columns=kept, bodies=bodies, by=by)
    record(studio=studio, by=by, verb="sample_kept", thing=sample, content={"bodies": bodies, "measures": list(kept)})
    return sample


@transaction.atomic
def remove_sample(*, sample: BodySample, by: Person) -> None:
    """The sample and all its measurements go."""
    record(studio=sample.studio, by=by, verb="sample_removed", thing=sample)
    sample.delete()


def loaded(sample: BodySample) -> Sample:
    """The stored sample as plain values."""
    columns = {
        key: tuple(None if mm is None else Decimal(mm) for mm in column) for key, column in sample.columns.items()
    }
    return Sample(sample.name, columns)
