"""Who sews a round: applications, the choice among them, invitations and links."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from typing import Any

from django.core.signing import Signer
from django.db import transaction
from django.db.models import Exists, OuterRef
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import get_language
from django.utils.translation import gettext as _

from measurements.lengths import Length
from measurements.models import BodyRecord, BodyValue
from people import audit
from people.mail import send_after_commit, site_address
from people.models import ConsentKind, Person, Referenced
from people.refs import new_ref
from releases.actions.refused import Refused
from testing_rounds.actions.erasing import erase_tester
from testing_rounds.actions.mails import context_of
from testing_rounds.actions.touch import touch_round
from testing_rounds.actions.visits import (
    erase_measures,
    give_consent,
    issue_link,
    locked,
    revoke_links,
    studio_of,
    withdraw_consent,
)
from testing_rounds.consents import day_they_go
from testing_rounds.jobs import answer_applicant
from testing_rounds.models import MailKind, MailSent, Place, PlaceState, Round, RoundState
from testing_rounds.place_advice import advise_place

# The words of the call's own question; counted up with any change to them, as consents.WORDING is.
CALL_WORDING = "call-2"
# Signs the address at which an application is taken back; it goes only to the mail address of the application.
SIGNER = Signer(salt="application")
ABOUT = ("name", "units", "wanted_size", "experience", "paper", "rounds_before", "note")
# Who has not been sent a link yet: such a place may still be written by the public form.
WAITING = (PlaceState.APPLIED, PlaceState.RESERVE)


# applications


@transaction.atomic
def apply(*, found: Round, fields: Mapping[str, Any], measures: Mapping[str, Length], unit: str = "") -> Place:
    """A volunteer applies, and allows the studio to keep the measurements for this round.

    `fields`: name, email, units, wanted_size, experience, paper, rounds_before, note, and adult and child_age where
    they were said.
    `measures` is {key: Length}, typed in `unit` (that of the fields if not given). One place an address and round:
    a second application takes the place of the first until a link has been sent; after that it changes nothing, for
    the public form cannot know who fills it in. Raises Refused when the call is not open.
    """
    found = _held_round(found)
    if found.state != RoundState.CALL_OPEN:
        raise Refused(_("This call is closed."))
    email = str(fields["email"]).strip().lower()
    place = Place.objects.select_for_update().filter(round=found, email=email).first()
    if place and place.links.exists():
        _tell_applicant(place, "kept")
        return place
    what = "again" if place else "new"
    place = place or _add(found, email, language=get_language() or "")
    _tell_applicant(place, what)
    _write_application(place, fields, measures, unit or str(fields["units"]))
    audit.record(studio=studio_of(place), by=place, verb="applied", thing=place)
    touch_round(found.pk)
    return place


@transaction.atomic
def add_by_hand(*, found: Round, name: str, email: str, size: str, by: Person) -> Place:
    """A tester whom the studio knows, with the size to sew. Raises Refused when the address has a place already."""
    found = _held_round(found)
    address = email.strip().lower()
    if Place.objects.filter(round=found, email=address).exists():
        raise Refused(_("Somebody with this address is on the panel already."))
    _known_size(found, size)
    place = _add(found, address, name=name.strip(), size=size)
    return _done(place, by, "tester_added")


def _add(found: Round, email: str, **fields: Any) -> Place:
    """A new place; the round is held, so that no two get one alias."""
    aliases = Place.objects.filter(round=found, alias__regex=r"^T[0-9]+$").values_list("alias", flat=True)
    taken = [int(alias[1:]) for alias in aliases]
    return Place.objects.create(round=found, email=email, alias=f"T{max(taken, default=0) + 1:02d}", **fields)


def _write_application(place: Place, fields: Mapping[str, Any], measures: Mapping[str, Length], unit: str) -> None:
    for name in ABOUT:
        setattr(place, name, fields[name])
    if place.state == PlaceState.DROPPED_OUT:
        place.state, place.dropped_at = PlaceState.APPLIED, None
    place.child_age = fields.get("child_age")
    if fields.get("adult"):
        place.adult_at = place.adult_at or timezone.now()
    place.save()
    _write_body(place, measures, unit)


def _write_body(place: Place, measures: Mapping[str, Length], unit: str) -> None:
    """The measurements of this application alone, kept until the promised day; and what they advise."""
    erase_measures(place)
    if not measures:
        return
    consent = give_consent(place=place, kind=ConsentKind.MEASUREMENTS, wording=CALL_WORDING)
    place.body = BodyRecord.objects.create(
        studio=studio_of(place),
        unit=unit,
        taken_on=timezone.now().date(),
        keep_until=day_they_go(consent.given_at),
    )
    BodyValue.objects.bulk_create(
        BodyValue(record=place.body, key=key, mm=length.mm, typed=length.typed, unit=length.unit)
        for key, length in measures.items()
    )
    advice = advise_place(place, {key: length.mm for key, length in measures.items()})
    place.advised_size = (advice.size or "") if advice else ""
    place.save(update_fields=["body", "advised_size"])


def applicant_of(found: Round, token: str) -> Place | None:
    """The application that a take-back address is for; None when it is gone. Raises BadSignature for a forged one."""
    return Place.objects.filter(round=found, ref=SIGNER.unsign(token)).first()


@transaction.atomic
def take_back_application(*, place: Place) -> bool:
    """Erase an application with all that it says. False: a link was sent, so its owner has pages for that."""
    place = locked(place)
    if place.links.exists():
        return False
    withdraw_consent(place=place, kind=ConsentKind.MEASUREMENTS)
    audit.record(studio=studio_of(place), by=place, verb="application_taken_back", thing=place)
    erase_tester(places=[place], by=place)
    return True


# the choice


@transaction.atomic
def choose(*, place: Place, size: str, by: Person) -> Place:
    """Give an applicant a place in this size, or another size before the link was opened. Raises Refused."""
    place = _in_state(place, {*WAITING, PlaceState.INVITED})
    _known_size(place.round, size)
    if place.state == PlaceState.RESERVE:
        place.state = PlaceState.APPLIED
    place.size = size
    return _done(place, by, "tester_chosen")


@transaction.atomic
def set_reserve(*, place: Place, by: Person) -> Place:
    """Keep an applicant for the case that another drops out. Raises Refused."""
    place = _in_state(place, WAITING)
    place.state, place.size = PlaceState.RESERVE, ""
    return _done(place, by, "tester_reserved")


@transaction.atomic
def decline(*, place: Place, by: Person) -> Place:
    """No place this time: the measurements go at once, and a mail says so, once. Raises Refused."""
    place = _in_state(place, WAITING)
    place.state, place.size, place.dropped_at = PlaceState.DROPPED_OUT, "", timezone.now()
    erase_measures(place)
    answer_applicant.enqueue(place.ref, MailKind.DECLINED)
    return _done(place, by, "tester_declined")


@transaction.atomic
def draw_lot(*, found: Round, by: Person) -> str:
    """The lot that decides between equals: drawn once for a round, kept, shown."""
    held = _held_round(found)
    if not held.lot:
        held.lot = new_ref()
        held.save(update_fields=["lot"])
        audit.record(studio=held.version.pattern.studio, by=by, verb="lot_drawn", thing=held, content=held.lot)
    return held.lot


@transaction.atomic
def take_choice(*, found: Round, sizes: Mapping[str, str], reserves: Collection[str], by: Person) -> int:
    """Make the panel what was chosen: `sizes` is {ref of a place: size}, `reserves` are refs; whoever else waits has
    applied, no more. Nobody who was invited is touched. Returns how many places changed. Raises Refused."""
    held, changed = _held_round(found), 0
    waiting = Place.objects.select_for_update().filter(round=held, state__in=WAITING)
    for place in waiting:
        size = sizes.get(place.ref, "")
        state = PlaceState.RESERVE if place.ref in reserves and not size else PlaceState.APPLIED
        if size:
            _known_size(held, size)
        if (place.state, place.size) != (state, size):
            place.state, place.size = state, size
            place.save(update_fields=["state", "size"])
            changed += 1
    if changed:
        touch_round(held.pk)
        content = {"sizes": dict(sizes), "reserves": sorted(reserves)}
        audit.record(studio=held.version.pattern.studio, by=by, verb="panel_chosen", thing=held, content=content)
    return changed


@transaction.atomic
def answer_reserves(*, found: Round, by: Person) -> int:
    """A mail to everybody in reserve who has had none. Returns how many are told."""
    told = MailSent.objects.filter(kind=MailKind.RESERVE, place=OuterRef("pk"))
    places = found.places.filter(~Exists(told), state=PlaceState.RESERVE).exclude(email="")
    for place in places:
        answer_applicant.enqueue(place.ref, MailKind.RESERVE)
    audit.record(studio=found.version.pattern.studio, by=by, verb="reserves_told", thing=found)
    return len(places)


@transaction.atomic
def decline_rest(*, found: Round, by: Person) -> int:
    """No place for all who applied and were given none. Returns how many."""
    places = list(found.places.filter(state=PlaceState.APPLIED, size="").select_related("round__version__pattern"))
    for place in places:
        decline(place=place, by=by)
    return len(places)


@transaction.atomic
def move_up(*, place: Place, by: Person) -> str:
    """A reserve, or somebody who applied, takes a free place in the advised size, and is invited. Returns the link's
    path. Raises Refused."""
    choose(place=place, size=place.size or place.advised_size, by=by)
    return invite_tester(place=place, by=by)


@transaction.atomic
def back_to_applied(*, place: Place, by: Person) -> Place:
    """Undo a choice, a reserve, an invitation that nobody opened, or a refusal. Raises Refused."""
    place = _in_state(place, {*WAITING, PlaceState.INVITED, PlaceState.DROPPED_OUT})
    if place.accepted_at:
        raise Refused(_("This tester was here already: invite them again instead."))
    revoke_links(place, by=by)
    place.state, place.size, place.dropped_at, place.invited_at = PlaceState.APPLIED, "", None, None
    return _done(place, by, "tester_back")


@transaction.atomic
def drop(*, place: Place, by: Person) -> Place:
    """Take somebody off the panel. What was sent stays, and their link still shows them their own data."""
    place = _in_state(place, {*WAITING, PlaceState.INVITED, PlaceState.ACCEPTED})
    place.state, place.dropped_at = PlaceState.DROPPED_OUT, timezone.now()
    return _done(place, by, "tester_dropped")


# links


@transaction.atomic
def invite_tester(*, place: Place, by: Person, again: bool = False) -> str:
    """Send the invitation with a new link, and end older links. Returns the link's path, which cannot be shown again.

    For a chosen applicant, or one who dropped out and comes back; with `again` for one who was invited before (so
    that a second tap on the button sends no second mail). Raises Refused.
    """
    states = {PlaceState.APPLIED, PlaceState.DROPPED_OUT} | ({PlaceState.INVITED} if again else set())
    place = _in_state(place, states)
    _open_to_testers(place.round)
    if not place.size:
        raise Refused(_("Choose the size to sew first."))
    path = _fresh_link(place, by, template="mail/invitation.txt")
    place.state, place.invited_at, place.dropped_at = PlaceState.INVITED, timezone.now(), None
    _done(place, by, "tester_invited")
    return path


@transaction.atomic
def send_new_link(*, place: Place, by: Person) -> str:
    """Another link for somebody who was here already, sent by mail; older links end. Raises Refused."""
    place = _in_state(place, {PlaceState.ACCEPTED, PlaceState.FINISHED, PlaceState.DROPPED_OUT})
    return _fresh_link(place, by, template="mail/new_link.txt")


@transaction.atomic
def revoke(*, place: Place, by: Person) -> int:
    """End every link of a tester at once. Returns how many were ended."""
    return revoke_links(locked(place), by=by)


def _fresh_link(place: Place, by: Person, template: str) -> str:
    revoke_links(place, by=by)
    path = issue_link(place, by=by)
    if place.email:
        link = place.links.latest("pk")
        send_after_commit(
            to=place.email,
            template=template,
            context=context_of(place) | {"link": site_address(path), "expires": link.expires_at.date(), "by": by},
            language=place.language,
        )
    return path


def _tell_applicant(place: Place, what: str) -> None:
    """One mail to each application: `what` is new, again (it took the place of an older one) or kept (it did not).

    The page says the same to all, so only the owner of the address learns which it was. Nothing that was typed goes
    into this mail: the address may be somebody else's.
    """
    path = reverse("call_take_back", args=[place.round.call_ref, SIGNER.sign(place.ref)])
    context = context_of(place) | {
        "what": what,
        "keep_until": day_they_go(timezone.now()),
        "take_back": site_address(path),
    }
    send_after_commit(
        to=place.email, template="mail/application_received.txt", context=context, language=place.language
    )


# parts


def _held_round(found: Round) -> Round:
    return (
        Round.objects.select_for_update(of=["self"])
        .select_related("version__pattern__studio", "version__body_chart")
        .get(pk=found.pk)
    )


def _in_state(place: Place, states: Collection[str]) -> Place:
    """The place, held, if it is in one of these states. Raises Refused."""
    place = locked(place)
    if place.state not in states:
        said = _("%(tester)s is %(state)s now, so that is no longer possible.")
        raise Refused(said % {"tester": place, "state": place.get_state_display()})
    return place


def _open_to_testers(found: Round) -> None:
    if found.state not in {RoundState.CALL_OPEN, RoundState.SEWING}:
        raise Refused(_("Testers can be invited once the call is open or sewing has started."))


def _known_size(found: Round, size: str) -> None:
    if size not in found.version.sizes:
        raise Refused(_("This version has no size “%(size)s”.") % {"size": size[:20]})


def _done(place: Place, by: Referenced, verb: str) -> Place:
    place.save()
    touch_round(place.round_id)
    audit.record(studio=studio_of(place), by=by, verb=verb, thing=place)
    return place
