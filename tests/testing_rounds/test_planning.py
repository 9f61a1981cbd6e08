"""Planning a round and leading it from planned to closed."""

from __future__ import annotations

from datetime import date, timedelta
from typing import Any

import pytest
from django.urls import reverse
from django.utils import timezone

from people.models import AuditEntry
from releases.actions.refused import Refused
from releases.models import Version, VersionState
from testing_rounds.actions.panel import apply
from testing_rounds.actions.rounds import change_plan, close_round, open_call, start_sewing
from testing_rounds.models import FitReport, Round, RoundState, ZoneVerdict
from testing_rounds.planning_forms import PlanForm
from tests.factories import Cast, make_cast, signed_in
from tests.testing_rounds.testers import form_of, make_place, make_round, make_version

pytestmark = pytest.mark.django_db


@pytest.fixture
def cast() -> Cast:
    return make_cast()


@pytest.fixture
def version(cast) -> Version:
    made = make_version(cast.studio)
    made.state = VersionState.DRAFT
    made.save()
    return made


def new_page(version: Version) -> str:
    return reverse("round_new", args=[version.ref])


def filled(version: Version, **changes: Any) -> dict[str, Any]:
    """The form as it comes, all zones and views ticked as they are, with these changes."""
    form = PlanForm(version=version, today=timezone.now().date())
    plain = {name: value.isoformat() if isinstance(value, date) else value for name, value in form.initial.items()}
    return plain | changes


def planned(version: Version, cast: Cast, **fields: Any) -> Round:
    return make_round(version, **{"state": RoundState.PLANNED, **fields})


# planning


def test_the_plan_comes_filled_for_the_kind_of_garment(cast, version):
    page = signed_in(cast.designer).get(new_page(version))
    fields = form_of(page)
    today = timezone.now().date()
    assert fields["name"] == "Round 1"
    assert fields["starts"] == (today + timedelta(days=21)).isoformat()
    text = page.content.decode()
    for said in ("you buy the fabric", "The work is unpaid", "it may not fit", "You may stop at any time"):
        assert said in text
    assert "pulls or puckers" in text
    assert "strap" not in text.casefold()


def test_a_plan_becomes_a_round_with_its_zones_as_a_round_file_writes_them(cast, version):
    answer = signed_in(cast.designer).post(new_page(version), filled(version, name="First sewing", per_size=4))
    made = Round.objects.get()
    assert answer.status_code == 302
    assert (made.state, made.name, made.per_size) == (RoundState.PLANNED, "First sewing", 4)
    waist = next(zone for zone in made.zones if zone["key"] == "waist")
    assert waist == {
        "key": "waist",
        "label": "waist",
        "low": "tight",
        "high": "loose",
        "body_point": "waist",
        "scale_cm": 1.2,
    }
    assert all("scale_cm" in zone for zone in made.zones)
    assert made.views == ["front", "side", "back", "arms_forward", "close_up"]
    assert AuditEntry.objects.filter(verb="round_planned", object_ref=made.ref).count() == 1


def test_a_zone_points_at_no_measurement_that_the_chart_lacks(cast, version):
    signed_in(cast.designer).post(new_page(version), filled(version))
    by_key = {zone["key"]: zone.get("body_point") for zone in Round.objects.get().zones}
    assert by_key["shoulder"] is None
    assert by_key["sleeve_length"] == "arm"
    assert by_key["upper_arm"] == "upper_arm"


