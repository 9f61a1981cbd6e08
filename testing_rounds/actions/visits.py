"""A tester's coming and going: the link, the first visit, what they allow, and stopping."""

from __future__ import annotations

from datetime import datetime, time, timedelta

from django.conf import settings
from django.db import transaction
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext as _
from django.utils.translation import gettext_noop

from people import audit
from people.languages import known
from people.models import Consent, ConsentKind, Person, Studio
from people.refs import new_token, token_hash
from releases.models import PatternFile
from testing_rounds.actions.touch import touch_round
from testing_rounds.consents import WORDING, day_they_go
from testing_rounds.due import may_ask_for_days
from testing_rounds.models import FileTaken, Photo, Place, PlaceState, TesterLink, WeighedByHand, Weighing
from testing_rounds.set_aside import BODY, PERSON


def studio_of(place: Place) -> Studio:
    return place.round.version.pattern.studio


@transaction.atomic
def issue_link(place: Place, *, by: Person | None) -> str:
    """A new link for one tester, as a path. Only its hash is stored: it cannot be shown again."""
    token = new_token()
    link = TesterLink.objects.create(
        place=place,
        token_hash=token_hash(token),
        expires_at=timezone.now() + timedelta(days=settings.TESTER_LINK_DAYS),
    )
    audit.record(studio=studio_of(place), by=by, verb="tester_link_issued", thing=link)
    return reverse("tester_link", args=[token])


@transaction.atomic
def revoke_links(place: Place, *, by: Person | None) -> int:
    """End every link of a place; open visits end with their next page. Returns how many were ended."""
    ended = TesterLink.objects.live(timezone.now()).filter(place=place).update(revoked_at=timezone.now())
    if ended:
        audit.record(studio=studio_of(place), by=by, verb="tester_links_revoked", thing=place)
    return ended


@transaction.atomic
def arrive(*, link: TesterLink, language: str = "") -> Place:
    """The button of the link was pressed: the tester is there. The first time this accepts the place.

    `language` is the one that the page was read in; mails follow it, unless the tester has chosen one.
    """
    now = timezone.now()
    place = locked(link.place)
    TesterLink.objects.filter(pk=link.pk, first_used_at=None).update(first_used_at=now)
    Place.objects.filter(pk=place.pk, language="").update(language=known(language))
    if place.state == PlaceState.INVITED:
        place.state, place.accepted_at = PlaceState.ACCEPTED, place.accepted_at or now
        place.save(update_fields=["state", "accepted_at"])
        touch_round(place.round_id)
        audit.record(studio=studio_of(place), by=place, verb="place_accepted", thing=place)
    return place


def choose_language(*, place: Place, language: str) -> None:
    """The tester's pages and mails are in this language from now on."""
    Place.objects.filter(pk=place.pk).update(language=language)


@transaction.atomic
def stop_testing(*, place: Place) -> bool:
    """The tester leaves the round. What was sent stays; what they allow is theirs to take back. False: not open."""
    from testing_rounds.jobs import tell_of_free_place

    place = locked(place)
    if place.state not in {PlaceState.INVITED, PlaceState.ACCEPTED}:
        return False
    place.state, place.dropped_at = PlaceState.DROPPED_OUT, timezone.now()
    place.save(update_fields=["state", "dropped_at"])
    touch_round(place.round_id)
    audit.record(studio=studio_of(place), by=place, verb="place_dropped", thing=place)
    tell_of_free_place.enqueue(place.ref)
    return True


@transaction.atomic
def confirm_adult(*, place: Place, adult: bool) -> None:
    """The tester says that they are 18 or over; the first day on which they said so is kept."""
    place = locked(place)
    if adult == bool(place.adult_at):
        return
    place.adult_at = timezone.now() if adult else None
    place.save(update_fields=["adult_at"])
    audit.record(studio=studio_of(place), by=place, verb="adult_confirmed" if adult else "adult_unsaid", thing=place)


@transaction.atomic
def give_consent(*, place: Place, kind: str, wording: str = WORDING) -> Consent:
    """Record a permission with its day and wording; one that stands already stays as it is."""
    place = locked(place)
    consent, made = Consent.objects.get_or_create(
        subject=place.ref,
        kind=kind,
        withdrawn_at=None,
        defaults={"wording": wording, "given_at": timezone.now()},
    )
    if made:
        audit.record(studio=studio_of(place), by=place, verb="consent_given", thing=f"{place.ref} {kind}")
        _erase_in_time(place, consent)
        touch_round(place.round_id)
    return consent


