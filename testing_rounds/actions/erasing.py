"""A tester is erased: nothing that tells who it was, or how the body measured, is left; what was counted stays counted.

A report that was sent becomes an answer without a person: size, zones and numbers of the garment, no words, no photo,
no measurement. A place without such a report goes whole. Why so: docs/decisions/0010-erased-and-still-counted.md.
"""

from __future__ import annotations

from collections.abc import Iterable

from django.db import transaction

from people import audit, personal_data
from people.models import Person
from releases.models import LaunchWord, SilencedWording, Stale
from testing_rounds.actions.summaries import forget_summaries
from testing_rounds.actions.touch import touch_round
from testing_rounds.actions.visits import keep_what_counts, locked, studio_of
from testing_rounds.models import Decision, PhotoUse, Place, Round, WeighedByHand
from testing_rounds.set_aside import BODY, TOILE
from testing_rounds.summary_names import Nameless


def places_of(place: Place) -> list[Place]:
    """This tester's places in the same studio: one person is one address. The place itself comes first."""
    if not place.email:
        return [place]
    others = Place.objects.filter(
        email__iexact=place.email, round__version__pattern__studio=studio_of(place)
    ).select_related("round__version__pattern__studio", "body")
    return [place, *others.exclude(pk=place.pk).order_by("pk")]


@transaction.atomic
def erase_tester(*, places: Iterable[Place], by: Person | Place | None) -> None:
    """Erase all that is kept of a tester in these places. `by` is the tester, a person of the studio, or the night."""
    for place in places:
        _erase(locked(place), by)


def _erase(place: Place, by: Person | Place | None) -> None:
    found = place.round
    audit.record(studio=studio_of(place), by=by, verb="tester_erased", thing=place)
    keep_what_counts(place, BODY, TOILE)
    _forget_name(place, found)
    personal_data.erase(place)
    forget_summaries(round_id=found.pk)
    touch_round(found.pk)


def _forget_name(place: Place, found: Round) -> None:
    """What the studio wrote in this round, or about its pattern, stands without the tester's name.

    A sealed note is never changed; none with a tester's name is taken in (views.sign_off).
    """
    nameless, pattern = Nameless([place]), found.version.pattern
    written = (
        (WeighedByHand.objects.filter(report__place__round=found), "reason"),
        (Decision.objects.filter(issue__round=found), "words"),
        (PhotoUse.objects.filter(round=found), "where"),
        (Stale.objects.filter(version__pattern=pattern), "reason"),
        (LaunchWord.objects.filter(version__pattern=pattern), "reason"),
        (SilencedWording.objects.filter(version__pattern=pattern), "reason"),
    )
    for rows, field in written:
        for row in rows:
            said = getattr(row, field)
            if (clean := nameless.text(said)) != said:
                setattr(row, field, clean[:300] if field != "words" else clean)
                row.save(update_fields=[field])
