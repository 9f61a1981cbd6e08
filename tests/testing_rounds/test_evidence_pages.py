"""The evidence of a zone, a cell, a size and a report: what the pages say, and whose eyes they are for."""

import re
from dataclasses import replace
from datetime import timedelta
from decimal import Decimal

import pytest
from django.core.files.base import ContentFile
from django.core.files.storage import default_storage
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from django.utils import timezone

from people.models import Consent, ConsentKind
from testing_rounds.actions.decisions import decide
from testing_rounds.evidence import weigh
from testing_rounds.models import FitReport, NoteKind, Photo, PhotoState, PrintCheck, Round, StepNote, ZoneVerdict
from testing_rounds.round_data import Zone
from tests.factories import make_cast, signed_in
from tests.testing_rounds.imported import imported, report_of, words
from tests.testing_rounds.rounds import SLEEVE, a_report, a_round, answers_by_size, example

pytestmark = pytest.mark.django_db


@pytest.fixture
def cast():
    return make_cast()


@pytest.fixture
def found(cast):
    return imported(cast.studio)


def zone_page(person, found, zone, query=""):
    return signed_in(person).get(reverse("round_zone", args=[found.ref, zone]) + query)


def cell_page(person, found, zone, position):
    return signed_in(person).get(reverse("round_cell", args=[found.ref, zone, position]))


def size_page(person, found, position, query=""):
    return signed_in(person).get(reverse("round_size", args=[found.ref, position]) + query)


def report_page(person, report):
    return signed_in(person).get(reverse("report", args=[report.ref]))


def add_photo(report, *, allowed=True, view="front"):
    """A photo that is ready, and the tester's word on it."""
    photo = Photo(report=report, view=view, upload_key=view, state=PhotoState.READY)
    photo.small = default_storage.save("photos/small.jpg", ContentFile(b"small"))
    photo.large = default_storage.save("photos/large.jpg", ContentFile(b"large"))
    photo.save()
    if allowed:
        given = {"subject": report.place.ref, "kind": ConsentKind.PHOTOS, "wording": "1"}
        Consent.objects.get_or_create(**given, withdrawn_at=None, defaults={"given_at": timezone.now()})
    return photo


# A zone


def test_the_claim_its_counts_and_what_usually_lies_behind_it(cast, found):
    page = words(zone_page(cast.designer, found, "hip"))
    assert "The hip is tight from size 40 up." in page
    assert "4 of 5 tight in 40 and 42; 0 of 7 in the other sizes." in page
    assert "Level Repeated in 40 and 42" in page
    assert "Could also be growing towards the large sizes: the grade" in page
    assert "Set aside 2 answers, in 38 and 42" in page
    assert "State Open, nobody has decided" in page
    assert "What often lies behind it (common practice): The grade falls behind. Change the side seams." in page


def test_the_numbers_of_each_size_in_both_systems(cast, found):
    """Hip of size 42: body 110, finished 114, from 110: step 4, ease 4. In inches 43 1/4 (43.31), 44 7/8 (44.88),
    1 5/8 (1.57)."""
    rows = zone_page(cast.designer, found, "hip").content.decode().split("<tr")
    row = next(row for row in rows if f'href="{reverse("round_cell", args=[found.ref, "hip", 4])}"' in row)
    numbers = ["110.0", "43\u200a<span", "1/4", "114.0", "44\u200a<span", "7/8", "+4.0", "+1\u200a<span", "5/8"]
    places = [row.replace('<span class="num">', "").find(number) for number in numbers]
    assert -1 not in places
    assert "2 of 2 tight" in row
    assert "Flagged by its own reports and by the reading of the whole zone." in row


def test_changes_asked_for_stand_in_their_size(cast, found):
    page = words(zone_page(cast.designer, found, "hip"))
    assert "2 of 3 tight repeated Flagged by its own reports and by the reading of the whole zone. +1.5 cm" in page


def test_reports_come_strongest_first_and_those_set_aside_last(cast, found):
    page = words(zone_page(cast.designer, found, "hip"))
    order = [page.index(f"Size {size} {name}") for size, name in [("42", "T12"), ("40", "T09"), ("34", "T01")]]
    assert order == sorted(order)
    aside = page.index("Not counted, each with its reason.")
    assert aside < page.index("Size 42 T14 Hip: much too tight: set aside The toile is 2 cm (3/4 in) small at the hip")
    assert aside < page.index("Size 38 T07")


