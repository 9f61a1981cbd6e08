"""The panel: who is chosen, invited, in reserve, late or gone; and one tester's page."""

from __future__ import annotations

import re
from datetime import timedelta
from decimal import Decimal
from typing import Any

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from django.utils import timezone

from measurements.lengths import Length, read_length
from people.models import AuditEntry, Consent
from releases.actions.refused import Refused
from releases.models import FileKind
from testing_rounds.actions import panel as actions
from testing_rounds.actions.visits import arrive, withdraw_consent
from testing_rounds.models import FitReport, Place, PlaceState, PrintCheck, Round, RoundState
from tests.factories import Cast, make_cast, signed_in
from tests.testing_rounds.testers import make_round, make_version

pytestmark = pytest.mark.django_db


@pytest.fixture
def cast() -> Cast:
    return make_cast()


@pytest.fixture
def found(cast) -> Round:
    return make_round(make_version(cast.studio), state=RoundState.CALL_OPEN)


def measures(**cm: str) -> dict[str, Length]:
    return {key: read_length(text, "cm") for key, text in cm.items()}


def applicant(found: Round, name: str = "Nell Harrow", **changes: Any) -> Place:
    """A volunteer whose advice is size 12: bust +0.5 and waist -1 beside its chart, 2 cm over the drafted height."""
    body = changes.pop("body", measures(high_bust="87.5", bust="92.5", waist="73", height="165"))
    fields = {
        "name": name,
        "email": f"{name.partition(' ')[0].lower()}@post.example",
        "units": "cm",
        "wanted_size": "14",
        "experience": "new",
        "paper": FileKind.A4,
        "rounds_before": 1,
        "note": "",
        "adult": True,
        **changes,
    }
    return actions.apply(found=found, fields=fields, measures=body)


def invited(found: Round, cast: Cast, **changes: Any) -> Place:
    place = applicant(found, **changes)
    actions.choose(place=place, size="12", by=cast.designer)
    actions.invite_tester(place=place, by=cast.designer)
    place.refresh_from_db()
    return place


def panel(cast: Cast, found: Round, person: Any = None) -> Any:
    return signed_in(person or cast.designer).get(reverse("panel", args=[found.ref]))


def do(cast: Cast, place: Place, what: str, **more: str) -> Any:
    """Press a button on the tester's page."""
    data = {"do": what, **more}
    return signed_in(cast.designer).post(reverse("place", args=[place.ref]), data, follow=True)


def text(page: Any) -> str:
    return re.sub(r"\s+", " ", page.content.decode())


def row_of(page: Any, place: Place) -> str:
    """The words of one row of the panel."""
    row = re.search(rf'<tr id="p-{place.ref}".*?</tr>', text(page))
    assert row
    return re.sub(r"\s+", " ", re.sub(r"<[^>]+>", " ", row[0]))


# what the panel shows


def test_an_empty_panel_says_what_comes_first(cast, found):
    Round.objects.filter(pk=found.pk).update(state=RoundState.PLANNED)
    page = text(panel(cast, found))
    assert "The call is not open yet, so nobody can apply." in page
    assert "Open the call" in page


def test_an_applicant_stands_under_the_advised_size_with_body_beside_chart(cast, found):
    place = applicant(found)
    page = panel(cast, found)
    group = next(group for group in page.context["groups"] if group.rows)
    assert group.cover.size == "12"
    row = row_of(page, place)
    assert re.search(r"\+0\.5 cm, \+ 1/4 in", row)
    assert "−1.0 cm" in row
    assert "+2.0 cm" in row
    for words in ("would pick 14", "a few things", "1 round before", "A4 pages", "applied"):
        assert words in row


def test_places_are_counted_against_what_was_asked(cast, found):
    for number in range(3):
        actions.add_by_hand(
            found=found, name=f"N{number}", email=f"n{number}@post.example", size="14", by=cast.designer
        )
    page = panel(cast, found)
    assert "3 of 17 places are filled." in text(page)
    assert "Sizes 10, 12, 16 and 18 still need testers." in text(page)
    assert {one.size: one.needed for one in page.context["cover"]}["14"] == 0


def test_who_lies_outside_the_range_is_in_no_size(cast, found):
    place = applicant(found, body=measures(high_bust="130", bust="140", waist="120", height="165"))
    last = panel(cast, found).context["groups"][-1]
    assert last.cover is None
    assert [row.place for row in last.rows] == [place]


