"""Where a studio shows testers' photos: written down when it does, named when a permission is taken back."""

from __future__ import annotations

from django.db import transaction
from django.db.models import QuerySet
from django.utils import timezone
from django.utils.translation import gettext as _

from people import audit
from people.models import ConsentKind, Person
from releases.actions.refused import Refused
from testing_rounds.actions.visits import locked, studio_of
from testing_rounds.consents import allows
from testing_rounds.models import Photo, PhotoUse, Place, Round


def standing_uses(place: Place) -> QuerySet[PhotoUse]:
    """Where photos of this tester are shown now."""
    return PhotoUse.objects.filter(photo__report__place=place, over=None)


def recalled_uses(found: Round) -> QuerySet[PhotoUse]:
    """Where photos of this round are still shown although their tester took that back."""
    return PhotoUse.objects.filter(round=found, over=None).exclude(recalled=None)


@transaction.atomic
def note_use(*, photo: Photo, what: str, where: str, by: Person) -> PhotoUse:
    """Write down that a photo is shown there; said twice it is one use. Raises Refused without the permission."""
    place = locked(photo.report.place)
    if not allows(place, ConsentKind.PROMOTION):
        raise Refused(_("This tester does not allow that: the photo may only be looked at to judge the fit."))
    use, made = PhotoUse.objects.get_or_create(
        photo=photo,
        where=where,
        defaults={"round": place.round, "photo_ref": photo.ref, "what": what, "by": by},
    )
    if use.over is not None or use.recalled is not None:
        use.over = use.recalled = None
        use.save(update_fields=["over", "recalled"])
        made = True
    if made:
        audit.record(studio=studio_of(place), by=by, verb="photo_shown", thing=photo, content=[what, where])
    return use


@transaction.atomic
def end_use(*, use: PhotoUse, by: Person) -> None:
    """The photo was taken down there."""
    if PhotoUse.objects.filter(pk=use.pk, over=None).update(over=timezone.now()):
        audit.record(studio=use.round.version.pattern.studio, by=by, verb="photo_taken_down", thing=use.photo_ref)


def recall(place: Place, photo: Photo | None = None) -> int:
    """The tester no longer allows it, or not as it was: every place where a photo of theirs (or this one) is shown is
    to be cleared. Tells the studio by mail.

    Call in the transaction that withdraws the permission. Returns how many there are.
    """
    from testing_rounds.jobs import tell_recalled

    uses = standing_uses(place).filter(recalled=None)
    if photo is not None:
        uses = uses.filter(photo=photo)
    count = uses.update(recalled=timezone.now())
    if count:
        tell_recalled.enqueue(place.round.ref)
    return count
