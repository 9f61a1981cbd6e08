"""Decisions, and answers set aside or put back: what changes at once, what is kept, who may."""

import re

import pytest
from django.urls import reverse

from people.models import AuditEntry
from releases.models import Version
from testing_rounds.actions.readings import keep_readings
from testing_rounds.evidence import weigh
from testing_rounds.models import Decision, DecisionKind, FitIssue, IssueState, Round, StoredReading, WeighedByHand
from testing_rounds.reading import USUAL_METHOD
from tests.factories import make_cast, signed_in
from tests.testing_rounds.imported import imported, report_of, words

pytestmark = pytest.mark.django_db


@pytest.fixture
def cast():
    return make_cast()


@pytest.fixture
def found(cast):
    return imported(cast.studio)


@pytest.fixture
def next_version(found):
    old = found.version
    return Version.objects.create(pattern=old.pattern, number="0.5", sizes=old.sizes, body_chart=old.body_chart)


def decide(person, found, zone="hip", query="", **typed):
    data = {"direction": "-1", "kind": "grade", "words": "The break at 40 is missing.", "fixed_in": ""} | typed
    return signed_in(person).post(reverse("decide", args=[found.ref, zone]) + query, data)


def turn(person, report, zone, what, reason="Measured again.", **more):
    data = {"what": what, "reason": reason, **more}
    return signed_in(person).post(reverse("weigh", args=[report.ref, zone]), data)


def revision(found):
    return Round.objects.get(pk=found.pk).revision


def counts(found):
    return weigh(Round.objects.get(pk=found.pk)).counts


# Decisions


def test_a_decision_is_kept_with_its_words_and_the_state_changes(cast, found):
    before = revision(found)
    answer = decide(cast.designer, found)
    assert answer.status_code == 302
    assert answer["Location"] == reverse("round_zone", args=[found.ref, "hip"])
    issue = FitIssue.objects.get()
    assert (issue.zone, issue.direction, issue.state, issue.sizes) == ("hip", -1, IssueState.DECIDED, ["40", "42"])
    decision = issue.decisions.get()
    assert (decision.kind, decision.words, decision.by) == ("grade", "The break at 40 is missing.", cast.designer)
    assert revision(found) == before + 1, "live pages hear of it"
    assert AuditEntry.objects.filter(verb="issue_decided", object_ref=issue.ref, actor_ref=cast.designer.ref).exists()
    page = words(signed_in(cast.reviewer).get(answer["Location"]))
    assert "State Decided" in page
    assert "What was decided The grade The break at 40 is missing. Kwabena Lissak," in page


def test_the_version_that_carries_the_change_makes_it_fixed(cast, found, next_version):
    decide(cast.designer, found, fixed_in=next_version.ref)
    assert FitIssue.objects.get().state == IssueState.FIXED
    assert "State Fixed in 0.5" in words(signed_in(cast.designer).get(reverse("round_zone", args=[found.ref, "hip"])))
    assert "Decided: the grade. Fixed in 0.5." in words(
        signed_in(cast.designer).get(reverse("round", args=[found.ref]))
    )


def test_left_as_is(cast, found):
    decide(cast.owner, found, kind="leave", words="Meant to sit close.")
    assert FitIssue.objects.get().state == IssueState.LEFT
    assert "Left as is." in words(signed_in(cast.designer).get(reverse("round", args=[found.ref])))


def test_a_second_decision_stands_beside_the_first(cast, found):
    decide(cast.designer, found)
    decide(cast.owner, found, kind="draft", words="All sizes after all.")
    issue = FitIssue.objects.get()
    assert [decision.kind for decision in issue.decisions.all()] == ["grade", "draft"]
    page = words(signed_in(cast.designer).get(reverse("round_zone", args=[found.ref, "hip"])))
    assert page.index("All sizes after all.") < page.index("The break at 40 is missing.")


def test_a_double_tap_is_one_decision(cast, found):
    decide(cast.designer, found)
    decide(cast.designer, found)
    assert Decision.objects.count() == 1


