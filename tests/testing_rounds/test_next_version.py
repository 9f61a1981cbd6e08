"""The demo from its findings to the next version, and a fix that reports confirm, repeat or leave unproved."""

from __future__ import annotations

from datetime import date
from io import StringIO

import pytest
from django.core.management import call_command
from django.db import transaction
from django.urls import reverse
from django_tasks_db.models import DBTaskResult

from measurements.chart_store import load_table
from measurements.lengths import Length
from people.models import AuditEntry, Person
from releases.actions import Refused
from releases.models import Version
from testing_rounds.actions.fixes import recheck_fixes
from testing_rounds.actions.next_version import draft_next_version
from testing_rounds.actions.scales import write_scales
from testing_rounds.actions.weighing import weigh_by_hand
from testing_rounds.demo import scenario
from testing_rounds.evidence import weigh
from testing_rounds.fix_stories import fix_stories
from testing_rounds.jobs import judge_fixes
from testing_rounds.models import Decision, FitIssue, IssueState, Round
from testing_rounds.planning_forms import PlanForm
from tests.factories import make_cast, signed_in
from tests.testing_rounds.imported import imported, report_of, words
from tests.testing_rounds.rounds import BUST, SLEEVE, a_report, a_round, answers_by_size
from tests.testing_rounds.testers import form_of, make_version

pytestmark = pytest.mark.django_db

MEND = {"back_length": "draft", "upper_arm": "grade", "waist": "one_size"}


@pytest.fixture(scope="module")
def demo(django_db_setup, django_db_blocker):
    """Made once for all tests of this module, and gone after them."""
    with django_db_blocker.unblock(), transaction.atomic():
        call_command("demo", stdout=StringIO())
        yield Round.objects.get(version__pattern__name=scenario.PATTERN)
        transaction.set_rollback(True)


@pytest.fixture
def designer(demo):
    return signed_in(Person.objects.get(email=scenario.DESIGNER[1]))


def page(client, name, *args):
    return client.get(reverse(name, args=args))


def decide(client, demo, zone, **typed):
    """What a browser would send: the form with its proposed numbers, and the reason."""
    data = form_of(page(client, "round_zone", demo.ref, zone))
    return client.post(reverse("decide", args=[demo.ref, zone]), {**data, "words": "Seen on the form.", **typed})


def test_all_five_faults_are_findings_of_the_round(designer, demo):
    said = words(page(designer, "round", demo.ref))
    assert "Five things to change" in said
    assert "Step 9 loses testers" in said
    assert "12 of 29 who sewed it noted something." in said
    assert "The A4 pages print small" in said
    assert "10 of 10 first prints are 2.5 to 3.0 % small, alike within 0.5 %: it is the file" in said


def test_both_numbers_stand_on_the_page_and_the_proposal_is_the_true_fault(designer, demo):
    said = words(page(designer, "round_zone", demo.ref, "waist"))
    assert "18: waist of the garment is 2.5 cm (1 in) too small" in said
    assert "The grade check’s number is taken" in said
    fields = form_of(page(designer, "round_zone", demo.ref, "upper_arm"))
    assert [fields[f"change-{at}"] for at in range(10)] == [""] * 5 + ["+0.4", "+0.8", "+1.6", "+2.4", "+3.2"]


def test_a_preview_shows_the_garment_and_records_nothing(designer, demo):
    answer = decide(designer, demo, "waist", words="", preview="1", **{"change-6": "1 in"})
    assert answer.status_code == 200
    assert "91." in words(answer), "89.5 and an inch"
    assert 'value="1 in"' in answer.content.decode(), "what was typed stays"
    wrong = decide(designer, demo, "waist", preview="1", **{"change-6": "much"})
    assert wrong.status_code == 422
    assert "cannot be read as a length" in words(wrong)
    assert not Decision.objects.exists()


def test_a_change_of_the_draft_is_one_number(designer, demo):
    answer = decide(designer, demo, "back_length", kind="draft", **{"change-3": "+2"})
    assert answer.status_code == 422
    assert "A change of the draft is the same in every size" in words(answer)
    assert not Decision.objects.exists()


