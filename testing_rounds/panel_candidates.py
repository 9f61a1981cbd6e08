"""The people of a round as the choice of a panel reads them: the adapter between the pages and the pure modules."""

from __future__ import annotations

from collections.abc import Mapping
from decimal import Decimal

from django.conf import settings

from testing_rounds.coverage import ON_PANEL
from testing_rounds.models import MailKind, MailSent, Place, PlaceState, Round
from testing_rounds.panel_choice import Choice, choose_panel, replacement
from testing_rounds.panel_goals import Candidate, Goals, goals_of
from testing_rounds.panel_page import Body, Panel, Row


def goals(panel: Panel) -> Goals:
    return goals_of(panel.version.sizes, panel.round.per_size, panel.breaks, panel.papers)


def candidates(panel: Panel) -> list[Candidate]:
    """Everybody with a seat, and everybody who waits and whom the size advice gives a size of the version."""
    found = [_candidate(panel, row) for row in panel.rows if row.place.state != PlaceState.DROPPED_OUT]
    return [one for one in found if one.size in panel.version.sizes]


def best(panel: Panel) -> Choice:
    """The choice that the round's own lot and the people as they stand lead to."""
    return choose_panel(goals(panel), candidates(panel), panel.round.lot, settings.PANEL_SECONDS)


def is_seated(row: Row) -> bool:
    """Invited or further; or put on the panel by hand, without an application that could be weighed."""
    return row.place.state in ON_PANEL or bool(row.place.size and not row.place.advised_size)


def _candidate(panel: Panel, row: Row) -> Candidate:
    place = row.place
    size = place.size or place.advised_size
    body = panel.bodies.get(place.pk)
    return Candidate(
        key=place.ref,
        size=size,
        cup_off_mm=_off(body, size, "bust", "high_bust"),
        figure_off=_figure(body, size),
        height_off_mm=row.seat.height_off_mm,
        beginner=place.experience == "new",
        paper=place.paper,
        returning=bool(place.rounds_before),
        seated=is_seated(row),
    )


def _off(body: Body | None, size: str, wide: str, less: str) -> Decimal | None:
    """The difference of two measurements, less the same difference of the chart in that size, in mm."""
    own, chart = _own(body), _chart(body, size)
    if not {wide, less} <= own.keys() or not {wide, less} <= chart.keys():
        return None
    return (own[wide] - own[less]) - (chart[wide] - chart[less])


def _figure(body: Body | None, size: str) -> Decimal | None:
    """Waist / hip less the chart's; waist / bust where either knows no hip."""
    own, chart = _own(body), _chart(body, size)
    for other in ("hip", "bust"):
        if {"waist", other} <= own.keys() and {"waist", other} <= chart.keys() and own[other] and chart[other]:
            return own["waist"] / own[other] - chart["waist"] / chart[other]
    return None


def _own(body: Body | None) -> Mapping[str, Decimal]:
    return body.own if body else {}


def _chart(body: Body | None, size: str) -> dict[str, Decimal]:
    found = {key: by_size.get(size) for key, by_size in body.chart.items()} if body else {}
    return {key: value for key, value in found.items() if value is not None}


# when a place is free


def free_places(panel: Panel) -> list[tuple[Place, Place | None]]:
    """Each tester who stopped and whose seat nobody has taken, with who should move up."""
    freed = [row.place for row in panel.rows if row.place.state == PlaceState.DROPPED_OUT and row.place.invited_at]
    needed = {one.size: one.needed for one in panel.cover}
    moving: set[str] = set()
    found = []
    for place in sorted(freed, key=lambda one: one.pk, reverse=True):
        if needed.get(place.size, 0) > 0:
            needed[place.size] -= 1
            instead = _instead(panel, place.size, moving)
            moving |= {instead.ref} if instead else set()
            found.append((place, instead))
    return found


def _instead(panel: Panel, size: str, moving: set[str]) -> Place | None:
    """A reserve of that size, else somebody who applied: whose moving up leaves the panel lacking least."""
    people = {one.key: one for one in candidates(panel)}
    seated = [one for one in people.values() if one.seated or one.key in moving]
    by_ref = {row.place.ref: row.place for row in panel.rows}
    for state in (PlaceState.RESERVE, PlaceState.APPLIED):
        waiting = [
            one for key, one in people.items()
            if one.size == size and by_ref[key].state == state and not by_ref[key].size and key not in moving
        ]  # fmt: skip
        key = replacement(goals(panel), seated, waiting, panel.round.lot)
        if key:
            return by_ref[key]
    return None


def reserves_told(found: Round) -> int:
    """How many of those in reserve know it by mail."""
    told = MailSent.objects.filter(kind=MailKind.RESERVE, place__round=found, place__state=PlaceState.RESERVE)
    return told.values("place").distinct().count()


def who_moves_up(place: Place) -> Place | None:
    """Who should take the place of this tester; None where it is taken, or nobody waits."""
    return next((instead for gone, instead in free_places(Panel(place.round)) if gone.pk == place.pk), None)