def test_a_zone_in_which_nothing_is_read_can_be_decided_on_either_side(cast, found):
    decide(cast.designer, found, "waist", direction="1", kind="leave", words="One loose waist of twelve.")
    issue = FitIssue.objects.get()
    assert (issue.direction, issue.sizes) == (1, ["36"])
    assert "It is about" in words(signed_in(cast.designer).get(reverse("round_zone", args=[found.ref, "waist"])))


@pytest.mark.parametrize("kind", DecisionKind.values)
def test_every_kind_can_be_decided(cast, found, kind):
    assert decide(cast.designer, found, kind=kind).status_code == 302
    assert Decision.objects.get().kind == kind


@pytest.mark.parametrize(
    ("typed", "sentence"),
    [
        ({"kind": ""}, "Choose what is wrong, or that nothing is."),
        ({"words": "  "}, "Say why, so that the next reader need not guess."),
        ({"kind": "magic"}, "Select a valid choice."),
        ({"direction": "0"}, "Select a valid choice."),
    ],
)
def test_what_is_missing_is_said_and_what_was_typed_stays(cast, found, typed, sentence):
    answer = decide(cast.designer, found, **({"words": "Keep me."} | typed))
    assert answer.status_code == 422
    assert sentence in words(answer)
    assert "Keep me." in answer.content.decode() or "words" in typed
    assert not FitIssue.objects.exists()


def test_what_is_left_as_is_changes_in_no_version(cast, found, next_version):
    answer = decide(cast.designer, found, kind="leave", fixed_in=next_version.ref)
    assert answer.status_code == 422
    assert "What is left as is changes in no version" in words(answer)


def test_a_version_of_another_pattern_is_no_choice(cast, found):
    foreign = Version.objects.create(
        pattern=cast.other_studio.patterns.create(name="Skerry", kind="skirt"), number="1.0"
    )
    assert decide(cast.designer, found, fixed_in=foreign.ref).status_code == 422


def test_a_reviewer_and_a_stranger_decide_nothing(cast, found):
    for person in (cast.reviewer, cast.outsider):
        assert decide(person, found).status_code == 404
    assert decide(cast.designer, found, "bust").status_code == 404
    assert signed_in(cast.designer).get(reverse("decide", args=[found.ref, "hip"])).status_code == 405
    assert not FitIssue.objects.exists()


# Readings kept


def test_a_decision_keeps_the_readings_that_it_rests_on(cast, found):
    before = revision(found)
    decide(cast.designer, found)
    stored = StoredReading.objects.get()
    assert (stored.revision, stored.method) == (before, USUAL_METHOD)
    hip = next(reading for reading in stored.readings["toile"] if reading["zone"] == "hip")
    assert (hip["reading"], hip["sizes"]) == ("from_size", ["40", "42"])


def test_readings_are_kept_once_a_revision_and_each_stage_in_its_place(found):
    first = keep_readings(weigh(found))
    assert keep_readings(weigh(found)) == first
    both = keep_readings(weigh(found, stage="finished"))
    assert both == first
    assert list(StoredReading.objects.get().readings) == ["toile", "finished"]


def test_a_later_revision_is_kept_beside_the_earlier(cast, found):
    keep_readings(weigh(found))
    turn(cast.designer, report_of(found, "T11"), "hip", "aside")
    keep_readings(weigh(Round.objects.get(pk=found.pk)))
    assert StoredReading.objects.count() == 2


# Set aside and put back


def test_put_back_counts_at_once(cast, found):
    report = report_of(found, "T14")
    assert counts(found).cells["hip", "42"].counted == 2
    before = revision(found)
    answer = turn(cast.designer, report, "hip", "back")
    assert answer.status_code == 302
    assert counts(found).cells["hip", "42"].counted == 3
    assert revision(found) == before + 1
    page = words(signed_in(cast.designer).get(reverse("round", args=[found.ref])))
    assert "Size 42: 3 of 3 tight" in page
    assert "T14, size 42. Hip, put back: Measured again." in page
    word = WeighedByHand.objects.get(report=report)
    assert (word.what, word.by) == ("back", cast.designer)
    assert AuditEntry.objects.filter(verb="answers_put_back", object_ref=report.ref).exists()