def test_an_edited_number_is_the_designers_own_and_reads_in_the_other_unit(designer, demo):
    decide(designer, demo, "waist", kind="one_size", **{"change-6": "3/4 in"})
    changes = Decision.objects.get().changes
    assert (changes["source"], changes["by_size"]) == ("own", {"18": {"mm": "19.050000", "typed": "3/4 in"}})
    assert "18: 3/4 in" in words(page(designer, "round_zone", demo.ref, "waist"))


def test_the_whole_way_to_the_next_version(designer, demo):
    for zone, kind in MEND.items():
        assert decide(designer, demo, zone, kind=kind).status_code == 302
    step = page(designer, "round_step", demo.ref, 9)
    assert "1 cm (3/8 in)" in form_of(step)["text"], "the other steps pair 3/8 in with 1 cm"
    for name, key in (("round_step", 9), ("round_prints", "a4")):
        data = form_of(page(designer, name, demo.ref, key))
        answer = designer.post(reverse(name, args=[demo.ref, key]), {**data, "words": "So it was."})
        assert answer.status_code == 302
    shown = words(page(designer, "next_version", demo.ref))
    assert "Five decisions go into the next version." in shown
    assert "Armhole, with the upper arm" in shown
    assert "Fabric before and after" in shown
    assert "Shell, 140 cm 55 1/8 in" in shown
    answer = designer.post(reverse("next_version", args=[demo.ref]), {"number": "0.10"})
    made = Version.objects.get(number="0.10")
    assert answer["Location"] == reverse("version", args=[made.ref])
    table = load_table(made.finished_chart)
    cm = {line.key: [float(mm) / 10 for mm in line.mm] for line in table.lines}
    assert cm["back_length"] == [39.5 + i / 2 for i in range(10)]
    assert cm["upper_arm"][5:] == [36.4, 38, 40, 42, 44]
    assert cm["waist"][6] == 92
    old = load_table(demo.version.finished_chart)
    assert old.mm_at("waist", "18") == 895, "what was sewn stays as it was"
    assert set(FitIssue.objects.values_list("state", "fixed_in__number")) == {("fixed", "0.10")}
    assert "Waist +2.5 cm (1 in) in 18" in made.what_changed
    version = words(page(designer, "version", made.ref))
    assert (
        "Write: “Sew the side and sleeve seams in one pass at 1 cm (3/8 in). Clip at the underarm.” To do." in version
    )
    again = words(page(designer, "resew", demo.ref))
    for said in ("Half a toile in size 12.", "A toile in size 18.", "Size 16 on paper", "step 9 aloud", "the new file"):
        assert said in again
    verbs = list(
        AuditEntry.objects.filter(verb__in=["issue_fixed", "next_version_drafted"]).values_list("verb", flat=True)
    )
    assert (verbs.count("issue_fixed"), verbs.count("next_version_drafted")) == (5, 1)
    twice = designer.post(reverse("next_version", args=[demo.ref]), {"number": "0.10"})
    assert twice["Location"] == reverse("version", args=[made.ref]), "a double tap drafts one"
    nothing = designer.post(reverse("next_version", args=[demo.ref]), {"number": "0.11"})
    assert nothing.status_code == 422
    assert "Nothing is decided that the next version would carry" in words(nothing)
    with pytest.raises(Refused):
        draft_next_version(found=demo, number="0.11", by=Person.objects.get(email=scenario.OWNER[1]))


def test_a_step_needs_its_words_and_a_reviewer_decides_nothing(designer, demo):
    address = reverse("round_step", args=[demo.ref, 9])
    answer = designer.post(address, {"kind": "wording", "text": "", "words": ""})
    assert answer.status_code == 422
    assert "Write what the step shall say." in words(answer)
    reviewer = signed_in(Person.objects.get(email=scenario.REVIEWER[1]))
    assert reviewer.post(address, {"kind": "leave", "words": "x"}).status_code == 404
    assert "Record the decision" not in reviewer.get(address).content.decode()
    assert page(designer, "round_step", demo.ref, 99).status_code == 404
    assert page(designer, "round_prints", demo.ref, "zine").status_code == 404
    assert "Nobody has read a square" in words(page(designer, "round_prints", demo.ref, "booklet"))