def test_the_body_stands_beside_the_chart(cast, found):
    page = words(zone_page(cast.designer, found, "hip"))
    assert "Hip 110.5 cm 43 1/2 in chart 110.0" in page.replace("\u200a", " ").replace("  ", " ")


def test_a_zone_without_a_reading(cast, found):
    page = words(zone_page(cast.designer, found, "waist"))
    assert "Waist: no complaint is repeated." in page
    assert "1 of 12 loose" in page
    assert "Put back: Only the hook was moved." in page


def test_a_zone_with_too_few_answers_says_which_sizes_need_more(cast, found):
    page = words(zone_page(cast.designer, found, "length"))
    assert "Length: too few answers to read." in page
    assert "Sizes 34, 38 and 40 need more reports: fewer than two answers count here." in page


def test_linked_zones_are_named_with_what_is_read_there(cast, found):
    page = words(zone_page(cast.designer, found, "waist"))
    assert "Re-check together A change here asks for another look there. Hip Tight from 40 up: that step" in page


def test_a_zone_that_nobody_has_answered(cast):
    found = imported(cast.studio, replace(example(), reports=()))
    page = words(zone_page(cast.designer, found, "hip"))
    assert "Hip: too few answers to read." in page
    assert "Nobody has answered on this zone yet." in page


@pytest.mark.parametrize("key", ["side/back", "ä b", "..", "a~b?c#d", "%2f"])
def test_a_zone_may_have_any_key(cast, key):
    zone = Zone(key, "side seam", "tight", "loose")
    data = a_round(
        [a_report(f"T{i}", "12", {key: -1}) for i in range(2)], zones=(SLEEVE, zone), sizes=("10", "12/14", "12")
    )
    found = imported(cast.studio, data)
    client = signed_in(cast.designer)
    overview = client.get(reverse("round", args=[found.ref]))
    for address in (
        reverse("round_zone", args=[found.ref, key]),
        reverse("round_cell", args=[found.ref, key, 2]),
    ):
        assert f'href="{address}"' in overview.content.decode()
        assert "side seam" in words(client.get(address)).lower()


def test_a_zone_that_the_round_does_not_ask_is_not_found(cast, found):
    assert zone_page(cast.designer, found, "bust").status_code == 404


def test_the_stage_goes_along(cast, found):
    page = zone_page(cast.designer, found, "hip", "?stage=finished").content.decode()
    assert reverse("round_cell", args=[found.ref, "hip", 2]) + "?stage=finished" in page


# A cell


def test_a_cell_shows_its_reports_alone(cast, found):
    page = words(cell_page(cast.designer, found, "hip", 3))
    assert "2 of 3 tight at the hip in size 40." in page
    assert "Flagged by its own reports and by the reading of the whole zone." in page
    assert "Over all sizes: The hip is tight from size 40 up, this size included." in page
    assert all(name in page for name in ("T09", "T10", "T11"))
    assert "T12" not in page
    assert "Size 38 Size 42 Size 40 in every zone" in page


def test_a_blend_is_read_in_the_size_sewn_there(cast, found):
    page = words(cell_page(cast.designer, found, "waist", 3))
    assert "4 of 4 fit at the waist in size 40." in page
    assert "T13" in page


def test_a_cell_with_too_few_says_how_many_more(cast, found):
    assert "One more answer must count before this can repeat." in words(cell_page(cast.designer, found, "length", 0))


def test_an_empty_cell_is_no_fit(cast):
    found = imported(cast.studio, a_round([a_report(zones={"bust": 0})]))
    page = words(cell_page(cast.designer, found, "cuff", 0))
    assert "No answer at the cuff in size 6." in page
    assert "Unanswered is not a fit" in page


def test_a_size_flagged_by_the_reading_alone_says_so(cast):
    """The whole range is tight, and size 10 has one complaint of three."""
    reports = answers_by_size("bust", {"6": [-1, -1], "8": [-1, -1], "10": [-1, 0, 0], "12": [-1, -1], "14": [-1, -2]})
    found = imported(cast.studio, a_round(reports, sizes=("6", "8", "10", "12", "14")))
    page = words(cell_page(cast.designer, found, "bust", 2))
    assert "1 of 3 tight at the bust in size 10." in page
    assert "Over all sizes: The bust is tight in the whole range, this size included." in page


@pytest.mark.parametrize(("zone", "position"), [("hip", 5), ("bust", 0)])
def test_a_cell_outside_the_round_is_not_found(cast, found, zone, position):
    assert cell_page(cast.designer, found, zone, position).status_code == 404


