"""The overview of a round: what it says, what it leaves out when asked, how it keeps itself up to date."""

import re
from dataclasses import replace
from datetime import timedelta

import pytest
from django.db import connection
from django.db.models import F
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from django.utils import timezone

from testing_rounds.actions.decisions import decide
from testing_rounds.actions.weighing import weigh_by_hand
from testing_rounds.evidence import weigh
from testing_rounds.kept_parts import KeptParts
from testing_rounds.models import FitReport, Place, PlaceState, PrintCheck, Round, RoundState
from tests.factories import make_cast, signed_in
from tests.testing_rounds.imported import imported, report_of, words
from tests.testing_rounds.rounds import a_report, a_round, answers_by_size, example

pytestmark = pytest.mark.django_db
LIVE = {"HTTP_HX_REQUEST": "true"}


@pytest.fixture
def cast():
    return make_cast()


@pytest.fixture
def found(cast):
    return imported(cast.studio)


def overview(person, found, query="", **headers):
    return signed_in(person).get(reverse("round", args=[found.ref]) + query, **headers)


def test_the_situation_is_the_first_sentence(cast, found):
    page = words(overview(cast.designer, found))
    assert "One thing to change, and three sizes need more reports." in page
    assert "14 of 14 reports are in; 1 is set aside whole, 4 in part. The round is closed." in page


def test_a_reading_comes_with_its_counts_its_place_to_look_and_what_was_asked_for(cast, found):
    page = words(overview(cast.designer, found))
    assert "The hip is tight from size 40 up." in page
    assert "4 of 5 tight in 40 and 42; 0 of 7 in the other sizes." in page
    assert "From one size on: look at that step of the grade." in page
    assert "Strength: all but certain, 99 %." in page
    assert re.search(r"It could also be \(\d+ %\): more towards the large sizes: look at the grade\.", page)
    assert "Hip: +1 cm (3/8 in) at 40, +2 cm (3/4 in) at 42. Testers’ range, 90 %: +0.8 to +2.7 cm at 40 and" in page
    assert "The grade check’s number is taken; the testers’ range holds it" in page
    assert "2 of these 4 would add 1.5 to 2 cm (5/8 to 3/4 in)." in page
    assert reverse("round_zone", args=[found.ref, "hip"]) in overview(cast.designer, found).content.decode()


def test_each_cell_says_its_counts_and_leads_to_its_reports(cast, found):
    page = overview(cast.designer, found).content.decode()
    assert 'title="Size 40: 2 of 3 tight"' in page
    assert 'title="Size 36: 1 of 2 loose"' in page
    assert 'title="Size 34: 1 of 1 fit"' in page
    assert f'href="{reverse("round_cell", args=[found.ref, "hip", 3])}"' in page


def test_a_flagged_size_says_whether_its_own_reports_or_the_reading_flag_it(cast):
    reports = answers_by_size("bust", {"6": [0, 0], "8": [0, 0], "10": [-1, 0, 0], "12": [-1, -1], "14": [-1, -2]})
    data = a_round(reports, sizes=("6", "8", "10", "12", "14"))
    page = words(overview(cast.designer, imported(cast.studio, data)))
    assert "Why 2 sizes are flagged" in page
    assert "Size 12 Bust: Flagged by its own reports and by the reading of the whole zone." in page


def test_what_is_set_aside_stands_with_its_reason_and_a_way_back(cast, found):
    page = words(overview(cast.designer, found))
    assert (
        "T07, size 38. The whole report: The test square reads 98 mm, not 100 mm: 2 % small, over 1 %. Put back" in page
    )
    assert "T01, size 34. Length: Set aside by hand: Hemmed by eye. Put back" in page
    assert "T10, size 40. Waist, put back: Only the hook was moved. Look again" in page


def test_the_sizes_that_need_more_say_how_many_and_where(cast, found):
    page = words(overview(cast.designer, found))
    assert "Sizes 34, 38 and 40 need one more report each at the length. Nobody is sewing there now." in page


def test_a_tester_who_is_late_stands_there_with_what_is_known(cast, found):
    due = timezone.localdate() - timedelta(days=4)
    Round.objects.filter(pk=found.pk).update(state=RoundState.SEWING, report_due=due)
    place = Place.objects.create(round=found, alias="T20", name="Oriel Vasse", size="40", state=PlaceState.ACCEPTED)
    PrintCheck.objects.create(place=place)
    FitReport.objects.create(place=place, version=found.version, size="40")
    Place.objects.create(round=found, alias="T21", name="Bettine Aalto", size="40", state=PlaceState.RESERVE)
    page = words(overview(cast.designer, found))
    assert "Who is late Oriel Vasse, size 40. Due" in page
    assert "four days late. A draft is there, last saved" in page
    assert "Print check done. A reserve for size 40 is free." in page
    assert "14 of 15 reports are in" in page
    assert "The panel: 13 counted, 1 set aside whole, 1 still to come" in page