# A fix, and what the reports of the next version say of it


@pytest.fixture
def cast():
    return make_cast()


def after_the_fix(cast, reports, version="0.5"):
    """A round in which 16 was tight at the bust, its fix in the next version, and the round that sews that."""
    complaint = answers_by_size("bust", {"16": [-1, -1, -1], "14": [0, 0]})
    before = imported(cast.studio, a_round(complaint, zones=(BUST, SLEEVE)))
    after = imported(cast.studio, a_round(reports, version=version, zones=(BUST, SLEEVE)))
    if after.version.pattern_id != before.version.pattern_id:
        after.version.pattern = before.version.pattern
        after.version.save()
    issue = FitIssue.objects.create(
        round=before, zone="bust", direction=-1, sizes=["16"], state=IssueState.FIXED, fixed_in=after.version
    )
    return issue, Round.objects.select_related("version__pattern__studio").get(pk=after.pk)


def near(count, fit=0, bust=100.0, who="N"):
    return [a_report(f"{who}{i}", "16", {"bust": fit}, body={"bust": bust}) for i in range(count)]


@pytest.mark.parametrize(
    ("reports", "state", "said"),
    [
        (near(2), "confirmed", "Confirmed: 0 of 2 complain"),
        (near(1), "fixed", "it takes two"),
        (near(3, bust=94.0), "fixed", "it takes two"),
        (near(2, fit=-1), "fixed", "It repeats: 2 of 2 complain again."),
    ],
    ids=["two near the chart", "one", "small bodies prove nothing", "it repeats"],
)
def test_counted_reports_alone_confirm(cast, reports, state, said):
    issue, after = after_the_fix(cast, reports)
    recheck_fixes(found=after)
    issue.refresh_from_db()
    assert issue.state == state
    shown = words(signed_in(cast.reviewer).get(reverse("round_zone", args=[after.ref, "bust"])))
    assert "Was it fixed?" in shown
    assert said in shown
    assert "not proven" in shown or state == "fixed"
    assert AuditEntry.objects.filter(verb="fix_confirmed", object_ref=issue.ref).exists() == (state == "confirmed")


def test_a_confirmation_is_taken_back_when_the_evidence_goes(cast):
    issue, after = after_the_fix(cast, near(2))
    judge_fixes.call(after.pk)
    judge_fixes.call(after.pk)
    issue.refresh_from_db()
    assert issue.state == IssueState.CONFIRMED
    assert AuditEntry.objects.filter(verb="fix_confirmed").count() == 1, "run twice it changes nothing"
    report = report_of(after, "N0")
    weigh_by_hand(report=report, zones=["bust"], what="aside", reason="A coat.", by=cast.owner)
    judge_fixes.call(after.pk)
    issue.refresh_from_db()
    assert issue.state == IssueState.FIXED
    assert AuditEntry.objects.filter(verb="fix_unconfirmed", object_ref=issue.ref).exists()
    assert "Fixed" in words(signed_in(cast.designer).get(reverse("round_zone", args=[issue.round.ref, "bust"])))


def test_a_change_that_a_reading_can_see_has_the_fixes_judged(cast):
    _issue, after = after_the_fix(cast, near(2))
    waiting = DBTaskResult.objects.filter(task_path__endswith="judge_fixes")
    before = waiting.count()
    weigh_by_hand(report=report_of(after, "N1"), zones=["bust"], what="aside", reason="A coat.", by=cast.owner)
    assert waiting.count() == before + 1


def test_the_round_before_shows_what_became_of_its_finding(cast):
    issue, after = after_the_fix(cast, near(3))
    (story,) = fix_stories(weigh(issue.round), "bust")
    assert (story.verdict.confirmed, story.after_version) == (True, "0.5")
    assert [(one.testers, one.before, one.after) for one in story.comparisons] == [("others", (3, 3), (0, 3))]
    assert "p = 0.10" in story.tests[0]
    assert fix_stories(weigh(after), "cuff") == []


