"""One tester's situation in a sentence."""

from __future__ import annotations

from django.utils.functional import Promise
from django.utils.translation import gettext_lazy as _

from testing_rounds.models import Place, PlaceState

SAID: dict[str, str | Promise] = {
    PlaceState.APPLIED: _("%(tester)s has applied."),
    PlaceState.RESERVE: _("%(tester)s is in reserve."),
    PlaceState.INVITED: _("%(tester)s is invited to sew size %(size)s."),
    PlaceState.ACCEPTED: _("%(tester)s sews size %(size)s."),
    PlaceState.DROPPED_OUT: _("%(tester)s has dropped out."),
    PlaceState.FINISHED: _("%(tester)s has sent a report on size %(size)s."),
}
CHOSEN = _("%(tester)s is chosen for size %(size)s, and not invited yet.")
LATE = _("%(tester)s sews size %(size)s and is late.")
NO_SIZE = _("%(tester)s takes part and has not said which size.")


def place_headline(place: Place, *, late: bool) -> str:
    said: str | Promise = SAID[place.state]
    if place.state == PlaceState.APPLIED and place.size:
        said = CHOSEN
    elif late and place.state == PlaceState.ACCEPTED:
        said = LATE
    if not place.size and place.state in {PlaceState.INVITED, PlaceState.ACCEPTED, PlaceState.FINISHED}:
        said = NO_SIZE
    return str(said) % {"tester": place, "size": place.size}