def test_each_stroke_of_a_zone_opens_its_report(cast, found):
    page = zone_page(cast.designer, found, "hip").content.decode()
    report = reverse("report", args=[report_of(found, "T12").ref])
    assert re.search(rf'<a href="{report}#answer-\d+" aria-label="T12: [a-z ]*tight">', page)


def test_a_size_tells_the_estimate_and_the_correction_in_force(cast, found):
    evidence = weigh(Round.objects.get(pk=found.pk))
    changes = {"measure": "hip", "source": "testers", "by_size": {"42": {"mm": "20", "typed": "2"}}}
    decide(
        evidence=evidence, zone="hip", direction=-1, kind="grade", words="Break missing.", fixed_in=None,
        changes=changes, by=cast.owner,
    )  # fmt: skip
    page = words(size_page(cast.reviewer, found, 4))
    assert "Testers’ estimate: +" in page
    assert "In force: +2 cm (3/4 in). Decided: the grade." in page


# A size


def test_a_size_shows_both_layers_zone_by_zone(cast, found):
    page = words(size_page(cast.reviewer, found, 4))
    assert "Size 42 is flagged at the hip." in page
    assert "Three reports count." in page
    assert "Hip tight or loose 2 of 2 tight repeated Flagged by its own reports and by the reading" in page
    assert "Tight from 40 up: that step" in page
    assert "Length short or long 2 of 2 fit quiet" in page


def test_a_size_lists_its_reports_with_print_and_body(cast, found):
    page = words(size_page(cast.reviewer, found, 4)).replace("\u200a", " ")
    assert "T12 Does not fit at the hip." in page
    assert "T13 sewn in 42, with the waist in 40 Does not fit at the hip." in page
    assert "T14 No complaint that counts. Set aside: hip." in page
    assert "Test square read 10.0 cm 3 15/16 in, true." in page
    assert "Test square not read." in words(size_page(cast.reviewer, found, 0))
    assert "(−2.0 %)" in words(size_page(cast.reviewer, found, 2))


def test_a_size_is_quiet_or_has_too_few_or_nobody(cast, found):
    assert "Size 36: nothing is flagged." in words(size_page(cast.designer, found, 1))
    assert "Size 34: nothing is flagged, but the length has too few answers." in words(
        size_page(cast.designer, found, 0)
    )
    alone = imported(cast.studio, a_round([a_report(size="6", zones={"bust": 0})], pattern="Skerry"))
    assert "Nobody has reported in size 8 yet." in words(size_page(cast.designer, alone, 1))


def test_a_size_leads_to_its_neighbours(cast, found):
    first, last = (words(size_page(cast.designer, found, at)) for at in (0, 4))
    assert "Larger: 36" in first
    assert "Smaller:" not in first
    assert "Smaller: 40" in last
    assert "Larger:" not in last
    assert size_page(cast.designer, found, 5).status_code == 404


# A report


def test_a_report_says_what_counts_and_what_does_not(cast, found):
    page = words(report_page(cast.designer, report_of(found, "T14")))
    assert "T14, size 42: the hip does not fit; one answer is set aside." in page
    assert "Waist Fits" in page
    assert "Hip Much too tight Set aside. The toile is 2 cm (3/4 in) small at the hip" in page
    assert "Not looked at, so nothing is known: Length." in page
    assert "The toile itself" in page


def test_a_reason_that_holds_for_the_whole_report_is_said_once(cast, found):
    page = words(report_page(cast.designer, report_of(found, "T07")))
    assert "T07, size 38: the waist, hip and length do not fit; the whole report is set aside." in page
    assert "All of it is set aside. The test square reads 98 mm, not 100 mm: 2 % small, over 1 %." in page
    assert page.count("The test square reads") == 1
    assert "Printed from Letter pages" in page