@transaction.atomic
def withdraw_consent(*, place: Place, kind: str) -> bool:
    """Take a permission back. Measurements go at once, photos are hidden at once, stored summaries go at once, and the
    studio is told where it still shows a photo."""
    from testing_rounds.actions.summaries import forget_summaries
    from testing_rounds.actions.uses import recall

    place = locked(place)
    standing = Consent.objects.filter(subject=place.ref, kind=kind, withdrawn_at=None)
    if not standing.update(withdrawn_at=timezone.now()):
        return False
    if kind == ConsentKind.MEASUREMENTS:
        erase_measures(place)
    if kind == ConsentKind.PROMOTION:
        recall(place)
    touch_round(place.round_id)
    forget_summaries(round_id=place.round_id)
    audit.record(studio=studio_of(place), by=place, verb="consent_withdrawn", thing=f"{place.ref} {kind}")
    return True


def keep_what_counts(place: Place, *gone: str) -> None:
    """Answers that the measurements set aside stay set aside when those go, with a reason that tells none of them.

    `gone`: the codes of the reasons that end now. Without this an erased body would make old complaints count anew.
    """
    from testing_rounds.evidence import weigh

    for stage in set(place.reports.exclude(submitted_at=None).values_list("stage", flat=True)):
        evidence = weigh(place.round, stage=stage)
        for answer in evidence.set_aside:
            codes = {reason.code for reason in answer.reasons}
            if evidence.row(answer).place_id == place.pk and codes & set(gone) and PERSON not in codes:
                WeighedByHand.objects.create(
                    report=evidence.row(answer), zone=answer.zone, what=Weighing.ASIDE, reason=_(WHY_ASIDE)
                )


WHY_ASIDE = gettext_noop("Measurements that are erased since then explained it.")


def erase_measures(place: Place) -> None:
    """Remove a tester's measurements, what was typed of them, and the advice that came from them."""
    if place.body is not None:
        keep_what_counts(place, BODY)
        place.body.delete()
    place.body, place.advised_size = None, ""
    place.pending = {name: text for name, text in place.pending.items() if not name.startswith("body")}
    place.save(update_fields=["body", "advised_size", "pending"])


@transaction.atomic
def keep_promise(*, place: Place) -> None:
    """On the promised day: erase measurements, and photos unless they may still show the pattern."""
    from testing_rounds.actions.photos import remove_photo
    from testing_rounds.actions.summaries import forget_summaries

    place = locked(place)
    today = timezone.now().date()
    standing = {one.kind: one for one in Consent.objects.filter(subject=place.ref, withdrawn_at=None)}
    due = {kind for kind, one in standing.items() if day_they_go(one.given_at) <= today}
    if ConsentKind.MEASUREMENTS in due or ConsentKind.MEASUREMENTS not in standing:
        erase_measures(place)
    if ConsentKind.PHOTOS in due and ConsentKind.PROMOTION not in standing:
        for photo in Photo.objects.filter(report__place=place).select_related("report__place__round__version__pattern"):
            remove_photo(photo=photo)
    if due & {ConsentKind.MEASUREMENTS, ConsentKind.PHOTOS}:
        touch_round(place.round_id)
        forget_summaries(round_id=place.round_id)
        audit.record(studio=studio_of(place), by=None, verb="kept_no_longer", thing=place)


def _erase_in_time(place: Place, consent: Consent) -> None:
    """Measurements and photos go on the day that was promised, whoever remembers it."""
    from testing_rounds.jobs import forget_in_time

    if consent.kind in {ConsentKind.MEASUREMENTS, ConsentKind.PHOTOS}:
        day = day_they_go(consent.given_at)
        forget_in_time.using(run_after=timezone.make_aware(datetime.combine(day, time(3)))).enqueue(place.ref)


def locked(place: Place) -> Place:
    """The place as it stands, held until the transaction ends: words of one tester are written one after another."""
    found = (
        Place.objects.select_for_update(of=["self"])
        .select_related("round__version__pattern__studio", "body")
        .get(pk=place.pk)
    )
    found.stage = place.stage
    return found


@transaction.atomic
def ask_for_days(*, place: Place) -> int:
    """A few more days for the report, given at once while the round is open that long. Returns how many."""
    from testing_rounds.actions.reports import ready_for_words

    place = ready_for_words(place)
    days = may_ask_for_days(place)
    if days and place.state in {PlaceState.INVITED, PlaceState.ACCEPTED}:
        place.more_days += days
        place.save(update_fields=["more_days"])
        touch_round(place.round_id)
        audit.record(studio=studio_of(place), by=place, verb="days_asked", thing=place, content=days)
        return days
    return 0


def take_file(*, place: Place, file: PatternFile) -> None:
    """Keep which file was downloaded, and when: what comes after it can then be told."""
    FileTaken.objects.update_or_create(place=place, file=file)