@pytest.mark.parametrize(
    ("changes", "field", "sentence"),
    [
        ({"starts": "call_closes-1"}, "starts", "Sewing starts once the call has closed"),
        ({"report_due": "starts"}, "report_due", "Reports come after the start"),
        ({"closes": "report_due-1"}, "closes", "The round closes once the reports are due"),
        ({"call_closes": "today-1"}, "call_closes", "That day has passed"),
        ({"report_due": "soon"}, "report_due", "This is not a day. Write it like 2026-05-31."),
        ({"starts": ""}, "starts", "Choose a day."),
        ({"per_size": "0"}, "per_size", "One tester a size is the least."),
        ({"per_size": "99"}, "per_size", "is more than anybody can read"),
        ({"zones": []}, "zones", "Choose at least one zone"),
        ({"zones": ["rise"]}, "zones", "This garment has no zone of that name."),
        ({"views": ["ceiling"]}, "views", "That is no view that can be asked."),
        ({"name": ""}, "name", "Give the round a name."),
    ],
)
def test_what_cannot_be_is_said_beside_its_field_and_all_that_was_typed_stays(cast, version, changes, field, sentence):
    sent = filled(version, asks="Sew it in cotton lawn, please.")
    days = {"today": timezone.now().date()} | {
        name: date.fromisoformat(sent[name]) for name in ("call_closes", "starts", "report_due")
    }
    for name, value in changes.items():
        start, _minus, back = str(value).partition("-")
        known = isinstance(value, str) and start in days
        sent[name] = (days[start] - timedelta(days=int(back or 0))).isoformat() if known else value
    page = signed_in(cast.designer).post(new_page(version), sent)
    assert page.status_code == 422
    assert sentence in " ".join(str(error) for error in page.context["form"].errors[field])
    assert sentence.encode() in page.content
    assert b"Sew it in cotton lawn, please." in page.content
    assert not Round.objects.exists()


def test_a_round_without_a_call_needs_no_last_day_for_it(cast, version):
    signed_in(cast.designer).post(new_page(version), filled(version, call_closes=""))
    assert Round.objects.get().call_closes is None


def test_reviewers_read_the_plan_and_strangers_see_nothing(cast, version):
    found = planned(version, cast, asks="Sew it in cotton lawn, please.")
    page = reverse("round_plan", args=[found.ref])
    read = signed_in(cast.reviewer).get(page)
    assert b"Sew it in cotton lawn, please." in read.content
    assert b"<textarea" not in read.content
    assert signed_in(cast.reviewer).post(page, filled(version)).status_code == 404
    assert signed_in(cast.reviewer).get(new_page(version)).status_code == 404
    for browser in (signed_in(cast.outsider), signed_in(cast.outsider)):
        assert browser.get(page).status_code == 404
        assert browser.get(new_page(version)).status_code == 404


# changing the plan


def test_a_changed_plan_keeps_the_zones_as_they_stood(cast, version):
    own = {"key": "pocket", "label": "pocket", "low": "high", "high": "low", "scale_cm": 0.8, "note": "patch"}
    found = planned(version, cast)
    Round.objects.filter(pk=found.pk).update(zones=[*found.zones, own], revision=3)
    page = reverse("round_plan", args=[found.ref])
    shown = signed_in(cast.designer).get(page)
    assert b"Pocket" in shown.content
    kept = [zone["key"] for zone in found.zones if zone["key"] != "cap"] + ["pocket"]
    signed_in(cast.designer).post(page, filled(version, zones=kept, name="Second sewing"))
    found.refresh_from_db()
    assert found.name == "Second sewing"
    assert own in found.zones
    assert "cap" not in [zone["key"] for zone in found.zones]
    assert found.revision == 4


def test_a_zone_that_testers_have_answered_stays(cast, version):
    found = planned(version, cast)
    report = FitReport.objects.create(place=make_place(found), version=version)
    ZoneVerdict.objects.create(report=report, zone="cap", fit=-1)
    left = [zone["key"] for zone in found.zones if zone["key"] != "cap"]
    page = signed_in(cast.designer).post(reverse("round_plan", args=[found.ref]), filled(version, zones=left))
    assert page.status_code == 422
    assert b"Testers have already answered about sleeve cap: that has to stay." in page.content
    found.refresh_from_db()
    assert "cap" in [zone["key"] for zone in found.zones]


def test_a_day_that_has_passed_may_stay_where_it_was(cast, version):
    passed = timezone.now().date() - timedelta(days=3)
    found = planned(version, cast, call_closes=passed)
    sent = filled(version, call_closes=passed.isoformat(), name="Still the first")
    signed_in(cast.designer).post(reverse("round_plan", args=[found.ref]), sent)
    found.refresh_from_db()
    assert found.name == "Still the first"


# states


def move(cast: Cast, found: Round, to: str) -> Any:
    return signed_in(cast.designer).post(reverse("round_state", args=[found.ref]), {"to": to}, follow=True)