def test_a_report_tells_how_the_garment_was_sewn(cast, found):
    report = report_of(found, "T03")
    FitReport.objects.filter(pk=report.pk).update(
        difficulty=4, hours="to_6", fabric_used="cotton sheeting", changes_before="Two rows of basting.",
        same_size_again=False, words="Lovely to sew.", fabric_length_mm=Decimal(1800), fabric_width_mm=Decimal(1400),
    )  # fmt: skip
    StepNote.objects.filter(report=report).update(kind=NoteKind.LOST)
    ZoneVerdict.objects.filter(report=report, zone="hip").update(words="Smooth over the seat.")
    PrintCheck.objects.create(place=report.place, across_mm=Decimal("99.5"), across_typed="9.95", cut_anyway=True)
    page = words(report_page(cast.reviewer, report)).replace("\u200a", " ")
    for said in (
        "“Lovely to sew.”",
        "“Smooth over the seat.”",
        "cotton sheeting",
        "4 of 5",
        "3 to 6 hours",
        "Two rows of basting.",
        "180.0 cm 70 7/8 in at a width of 140.0 cm 55 1/8 in",
        "Same size again no",
        "Step 4 I got lost here Which notch is the front one?",
        "9.95 cm 3 29/32 in across",
        "Cut all the same.",
        "Waist 70.0 27 1/2 70.0 27 1/2 0.0 0",
    ):
        assert said in page, said


def test_a_draft_is_nobodys_business_yet(cast, found):
    report = report_of(found, "T03")
    FitReport.objects.filter(pk=report.pk).update(submitted_at=None)
    assert report_page(cast.designer, report).status_code == 404


def test_each_stage_is_a_report_of_its_own(cast, found):
    page = words(report_page(cast.designer, report_of(found, "T06", "finished")))
    assert "Stage finished garment, version 0.5" in page
    assert "Sewn from version 0.5; this round tests version 0.4." in page


# Photos


def test_photos_show_while_their_tester_allows_it(cast, found):
    report = report_of(found, "T12")
    photo = add_photo(report)
    client = signed_in(cast.reviewer)
    addresses = [
        reverse("round_zone", args=[found.ref, "hip"]),
        reverse("round_cell", args=[found.ref, "hip", 4]),
        reverse("round_size", args=[found.ref, 4]),
        reverse("report", args=[report.ref]),
    ]
    for address in addresses:
        assert photo.ref in client.get(address).content.decode(), address
    Consent.objects.update(withdrawn_at=timezone.now() - timedelta(seconds=1))
    for address in addresses:
        answer = client.get(address)
        assert photo.ref not in answer.content.decode(), address
        assert "keeps the photos private" in words(answer)


def test_a_shown_photo_opens(cast, found):
    add_photo(report_of(found, "T12"))
    client = signed_in(cast.reviewer)
    page = client.get(reverse("report", args=[report_of(found, "T12").ref])).content.decode()
    small = page.split('<img src="')[1].split('"')[0]
    large = page.split('<li><a href="/photos/')[1].split('"')[0]
    assert b"".join(client.get(small).streaming_content) == b"small"
    assert b"".join(client.get(f"/photos/{large}", follow=True).streaming_content) == b"large"


def test_a_photo_that_is_not_ready_is_not_shown(cast, found):
    photo = add_photo(report_of(found, "T12"))
    Photo.objects.update(state=PhotoState.WAITING)
    assert photo.ref not in zone_page(cast.designer, found, "hip").content.decode()


# Who sees what, and how much is asked of the database


@pytest.mark.parametrize(
    "address",
    [
        lambda found: reverse("round_zone", args=[found.ref, "hip"]),
        lambda found: reverse("round_cell", args=[found.ref, "hip", 0]),
        lambda found: reverse("round_size", args=[found.ref, 0]),
        lambda found: reverse("report", args=[report_of(found, "T01").ref]),
    ],
)
def test_another_studio_finds_nothing_and_a_reviewer_no_form(cast, found, address):
    assert signed_in(cast.outsider).get(address(found)).status_code == 404
    page = signed_in(cast.reviewer).get(address(found))
    assert page.status_code == 200
    forms = page.content.decode().count('<form method="post"')
    assert forms == 1, "only the one that signs out"


@pytest.mark.parametrize("name", ["round_zone", "round_cell", "round_size"])
def test_the_number_of_queries_does_not_grow_with_the_reports(cast, name):
    asked = []
    for count in (3, 60):
        reports = [a_report(f"T{i}", "12", {"bust": -1}, body={"bust": 92.0}) for i in range(count)]
        found = imported(cast.studio, a_round(reports, pattern=f"Skerry {count}"))
        for report in FitReport.objects.filter(place__round=found):
            add_photo(report)
            StepNote.objects.create(report=report, step=1, text="?")
        args = {"round_zone": ["bust"], "round_cell": ["bust", 3], "round_size": [3]}[name]
        client = signed_in(cast.designer)
        with CaptureQueriesContext(connection) as queries:
            assert client.get(reverse(name, args=[found.ref, *args])).status_code == 200
        asked.append(len(queries))
    assert asked[0] == asked[1]
