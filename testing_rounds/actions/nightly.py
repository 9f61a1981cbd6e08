"""What the night does for testing rounds: keep promised days, drop photo files that nothing names."""

from __future__ import annotations

from datetime import date, datetime, timedelta

from django.conf import settings
from django.core.files.storage import default_storage
from django.db.models import Exists, OuterRef, Q, QuerySet

from people.models import Consent, ConsentKind
from testing_rounds.models import Photo, Place, Round, RoundState

FOLDER = "photos"


def overdue_places(at: datetime) -> QuerySet[Place]:
    """Places whose measurements or photos should have gone by then: a promise is kept even if its own job failed."""
    standing = Consent.objects.filter(subject=OuterRef("ref"), withdrawn_at=None)
    due = standing.filter(given_at__lt=at - timedelta(days=settings.BODY_RETENTION_DAYS + 1))
    measures = Q(body__isnull=False) & Exists(due.filter(kind=ConsentKind.MEASUREMENTS))
    photos = (
        Exists(Photo.objects.filter(report__place=OuterRef("pk")))
        & Exists(due.filter(kind=ConsentKind.PHOTOS))
        & ~Exists(standing.filter(kind=ConsentKind.PROMOTION))
    )
    return Place.objects.filter(measures | photos)


def mark_closed_rounds(today: date) -> None:
    """Note the day on which a round was first found closed; one that was opened again forgets it."""
    Round.objects.filter(state=RoundState.CLOSED, closed_on=None).update(closed_on=today)
    Round.objects.exclude(state=RoundState.CLOSED).exclude(closed_on=None).update(closed_on=None)


def old_applicants(today: date) -> QuerySet[Place]:
    """Who applied to a round that closed APPLICANT_DAYS ago and never sewed: their name and address have no use left.

    Whoever came in with a round file has neither, and stays.
    """
    closed = Place.objects.filter(round__closed_on__lt=today - timedelta(days=settings.APPLICANT_DAYS))
    return closed.filter(accepted_at=None, reports=None).exclude(name="", email="").select_related("round")


def sweep_photos(before: datetime) -> list[str]:
    """Remove photo files from before that time that no photo names: a process that died between file and row left
    them. Returns their names."""
    gone = []
    for folder in _listed(FOLDER)[0]:
        names = [f"{FOLDER}/{folder}/{name}" for name in _listed(f"{FOLDER}/{folder}")[1]]
        named = _named(folder)
        gone += [name for name in names if name not in named and default_storage.get_modified_time(name) < before]
    for name in gone:
        default_storage.delete(name)
    return gone


def _named(place_ref: str) -> set[str]:
    rows = Photo.objects.filter(report__place__ref=place_ref).values_list("incoming", "large", "small")
    return {name for row in rows for name in row if name}


def _listed(folder: str) -> tuple[list[str], list[str]]:
    try:
        return default_storage.listdir(folder)
    except FileNotFoundError:
        return [], []