@pytest.mark.parametrize(
    ("state", "sentence"),
    [
        (RoundState.PLANNED, "The round is planned; nobody sews yet."),
        (RoundState.CALL_OPEN, "The call is open, and one person has answered."),
        (RoundState.SEWING, "No report yet; one tester is sewing."),
        (RoundState.CLOSED, "The round closed without a report."),
    ],
)
def test_a_round_without_reports_says_where_it_stands(cast, state, sentence):
    found = imported(cast.studio, replace(example(), reports=()))
    Round.objects.filter(pk=found.pk).update(state=state)
    Place.objects.create(round=found, alias="T20", size="40", state=PlaceState.ACCEPTED)
    Place.objects.create(round=found, alias="T21", state=PlaceState.APPLIED)
    assert sentence in words(overview(cast.designer, found))


def test_a_closed_round_says_who_never_reported_and_expects_nobody(cast, found):
    Place.objects.create(round=found, alias="T20", size="40", state=PlaceState.ACCEPTED)
    page = words(overview(cast.designer, found))
    assert "The round is closed. One tester did not report." in page
    assert "still to come: " not in page.lower()


def test_an_open_call_shows_its_address(cast, found):
    Round.objects.filter(pk=found.pk).update(state=RoundState.CALL_OPEN)
    assert reverse("call", args=[found.call_ref]) in words(overview(cast.designer, found))


def test_nothing_repeated_is_said_as_such(cast):
    found = imported(cast.studio, a_round(answers_by_size("bust", {"6": [0, 0], "8": [0, -1]}), sizes=("6", "8")))
    page = words(overview(cast.designer, found))
    assert "No complaint repeats, and two sizes need more reports." in page


def test_a_decided_reading_shows_its_state_and_counts_as_decided(cast, found):
    evidence = weigh(Round.objects.get(pk=found.pk))
    decide(
        evidence=evidence, zone="hip", direction=-1, kind="grade", words="Break missing.", fixed_in=None, by=cast.owner
    )
    page = words(overview(cast.designer, found))
    assert "The one thing to change is decided, and three sizes need more reports." in page
    assert "Decided: the grade." in page


def test_what_is_still_to_decide_is_told_from_what_is_decided(cast):
    sizes = ("6", "8", "10", "12")
    zones = [{"bust": -2, "cuff": 0}, {"bust": 0, "cuff": 2}, {"bust": 0, "cuff": 0}, {"bust": 0, "cuff": 0}]
    reports = [
        a_report(f"{size}/{i}", size, said | {"back_length": 0})
        for size, said in zip(sizes, zones, strict=True)
        for i in range(3)
    ]
    found = imported(cast.studio, a_round(reports, sizes=sizes))
    assert "Two things to change." in words(overview(cast.designer, found))
    evidence = weigh(Round.objects.get(pk=found.pk))
    decide(
        evidence=evidence, zone="cuff", direction=1, kind="leave", words="Meant so.", fixed_in=None, by=cast.designer
    )
    page = words(overview(cast.designer, found))
    assert "One thing still to decide, one decided." in page
    assert "Left as is." in page


def test_two_complaints_without_a_pattern_are_a_hint_not_a_reading(cast):
    reports = answers_by_size("bust", {size: [0, 0] for size in ("6", "8", "12")} | {"10": [-1, -1], "14": [-1, -1]})
    page = words(
        overview(cast.designer, imported(cast.studio, a_round(reports, sizes=("6", "8", "10", "12", "14", "16"))))
    )
    assert "Bust: tight in 10 and 14, by their own reports alone. 2 of 2 tight in 10; 2 of 2 tight in 14." in page


# What is shown


def test_one_size_alone(cast, found):
    page = overview(cast.designer, found, "?size=0")
    said = words(page)
    assert "Shown here: size 34 only. Show all" in said
    assert "1 other reading of the round does not touch what is shown." in said
    assert "T01, size 34. Length:" in said
    assert "T07" not in said
    assert "Size 40: 2 of 3 tight" not in said


def test_one_zone_alone(cast, found):
    said = words(overview(cast.designer, found, "?zone=length"))
    assert "Shown here: the length only." in said
    assert "T05" not in said, "set aside at the waist"
    assert "T08, size 38. Length:" in said