def test_measurements_are_shown_only_while_they_are_allowed(cast, found):
    place = invited(found, cast)
    assert "+0.5 cm" in row_of(panel(cast, found), place)
    withdraw_consent(place=place, kind="measurements")
    assert "cm" not in row_of(panel(cast, found), place)
    page = text(signed_in(cast.designer).get(reverse("place", args=[place.ref])))
    assert "None are shown" in page
    assert "92.5" not in page


def test_measurements_without_a_consent_are_never_shown(cast, found):
    place = applicant(found)
    Consent.objects.all().delete()
    assert "cm" not in row_of(panel(cast, found), place)


def test_reviewers_read_and_change_nothing_and_strangers_see_nothing(cast, found):
    place = applicant(found)
    for page in (reverse("panel", args=[found.ref]), reverse("place", args=[place.ref])):
        read = signed_in(cast.reviewer).get(page)
        assert read.status_code == 200
        assert "Choose" not in text(read)
        assert signed_in(cast.reviewer).post(page, {"do": "drop"}).status_code == 404
        assert signed_in(cast.outsider).get(page).status_code == 404
        assert Client().get(page).status_code == 404
    place.refresh_from_db()
    assert place.state == PlaceState.APPLIED


def test_the_panel_asks_the_database_no_more_for_forty_testers(cast, found):
    def queries() -> int:
        with CaptureQueriesContext(connection) as caught:
            assert panel(cast, found).status_code == 200
        return len(caught)

    applicant(found)
    few = queries()
    for number in range(39):
        applicant(found, name=f"N{number} Harrow")
    assert queries() == few


# choosing


def test_a_place_is_given_in_the_advised_size(cast, found):
    place = applicant(found)
    page = signed_in(cast.designer).post(
        reverse("place", args=[place.ref]), {"do": "choose", "size": "12", "from": "panel"}
    )
    assert page.url == f"{reverse('panel', args=[found.ref])}#p-{place.ref}"
    place.refresh_from_db()
    assert (place.state, place.size) == (PlaceState.APPLIED, "12")
    assert "chosen" in row_of(panel(cast, found), place)


def test_the_advice_is_filled_in_as_the_size_to_choose(cast, found):
    place = applicant(found)
    row = re.search(rf'<tr id="p-{place.ref}".*?</tr>', text(panel(cast, found)))
    assert row
    assert "<option selected>12</option>" in row[0]


def test_a_size_that_the_version_has_not_is_refused(cast, found):
    place = applicant(found)
    assert "This version has no size “40”." in text(do(cast, place, "choose", size="40"))


def test_a_reserve_moves_up(cast, found):
    place = applicant(found)
    do(cast, place, "reserve")
    place.refresh_from_db()
    assert place.state == PlaceState.RESERVE
    do(cast, place, "choose", size="14")
    place.refresh_from_db()
    assert (place.state, place.size) == (PlaceState.APPLIED, "14")


def test_a_choice_is_taken_back(cast, found):
    place = applicant(found)
    do(cast, place, "choose", size="12")
    do(cast, place, "back")
    place.refresh_from_db()
    assert (place.state, place.size) == (PlaceState.APPLIED, "")


def test_a_tester_is_added_by_hand(cast, found):
    data = {"name": "Tindra Oake", "email": "Tindra@post.example", "size": "16"}
    signed_in(cast.designer).post(reverse("panel", args=[found.ref]), data)
    place = Place.objects.get()
    assert (place.name, place.email, place.size) == ("Tindra Oake", "tindra@post.example", "16")
    assert place.body is None


@pytest.mark.parametrize(
    ("data", "sentence"),
    [
        ({"name": "", "email": "t@post.example", "size": "16"}, "Who is it?"),
        ({"name": "Tindra", "email": "post", "size": "16"}, "This is not a whole e-mail address."),
        ({"name": "Tindra", "email": "t@post.example", "size": ""}, "Choose the size to sew."),
        ({"name": "Tindra", "email": "nell@post.example", "size": "16"}, "is on the panel already."),
    ],
)
def test_what_lacks_when_adding_is_said_and_kept(cast, found, data, sentence):
    applicant(found)
    page = signed_in(cast.designer).post(reverse("panel", args=[found.ref]), data)
    assert page.status_code == 422
    assert sentence in text(page)
    assert data["email"] in text(page)
    assert Place.objects.count() == 1


# inviting


