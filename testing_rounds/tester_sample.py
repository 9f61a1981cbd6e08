"""A studio's own testers as a sample of bodies: those who allow it, counted together, without names."""

from __future__ import annotations

from django.utils.translation import gettext as _

from measurements.body_measures import BODY_MEASURES
from measurements.body_sample import Sample
from measurements.models import BodyValue
from people.models import Consent, ConsentKind, Studio
from testing_rounds.consents import COUNTED_WORDINGS
from testing_rounds.models import Place


def sample_of_testers(studio: Studio) -> Sample:
    """One body a person, as last measured, of those whose standing permission names this use."""
    places = list(
        Place.objects.filter(round__version__pattern__studio=studio).exclude(body=None).order_by("body__taken_on", "pk")
    )
    allowed = set(
        Consent.objects.filter(
            subject__in=[place.ref for place in places],
            kind=ConsentKind.MEASUREMENTS,
            wording__in=COUNTED_WORDINGS,
            withdrawn_at=None,
        ).values_list("subject", flat=True)
    )
    last = {(place.email.lower() or place.ref): place.body_id for place in places if place.ref in allowed}
    return Sample(_("your own testers"), _columns(list(last.values())))


def _columns(bodies: list[int | None]) -> dict[str, tuple]:
    """A column a measurement that anybody gave, in the order of the bodies."""
    order = {body: i for i, body in enumerate(bodies)}
    columns: dict[str, list] = {}
    values = BodyValue.objects.filter(record__in=order).values_list("record_id", "key", "mm")
    for record, key, mm in values:
        if key in BODY_MEASURES:
            columns.setdefault(key, [None] * len(order))[order[record]] = mm
    return {key: tuple(column) for key, column in columns.items()}