def test_the_reports_of_one_file_or_fabric_alone(cast, found):
    FitReport.objects.filter(pk=report_of(found, "T12").pk).update(fabric_used=" Cotton  Lawn ")
    FitReport.objects.filter(pk=report_of(found, "T13").pk).update(fabric_used="ramie")
    page = words(overview(cast.designer, found, "?fabric=cotton+lawn"))
    assert "Shown here: sewn of cotton lawn only. What is read stays what all reports say." in page
    assert "Size 42: 1 of 1 tight" in overview(cast.designer, found, "?fabric=cotton+lawn").content.decode()
    assert "4 of 5 tight in 40 and 42" in page
    assert "Shown here: prints of the" in words(overview(cast.designer, found, "?file=letter"))


def test_a_size_and_a_zone(cast, found):
    assert "Shown here: size 42, the hip only." in words(overview(cast.designer, found, "?size=4&zone=hip"))


@pytest.mark.parametrize("query", ["?size=9", "?size=-1", "?size=x", "?zone=hem", "?stage=dress", "?version=zzz"])
def test_what_the_round_does_not_have_shows_all_of_it(cast, found, query):
    page = overview(cast.designer, found, query)
    assert page.status_code == 200
    assert "Shown here" not in words(page)


def test_the_other_stage(cast, found):
    said = words(overview(cast.designer, found, "?stage=finished"))
    assert "Shown here: finished garment. 1 of 1 report is in; 1 is set aside whole." in said
    assert "Sewn from version 0.5; this round tests version 0.4." in said


def test_another_version_opens_its_own_round(cast, found):
    other = imported(cast.studio, replace(example(), version="0.5"))
    page = overview(cast.designer, found, f"?version={other.ref}&zone=hip&size=2")
    assert page.status_code == 302
    assert page["Location"] == reverse("round", args=[other.ref]) + "?zone=hip"
    assert "0.5, Round 1" in words(overview(cast.designer, found))


def test_a_round_of_another_pattern_is_none_of_its_versions(cast, found):
    other = imported(cast.studio, a_round([a_report(zones={"bust": 0})], pattern="Skerry"))
    assert overview(cast.designer, found, f"?version={other.ref}").status_code == 200


# Live


def test_a_page_that_has_seen_everything_gets_204_in_few_queries(cast, found):
    client = signed_in(cast.designer)
    address = reverse("round", args=[found.ref])
    with CaptureQueriesContext(connection) as asked:
        answer = client.get(address, {"seen": str(found.revision), "zone": "hip"}, **LIVE)
    assert answer.status_code == 204
    assert not answer.content
    assert len(asked) <= 5


def test_a_page_that_is_behind_gets_the_new_part_alone(cast, found):
    client = signed_in(cast.designer)
    address = reverse("round", args=[found.ref])
    weigh_by_hand(report=report_of(found, "T11"), zones=["hip"], what="aside", reason="Sewn late.", by=cast.owner)
    answer = client.get(address, {"seen": str(found.revision), "zone": "hip"}, **LIVE)
    assert answer.status_code == 200
    page = answer.content.decode()
    assert page.lstrip().startswith('<div id="live"')
    assert f"seen={found.revision + 1}" in page
    assert "zone=hip&amp;seen=" in page, "the newer part asks on with the same filters"
    assert 'hx-swap-oob="innerHTML:#updated"' in page
    assert "2 of 2 tight" in words(answer)
    assert "HX-Request" in answer["Vary"]


def test_a_reader_without_a_script_gets_the_whole_page_whatever_it_has_seen(cast, found):
    page = overview(cast.designer, found, f"?seen={found.revision}")
    assert page.status_code == 200
    assert "<html" in page.content.decode()
    assert 'aria-live="polite"' in page.content.decode()


# Queries


@pytest.mark.parametrize("count", [4, 400])
def test_the_number_of_queries_does_not_grow_with_the_reports(cast, count):
    reports = [a_report(f"T{i}", "12", {"bust": -(i % 3), "back_length": 0}) for i in range(count)]
    found = imported(cast.studio, a_round(reports))
    Place.objects.create(round=found, alias="late", size="12", state=PlaceState.ACCEPTED)
    Round.objects.filter(pk=found.pk).update(state=RoundState.SEWING)
    client = signed_in(cast.designer)
    client.get(reverse("round", args=[found.ref]))
    Round.objects.filter(pk=found.pk).update(revision=F("revision") + 1)
    with CaptureQueriesContext(connection) as asked:
        answer = client.get(reverse("round", args=[found.ref]))
    assert answer.status_code == 200
    assert len(asked) <= 12, "\n".join(query["sql"] for query in asked)


def test_a_page_that_shows_nothing_new_is_not_drawn_again(cast, found):
    client = signed_in(cast.designer)
    address = reverse("round", args=[found.ref])
    first = words(client.get(address))
    with CaptureQueriesContext(connection) as asked:
        second = words(client.get(address))
    assert second == first
    assert len(asked) <= 7


def rename(found, cast):
    Place.objects.filter(alias="T07").update(name="Gunnhild Aas")
    return "Gunnhild Aas, size 38"