def test_an_invitation_goes_out_once_and_its_link_is_shown_once(
    cast, found, mailoutbox, django_capture_on_commit_callbacks
):
    place = applicant(found)
    do(cast, place, "choose", size="12")
    with django_capture_on_commit_callbacks(execute=True):
        page = text(do(cast, place, "invite"))
    link = re.search(r"/t/[\w-]+/", page)
    assert link
    (mail,) = [mail for mail in mailoutbox if "invited" in mail.subject]
    assert mail.to == ["nell@post.example"]
    for said in (link[0], found.asks, found.gives, "size 12", "Only Saltmarsh Row sees", "unpaid"):
        assert said in mail.body
    place.refresh_from_db()
    assert (place.state, place.invited_at is not None) == (PlaceState.INVITED, True)
    assert "/t/" not in text(signed_in(cast.designer).get(reverse("place", args=[place.ref])))
    assert Client().get(link[0]).status_code == 200


def test_a_second_tap_sends_no_second_invitation(cast, found, mailoutbox, django_capture_on_commit_callbacks):
    place = applicant(found)
    do(cast, place, "choose", size="12")
    with django_capture_on_commit_callbacks(execute=True):
        do(cast, place, "invite")
        assert "is invited now, so that is no longer possible" in text(do(cast, place, "invite"))
    assert len([mail for mail in mailoutbox if "invited" in mail.subject]) == 1
    assert place.links.count() == 1


def test_an_invitation_sent_again_ends_the_older_link(cast, found):
    place = applicant(found)
    actions.choose(place=place, size="12", by=cast.designer)
    old = actions.invite_tester(place=place, by=cast.designer)
    page = text(do(cast, place, "invite_again"))
    new = re.search(r"/t/[\w-]+/", page)
    assert new
    assert Client().get(old).status_code == 404
    assert Client().get(new[0]).status_code == 200


def test_all_who_are_chosen_are_invited_together(cast, found, mailoutbox, django_capture_on_commit_callbacks):
    for name in ("Nell Harrow", "Suda Fennimore", "Ines Matias"):
        place = applicant(found, name=name)
        if name != "Ines Matias":
            actions.choose(place=place, size="12", by=cast.designer)
    with django_capture_on_commit_callbacks(execute=True):
        page = signed_in(cast.designer).post(reverse("panel", args=[found.ref]), {"do": "invite_all"}, follow=True)
    assert "2 invitations are on their way." in text(page)
    assert sorted(mail.to[0] for mail in mailoutbox if "invited" in mail.subject) == [
        "nell@post.example",
        "suda@post.example",
    ]
    assert Place.objects.filter(state=PlaceState.INVITED).count() == 2


def test_nobody_is_invited_without_a_size_or_before_the_call(cast, found):
    place = applicant(found)
    with pytest.raises(Refused, match="Choose the size to sew first"):
        actions.invite_tester(place=place, by=cast.designer)
    actions.choose(place=place, size="12", by=cast.designer)
    Round.objects.filter(pk=found.pk).update(state=RoundState.PLANNED)
    with pytest.raises(Refused, match="once the call is open or sewing has started"):
        actions.invite_tester(place=place, by=cast.designer)


def test_ending_a_link_ends_the_visit(cast, found):
    place = applicant(found)
    actions.choose(place=place, size="12", by=cast.designer)
    phone = Client()
    phone.post(actions.invite_tester(place=place, by=cast.designer))
    assert phone.get(reverse("test", args=[place.ref])).status_code == 200
    do(cast, place, "revoke")
    assert phone.get(reverse("test", args=[place.ref])).status_code == 404
    assert "revoked on" in text(signed_in(cast.designer).get(reverse("place", args=[place.ref])))


def test_who_sews_gets_a_new_link_and_stays_where_they_were(
    cast, found, mailoutbox, django_capture_on_commit_callbacks
):
    place = invited(found, cast)
    arrive(link=place.links.get())
    with django_capture_on_commit_callbacks(execute=True):
        do(cast, place, "new_link")
    place.refresh_from_db()
    assert place.state == PlaceState.ACCEPTED
    assert mailoutbox[-1].subject == "Your new link to Pebblewick 0.9"


# leaving