def test_new_words_and_a_new_file_are_confirmed_by_those_who_use_them(cast):
    notes = [a_report(f"L{i}", "16", {"bust": 0}, steps=({"step": 2, "kind": "lost", "text": "?"},)) for i in range(3)]
    before = imported(cast.studio, a_round(notes))
    reads = [a_report(f"S{i}", "16", {"bust": 0}, test_square=10.0, file="a4") for i in range(3)]
    after = imported(cast.studio, a_round(reads, version="0.5"))
    after.version.pattern = before.version.pattern
    after.version.save()
    fixed = {"round": before, "state": IssueState.FIXED, "fixed_in": after.version}
    step = FitIssue.objects.create(about="step", zone="2", direction=0, **fixed)
    file = FitIssue.objects.create(about="file", zone="a4", direction=-1, **fixed)
    other = FitIssue.objects.create(about="file", zone="letter", direction=-1, **fixed)
    judge_fixes.call(after.pk)
    states = {issue.pk: issue.state for issue in FitIssue.objects.all()}
    assert states == {step.pk: "confirmed", file.pk: "confirmed", other.pk: "fixed"}
    client = signed_in(cast.reviewer)
    said = words(client.get(reverse("round_step", args=[before.ref, 2])))
    assert "Confirmed: 0 of the 3 who sewed the new words noted something." in said
    assert "3 of 3 complained before, 0 of 3 do now" in said
    assert "3 testers read a true square" in words(client.get(reverse("round_prints", args=[after.ref, "a4"])))
    assert "It takes three true squares" in words(client.get(reverse("round_prints", args=[after.ref, "letter"])))


# Zone scales


def test_a_studio_sets_its_scales_and_its_rounds_are_read_anew(cast):
    found = imported(cast.studio, a_round(near(2), zones=(BUST.__class__(**{**vars(BUST), "scale_cm": 1.2}), SLEEVE)))
    client, address = signed_in(cast.designer), reverse("zone_scales", args=[cast.studio.ref])
    assert "usual zone scales" in words(client.get(address))
    answer = client.post(address, {"bust": "1", "waist": "1/2 in"}, follow=True)
    assert "1 round is read anew." in words(answer)
    again = Round.objects.get(pk=found.pk)
    assert [entry.get("scale_cm") for entry in again.zones] == [1.0, None]
    assert again.revision == found.revision + 1
    assert weigh(Round.objects.select_related("version__pattern").get(pk=found.pk)).data.zones[0].scale_cm == 1.0
    assert 'value="1/2 in"' in client.get(address).content.decode()
    bad = client.post(address, {"bust": "90"})
    assert bad.status_code == 422
    assert "Longer than" in words(bad)
    assert write_scales(studio=cast.studio, lengths={}, by=cast.owner) == 1
    assert Round.objects.get(pk=found.pk).zones[0]["scale_cm"] == 1.2


def test_a_scale_of_a_file_stays(cast):
    own = BUST.__class__(**{**vars(BUST), "scale_cm": 1.7})
    found = imported(cast.studio, a_round([], zones=(own,)))
    assert write_scales(studio=cast.studio, lengths={"bust": Length("10", "1", "cm")}, by=cast.owner) == 0
    assert Round.objects.get(pk=found.pk).zones[0]["scale_cm"] == 1.7


def test_a_new_round_takes_the_studios_scales(cast):
    write_scales(studio=cast.studio, lengths={"bust": Length("9", "0.9", "cm")}, by=cast.owner)
    version = make_version(cast.studio)
    form = PlanForm(None, version=version, today=date(2026, 1, 1))
    form.cleaned_data = {"zones": ["bust", "waist"]}
    assert [(zone["key"], zone["scale_cm"]) for zone in form.plan()["zones"]] == [("bust", 0.9), ("waist", 1.2)]