def begin_a_draft(found, cast):
    Round.objects.filter(pk=found.pk).update(state=RoundState.SEWING)
    place = Place.objects.create(round=found, alias="T20", name="Oriel", size="40", state=PlaceState.ACCEPTED)
    FitReport.objects.create(place=place, version=found.version, size="40")
    return "A draft is there"


def read_a_square(found, cast):
    Round.objects.filter(pk=found.pk).update(state=RoundState.SEWING)
    place = Place.objects.create(round=found, alias="T20", name="Oriel", size="40", state=PlaceState.ACCEPTED)
    PrintCheck.objects.create(place=place)
    return "Print check done."


def move_a_date(found, cast):
    Round.objects.filter(pk=found.pk).update(state=RoundState.SEWING, closes="2031-05-02")
    return "The round closes on Friday 2 May."


def plan_the_next_version(found, cast):
    imported(cast.studio, replace(example(), version="0.5"))
    return "0.5, Round 1"


def weigh_an_answer(found, cast):
    weigh_by_hand(report=report_of(found, "T11"), zones=["hip"], what="aside", reason="Late.", by=cast.owner)
    return "Size 40: 2 of 2 tight"


@pytest.mark.parametrize(
    "change", [rename, begin_a_draft, read_a_square, move_a_date, plan_the_next_version, weigh_an_answer]
)
def test_whatever_changes_shows_at_once(cast, found, change):
    client = signed_in(cast.designer)
    before = words(client.get(reverse("round", args=[found.ref])))
    new = change(found, cast)
    assert new not in before
    assert new in words(client.get(reverse("round", args=[found.ref])))


def test_what_an_editor_was_shown_is_not_shown_to_a_reviewer(cast, found):
    assert "The plan" in words(overview(cast.designer, found))
    assert "The plan" not in words(overview(cast.reviewer, found))


def test_the_parts_asked_for_last_are_kept():
    kept, made = KeptParts(2), []

    def make(name):
        return kept.get(name, lambda: made.append(name) or name)

    assert [make(name) for name in "ababcab"] == list("ababcab")
    assert made == ["a", "b", "c", "a", "b"]


# Who sees what


def test_a_reviewer_reads_without_the_ways_of_an_editor(cast, found):
    page = overview(cast.reviewer, found)
    assert page.status_code == 200
    said = words(page)
    assert "The hip is tight" in said
    assert "Put back T07" not in said
    assert "The plan" not in said
    assert reverse("round_file", args=[found.ref]) not in page.content.decode()


def test_another_studio_finds_nothing(cast, found):
    assert overview(cast.outsider, found).status_code == 404


@pytest.mark.parametrize("sizes", [("S/M", "L/XL"), tuple(f"{n}W" for n in range(2, 62, 2))])
def test_any_number_of_sizes_and_any_label(cast, sizes):
    data = a_round(answers_by_size("cuff", {sizes[1]: [1, 2], sizes[0]: [0, 0]}), sizes=sizes)
    page = overview(cast.designer, imported(cast.studio, data))
    assert page.status_code == 200
    assert f'title="Size {sizes[1]}: 2 of 2 loose"' in page.content.decode()
    assert f"cols-{len(sizes)}" in page.content.decode()


# Notes on the steps


def test_the_notes_are_counted_step_by_step(cast):
    data = example()
    noted = [replace(one, steps=({"step": 9, "text": f"Word {i}"},)) for i, one in enumerate(data.reports[:3])]
    found = imported(cast.studio, replace(data, reports=(*noted, *data.reports[3:])))
    page = words(signed_in(cast.reviewer).get(reverse("round_steps", args=[found.ref])))
    assert "3 of 14 testers noted something, all at step 9." in page
    assert "T01, size 34 Word 0" in page
    assert "Notes on the steps, from 3 testers" in words(overview(cast.designer, found))


def test_a_note_of_a_file_without_a_step_is_shown(cast):
    data = example()
    odd = replace(data.reports[0], steps=("The booklet is lovely.", {"step": 4, "text": "Which notch?"}))
    found = imported(cast.studio, replace(data, reports=(odd, *data.reports[1:])))
    page = words(signed_in(cast.designer).get(reverse("round_steps", args=[found.ref])))
    assert "No step named 1 of 14 testers" in page
    assert "The booklet is lovely." in page


def test_nobody_noted_anything(cast):
    found = imported(cast.studio, a_round([a_report(zones={"bust": 0})]))
    page = words(signed_in(cast.designer).get(reverse("round_steps", args=[found.ref])))
    assert "The one tester who reported got through without a note." in page


def test_the_notes_of_another_studio_are_not_found(cast, found):
    assert signed_in(cast.outsider).get(reverse("round_steps", args=[found.ref])).status_code == 404