def test_set_aside_no_longer_counts(cast, found):
    turn(cast.owner, report_of(found, "T12"), "hip", "aside", "Wore it over a coat.")
    assert counts(found).cells["hip", "42"].counted == 1
    page = words(signed_in(cast.designer).get(reverse("round", args=[found.ref])))
    assert "T12, size 42. Hip: Set aside by hand: Wore it over a coat." in page


def test_the_newest_word_holds_and_all_are_shown(cast, found):
    report = report_of(found, "T12")
    for what, reason in (("aside", "Over a coat."), ("back", "No coat after all."), ("aside", "A coat it was.")):
        turn(cast.designer, report, "hip", what, reason)
    assert counts(found).cells["hip", "42"].counted == 1
    page = words(signed_in(cast.reviewer).get(reverse("report", args=[report.ref])))
    for reason in ("Over a coat.", "No coat after all.", "A coat it was."):
        assert f": {reason}" in page


def test_a_double_tap_writes_one_word(cast, found):
    report = report_of(found, "T14")
    turn(cast.designer, report, "hip", "back")
    before = revision(found)
    turn(cast.designer, report, "hip", "back")
    assert WeighedByHand.objects.filter(report=report).count() == 1
    assert revision(found) == before


def test_a_whole_report_goes_back_with_one_reason(cast, found):
    report = report_of(found, "T07")
    data = {"what": "back", "reason": "The square was read off the screen."}
    answer = signed_in(cast.designer).post(reverse("weigh_report", args=[report.ref]), data, follow=True)
    assert "The whole report counts again." in words(answer)
    assert [word.zone for word in WeighedByHand.objects.filter(report=report)] == ["waist", "hip", "length"]
    assert counts(found).cells["hip", "38"].counted == 3


def test_the_page_that_asked_comes_back(cast, found):
    report = report_of(found, "T14")
    zone = turn(cast.designer, report, "hip", "back", **{"from": "zone"})
    assert zone["Location"] == reverse("round_zone", args=[found.ref, "hip"])
    page = turn(cast.designer, report, "hip", "aside", **{"from": "https://elsewhere.example/"})
    assert page["Location"] == reverse("report", args=[report.ref]) + "#answer-1"


@pytest.mark.parametrize("address", ["weigh", "weigh_report"])
def test_a_reason_is_asked_for_and_the_form_stays_open(cast, found, address):
    report = report_of(found, "T07")
    args = [report.ref, "hip"] if address == "weigh" else [report.ref]
    answer = signed_in(cast.designer).post(reverse(address, args=args), {"what": "back", "reason": " "})
    assert answer.status_code == 422
    assert "Give the reason: everyone who reads the counts will see it." in words(answer)
    assert len(re.findall(r"<details[^>]* open>", answer.content.decode())) == 1
    assert WeighedByHand.objects.filter(report=report).count() == 0


def test_too_long_a_reason_is_kept_as_typed(cast, found):
    answer = turn(cast.designer, report_of(found, "T07"), "hip", "back", "x" * 301)
    assert answer.status_code == 422
    assert "x" * 301 in answer.content.decode()


def test_who_may_not_and_what_is_not_there(cast, found):
    report = report_of(found, "T14")
    for person in (cast.reviewer, cast.outsider):
        assert turn(person, report, "hip", "back").status_code == 404
        whole = signed_in(person).post(reverse("weigh_report", args=[report.ref]), {"what": "back", "reason": "x"})
        assert whole.status_code == 404
    assert turn(cast.designer, report, "length", "back").status_code == 404, "not answered"
    assert turn(cast.designer, report, "bust", "back").status_code == 404, "not asked"
    assert signed_in(cast.designer).get(reverse("weigh", args=[report.ref, "hip"])).status_code == 405
    assert not WeighedByHand.objects.filter(report=report).exists()
