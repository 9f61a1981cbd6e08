"""A report is never lost, doubled or half written: not by a double tap, many senders at once, or a killed server."""

from __future__ import annotations

from functools import partial

import pytest

from people.models import AuditEntry
from testing_rounds.actions.visits import issue_link
from testing_rounds.models import FitReport, Photo, Place, PlaceState
from tests.factories import make_studio
from tests.holds.servers import Answer, Server, Visitor, at_once
from tests.testing_rounds.pictures import saved, toile
from tests.testing_rounds.testers import make_place, make_round, make_version, with_consents

SENDERS = 8


@pytest.fixture
def server(serve) -> Server:
    return serve()


@pytest.fixture
def places(transactional_db) -> list[Place]:
    found = make_round(make_version(make_studio()))
    made = [
        make_place(found, alias=f"T{number}", email=f"tester{number}@saltmarsh.example") for number in range(SENDERS)
    ]
    return [with_consents(place) for place in made]


def phone_of(server: Server, place: Place) -> Visitor:
    """A phone on which the tester has opened the link and pressed its button."""
    phone, link = Visitor(server.port), issue_link(place, by=None)
    assert phone.get(link).status == 200
    assert phone.post(link, {}).status == 302
    return phone


def page(place: Place, name: str) -> str:
    return f"/test/{place.ref}/{name}/"


def whole_report(phone: Visitor, place: Place, number: int) -> list[Answer]:
    """One tester's way through, as the page's script sends it."""
    save, words = page(place, "save"), f"The collar stands well, says tester {number}."
    return [
        phone.post(save, {"size": "14", "unit": "cm"}),
        phone.post(save, {"fit.bust": "-1", "fit.waist": "0", "unit": "cm"}),
        phone.post(save, {"words": words, "step.2.typo": "yes", "unit": "cm"}),
        phone.post(page(place, "photos"), {"view": "front", "key": f"upload-{number}"}, photo=saved(toile(), "JPEG")),
        phone.post(page(place, "send"), {}),
    ]


def sent() -> list[FitReport]:
    return list(FitReport.objects.filter(submitted_at__isnull=False).order_by("place_id"))


def test_the_same_report_sent_five_times_at_once_is_one_report(server, places) -> None:
    phone = phone_of(server, places[0])
    phone.post(page(places[0], "save"), {"fit.bust": "-1", "unit": "cm"})
    answers = at_once(*[partial(phone.post, page(places[0], "send"), {})] * 5)
    assert [answer.status for answer in answers] == [302] * 5
    assert len(sent()) == 1
    assert AuditEntry.objects.filter(verb="report_sent").count() == 1
    assert FitReport.objects.count() == 1


def test_two_tabs_and_the_way_back_send_nothing_twice(server, places) -> None:
    phone = phone_of(server, places[0])
    phone.post(page(places[0], "save"), {"fit.bust": "-1", "unit": "cm"})
    tab = Visitor(server.port)
    tab.cookies = dict(phone.cookies)
    for visitor in (phone, tab, phone, tab):
        assert visitor.get(page(places[0], "send")).status == 200
        assert visitor.post(page(places[0], "send"), {}).status == 302
    assert len(sent()) == 1


def test_the_same_field_from_two_tabs_at_once_is_written_whole_and_once(server, places) -> None:
    phone = phone_of(server, places[0])
    texts = [f"{word} " * 400 for word in ("collar", "cuff", "hem", "yoke")]
    save = page(places[0], "save")
    answers = at_once(*[partial(phone.post, save, {"words": text, "fit.bust": "-1", "unit": "cm"}) for text in texts])
    assert [answer.status for answer in answers] == [200] * 4
    report = FitReport.objects.get()
    assert report.words.strip() in [text.strip() for text in texts]
    assert report.verdicts.count() == 1


def test_the_same_photo_sent_three_times_at_once_is_one_photo(server, places) -> None:
    phone, content = phone_of(server, places[0]), saved(toile(), "JPEG")
    upload = partial(phone.post, page(places[0], "photos"), {"view": "front", "key": "k"}, photo=content)
    assert [answer.status for answer in at_once(upload, upload, upload)] == [302] * 3
    assert Photo.objects.count() == 1


def test_eight_testers_at_once_lose_nothing(server, places) -> None:
    senders = [partial(whole_report, phone_of(server, place), place, at) for at, place in enumerate(places)]
    for answers in at_once(*senders):
        assert [answer.status for answer in answers] == [200, 200, 200, 302, 302]
    reports = sent()
    assert [report.words[-9:-1] for report in reports] == [f"tester {number}" for number in range(SENDERS)]
    for report in reports:
        assert dict(report.verdicts.values_list("zone", "fit")) == {"bust": -1, "waist": 0}
        assert (report.size, report.step_notes.count(), report.photos.count()) == ("14", 1, 1)
    assert {place.state for place in Place.objects.all()} == {PlaceState.FINISHED}


def test_what_was_acknowledged_outlives_a_killed_server(server, places) -> None:
    phone = phone_of(server, places[0])
    for number in range(3):
        assert phone.post(page(places[0], "save"), {"words": f"word {number}", "unit": "cm"}).status == 200
        server.kill()
        server.start()
        assert FitReport.objects.get().words == f"word {number}"
    assert phone.post(page(places[0], "save"), {"fit.bust": "-1", "unit": "cm"}).status == 200
    assert phone.post(page(places[0], "send"), {}).status == 302
    server.kill()
    assert [(report.words, report.verdicts.count()) for report in sent()] == [("word 2", 1)]
