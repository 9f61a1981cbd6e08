"""The page of photos: the views that a round asks, and the photos that are there."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import timedelta
from typing import Any

from django.conf import settings
from django.urls import reverse
from django.utils import timezone
from django.utils.text import capfirst
from django.utils.translation import gettext as _
from django.utils.translation import pgettext

from measurements.translated import in_words
from people.models import ConsentKind
from testing_rounds.actions.photos import UNPREPARED, photos_of
from testing_rounds.models import ArrivingPhoto, Photo, PhotoState, Place, Round
from testing_rounds.photo_links import photo_address
from testing_rounds.tester_book import Book
from testing_rounds.zones import KINDS, VIEW, default_views

# After this a photo that still waits may be prepared again by hand.
WAITED_LONG = timedelta(minutes=2)
VIEW_LABELS = {view.key: view.label for kind in KINDS for view in default_views(kind)}


@dataclass(frozen=True)
class Tile:
    """One photo as the page shows it."""

    ref: str
    name: str
    view: str
    state: str
    trouble: str
    may_try_again: bool
    small: str
    large: str


def views_of(round_: Round) -> list[tuple[str, str]]:
    """[(key, name)] of the views that the round asks; a round that names none asks those of its garment."""
    asked = [_view(entry) for entry in round_.views]
    return asked or [
        (view.key, capfirst(pgettext(VIEW, view.label))) for view in default_views(round_.version.pattern.kind)
    ]


def _view(entry: Any) -> tuple[str, str]:
    """A view as a round keeps it: its key alone, or with a label of the studio's own."""
    if isinstance(entry, dict):
        key = str(entry["key"])
        return key, capfirst(pgettext(VIEW, str(entry.get("label") or VIEW_LABELS.get(key, key))))
    return str(entry), capfirst(pgettext(VIEW, VIEW_LABELS.get(str(entry), str(entry))))


def view_keys(round_: Round) -> set[str]:
    return {key for key, _name in views_of(round_)}


def photo_page(book: Book) -> dict[str, Any]:
    """A place for each view that is asked, then everything else."""
    photos, views = photos_of(book.place), views_of(book.round)
    names = dict(views)
    return {
        "allowed": ConsentKind.PHOTOS in book.consents,
        "slots": [
            *(_slot(key, name, [photo for photo in photos if photo.view == key], names) for key, name in views),
            _slot("", _("Anything else"), [photo for photo in photos if photo.view not in names], names),
        ],
        "unfinished": [_unfinished(one, names) for one in _arriving(book)],
        "count": len(photos),
        "most": settings.PHOTOS_PER_REPORT,
        "megabytes": settings.PHOTO_BYTES // 1_000_000,
        "views": views,
    }


def _arriving(book: Book) -> Iterable[ArrivingPhoto]:
    return ArrivingPhoto.objects.filter(place=book.place, stage=book.stage, received__gt=0)


def _unfinished(one: ArrivingPhoto, names: dict[str, str]) -> dict[str, str]:
    """A photo whose line dropped: which view, and how much of it is here."""
    return {
        "ref": one.ref,
        "name": names.get(one.view, _("Another view")),
        "share": f"{100 * one.received // one.size_bytes}",
    }


def _slot(key: str, name: str, photos: list[Photo], names: dict[str, str]) -> dict[str, Any]:
    """One view: what is there of it, and whether that is enough."""
    return {
        "key": key,
        "name": name,
        "tiles": [_tile(photo, names) for photo in photos],
        "done": any(photo.state != PhotoState.FAILED for photo in photos),
    }


def tile_of(photo: Photo, place: Place) -> Tile:
    return _tile(photo, dict(views_of(place.round)))


def _tile(photo: Photo, names: dict[str, str]) -> Tile:
    waited = photo.state == PhotoState.WAITING and timezone.now() - photo.added > WAITED_LONG
    return Tile(
        small=photo_address(photo.ref, settings.PHOTO_SMALL_PX),
        large=reverse("photo_open", args=[photo.ref]),
        ref=photo.ref,
        name=names.get(photo.view, _("Another view")),
        view=photo.view,
        state=photo.state,
        trouble=_trouble(photo),
        may_try_again=bool(photo.incoming or photo.edits) and (photo.state == PhotoState.FAILED or waited),
    )


def _trouble(photo: Photo) -> str:
    if photo.state != PhotoState.FAILED:
        return ""
    if photo.trouble == UNPREPARED:
        return _("Something went wrong here, not with your photo. Please try again.")
    from testing_rounds.photo_work import BROKEN, TROUBLES

    return in_words(TROUBLES.get(photo.trouble, TROUBLES[BROKEN]))