def test_a_drop_out_frees_the_place_and_keeps_the_tester_s_own_pages(cast, found):
    place = applicant(found)
    actions.choose(place=place, size="12", by=cast.designer)
    phone = Client()
    phone.post(actions.invite_tester(place=place, by=cast.designer))
    do(cast, place, "drop")
    place.refresh_from_db()
    assert (place.state, place.dropped_at is not None) == (PlaceState.DROPPED_OUT, True)
    assert {one.size: one.on_panel for one in panel(cast, found).context["cover"]}["12"] == 0
    assert phone.get(reverse("test_consents", args=[place.ref])).status_code == 200
    assert "Invite again" in text(signed_in(cast.designer).get(reverse("place", args=[place.ref])))


def test_an_invitation_that_nobody_opened_is_taken_back(cast, found):
    place = invited(found, cast)
    do(cast, place, "back")
    place.refresh_from_db()
    assert (place.state, place.size, place.invited_at) == (PlaceState.APPLIED, "", None)
    assert not place.links.live(timezone.now()).exists()


def test_who_was_here_is_not_sent_back_to_the_applicants(cast, found):
    place = invited(found, cast)
    arrive(link=place.links.get())
    actions.drop(place=place, by=cast.designer)
    with pytest.raises(Refused, match="invite them again instead"):
        actions.back_to_applied(place=place, by=cast.designer)


def test_a_button_that_does_not_fit_the_state_is_refused_in_a_sentence(cast, found):
    place = invited(found, cast)
    assert "Nell Harrow is invited now, so that is no longer possible." in text(do(cast, place, "reserve"))
    assert do(cast, place, "dance").status_code == 200


# late


def test_who_is_late_is_named_first(cast, found):
    place = invited(found, cast)
    late = {"report_due": timezone.now().date() - timedelta(days=1), "state": RoundState.SEWING}
    Round.objects.filter(pk=found.pk).update(**late)
    page = panel(cast, found)
    assert "0 of 1 reports are in, one is late." in text(page)
    assert "Nell Harrow" in text(page).partition("<h2>")[0]
    assert "late" in row_of(page, place)


def test_nobody_is_late_on_the_day_itself_or_with_a_report_in(cast, found):
    place = invited(found, cast)
    Round.objects.filter(pk=found.pk).update(report_due=timezone.now().date(), state=RoundState.SEWING)
    assert "late" not in row_of(panel(cast, found), place)
    Round.objects.filter(pk=found.pk).update(report_due=timezone.now().date() - timedelta(days=1))
    report = FitReport.objects.create(place=place, version=found.version, submitted_at=timezone.now())
    page = panel(cast, found)
    assert "late" not in row_of(page, place)
    assert reverse("report", args=[report.ref]) in text(page)


# one tester


def test_a_tester_s_page_shows_sizes_body_prints_link_and_report(cast, found):
    place = invited(found, cast, note="I have a dress form.")
    Place.objects.filter(pk=place.pk).update(sizes={"waist": "14"})
    PrintCheck.objects.create(
        place=place,
        file_kind=FileKind.A4,
        across_mm=Decimal(97),
        across_typed="9.7",
        down_mm=Decimal(97),
        down_typed="9.7",
    )
    page = text(signed_in(cast.reviewer).get(reverse("place", args=[place.ref])))
    plain = re.sub(r"\s+", " ", re.sub(r"<[^>]+>", " ", page))
    for words in (
        "Nell Harrow is invited to sew size 12.",
        "I have a dress form.",
        "advised 12, would pick 14",
        "Waist 14",
        "92.5 cm 36 3/8 in",
        "92.0 cm 36 1/4 in",
        "+0.5 cm + 1/4 in",
        "9.7 cm",
        "not opened yet; works until",
        "none yet",
    ):
        assert words in plain, words
    assert "off" in plain.partition("Print checks")[2].partition("What they allow")[0]


def test_the_trail_names_every_step_and_no_person(cast, found):
    place = invited(found, cast)
    actions.drop(place=place, by=cast.designer)
    entries = AuditEntry.objects.filter(object_ref=place.ref)
    assert {"applied", "tester_chosen", "tester_invited", "tester_dropped"} <= {entry.verb for entry in entries}
    for entry in AuditEntry.objects.all():
        assert "Nell" not in f"{entry.verb}{entry.object_ref}{entry.actor_ref}"


def test_a_change_of_the_panel_is_told_to_pages_that_are_open(cast, found):
    place = applicant(found)
    before = Round.objects.get(pk=found.pk).revision
    actions.choose(place=place, size="12", by=cast.designer)
    assert Round.objects.get(pk=found.pk).revision == before + 1