def test_a_round_goes_from_planned_to_closed_and_back_to_work(cast, version):
    found = planned(version, cast)
    for to in ("call_open", "sewing", "call_open", "sewing", "closed", "sewing"):
        move(cast, found, to)
        found.refresh_from_db()
        assert found.state == to
    version.refresh_from_db()
    assert version.state == VersionState.IN_TESTING


def test_the_version_is_in_testing_from_the_call_on(cast, version):
    open_call(found=planned(version, cast), by=cast.designer)
    version.refresh_from_db()
    assert version.state == VersionState.IN_TESTING


@pytest.mark.parametrize(("state", "to"), [("closed", "call_open"), ("planned", "closed")])
def test_a_state_that_cannot_follow_is_refused_in_a_sentence(cast, version, state, to):
    found = planned(version, cast, state=state)
    page = move(cast, found, to)
    found.refresh_from_db()
    assert found.state == state
    assert b"so that is no longer possible" in page.content


def test_a_second_tap_changes_nothing(cast, version):
    found = planned(version, cast)
    for _tap in range(2):
        open_call(found=found, by=cast.designer)
    assert AuditEntry.objects.filter(verb="call_opened").count() == 1


def test_a_call_does_not_open_on_a_day_that_has_passed(cast, version):
    found = planned(version, cast, call_closes=timezone.now().date() - timedelta(days=1))
    page = move(cast, found, "call_open")
    found.refresh_from_db()
    assert found.state == RoundState.PLANNED
    assert "has passed. Set a later one in the plan first." in page.content.decode()


def test_a_round_without_zones_or_sizes_does_not_start(cast, version):
    with pytest.raises(Refused, match="names no zones"):
        start_sewing(found=planned(version, cast, zones=[]), by=cast.designer)
    version.sizes = []
    version.save()
    with pytest.raises(Refused, match="Give the version its sizes first"):
        open_call(found=planned(version, cast), by=cast.designer)


def test_an_unknown_state_does_nothing(cast, version):
    found = planned(version, cast)
    assert b"opened, sewn or closed" in move(cast, found, "burnt").content


def test_states_are_changed_by_editors_with_post_alone(cast, version):
    found = planned(version, cast)
    page = reverse("round_state", args=[found.ref])
    assert signed_in(cast.designer).get(page).status_code == 405
    for person in (cast.reviewer, cast.outsider):
        assert signed_in(person).post(page, {"to": "call_open"}).status_code == 404
    found.refresh_from_db()
    assert found.state == RoundState.PLANNED


# what the version's pages say


def test_the_version_lists_its_rounds_and_where_they_stand(cast, version):
    nobody = signed_in(cast.designer).get(reverse("version", args=[version.ref]))
    assert b"Nobody has been asked to sew it yet." in nobody.content
    found = planned(version, cast, name="First sewing")
    open_call(found=found, by=cast.designer)
    page = signed_in(cast.designer).get(reverse("version", args=[version.ref])).content.decode()
    assert "First sewing" in page
    assert "The call is open, 0 applications wait, 0 invited." in page
    assert reverse("panel", args=[found.ref]) in page


def test_the_studio_is_led_to_the_next_step_of_the_newest_round(cast, version):
    found = planned(version, cast, name="First sewing")
    address = reverse("studio", args=[cast.studio.ref])
    assert b"First sewing: planned, and the call is not open yet." in signed_in(cast.designer).get(address).content
    start_sewing(found=found, by=cast.designer)
    page = signed_in(cast.designer).get(address).content.decode()
    assert "First sewing: being sewn, 0 of 0 have reported." in page
    assert reverse("round", args=[found.ref]) in page


def test_closing_leaves_everything_to_be_read(cast, version):
    found = planned(version, cast, state=RoundState.SEWING)
    make_place(found)
    close_round(found=found, by=cast.designer)
    assert found.places.count() == 1
    with pytest.raises(Refused, match="This call is closed"):
        apply(found=found, fields={"email": "late@post.example", "units": "cm"}, measures={})


def test_changing_the_plan_is_told_to_pages_that_are_open(cast, version):
    found = planned(version, cast)
    fields = PlanForm(filled(version), version=version, found=found, today=timezone.now().date())
    assert fields.is_valid(), fields.errors
    before = Round.objects.get(pk=found.pk).revision
    change_plan(found=found, fields=fields.plan(), by=cast.designer)
    assert Round.objects.get(pk=found.pk).revision == before + 1
