"""Sizes signed on their evidence, and the launch check: what the pages say, what they refuse, whose word counts."""

from __future__ import annotations

import re
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from people.models import AuditEntry, Consent, ConsentKind, Membership, Role
from releases.layouts import lay_all
from releases.models import PatternFile, Version, VersionState
from releases.sign_offs import standing, verify_studio
from releases.stale import Change, Touched
from testing_rounds.models import FitIssue, IssueState, Place, PrintCheck, Round
from testing_rounds.stale_zones import linked_zones
from tests.factories import Cast, make_cast, signed_in
from tests.house.project import ROOT
from tests.releases.test_stale import cut
from tests.testing_rounds.imported import imported, words
from tests.testing_rounds.rounds import a_round, answers_by_size
from tests.testing_rounds.testers import make_round, make_version

pytestmark = pytest.mark.django_db
SIZES = ("10", "12", "14")


@pytest.fixture
def cast() -> Cast:
    return make_cast()


@pytest.fixture
def found(cast: Cast) -> Round:
    """Two reports a size that fit, but 14 is tight at the bust; its fabric is laid, and its grade check is clean."""
    reports = answers_by_size("bust", {"10": [0, 0], "12": [0, 0], "14": [-1, -1]})
    made = imported(cast.studio, a_round(reports, sizes=SIZES))
    cut(made.version, cast.owner)
    lay_all(made.version.ref)
    return made


@pytest.fixture
def version(found: Round) -> Version:
    return found.version


def size_url(version: Version, size: str) -> str:
    return reverse("sign_off_size", args=[version.ref, SIZES.index(size)])


def sign(client: Client, version: Version, size: str, state: str = "signed", note: str = "", **typed: str) -> Any:
    """What the form sends, with the mark of what it was shown with."""
    page = client.get(size_url(version, size)).content.decode()
    shown = re.search(r'name="shown" value="(\w+)"', page)
    data = {"state": state, "note": note, "shown": shown[1] if shown else "", **typed}
    return client.post(size_url(version, size), data)


def state(version: Version) -> dict[str, str]:
    return {size: row.state for size, row in standing(version).items()}


def test_a_size_that_meets_every_condition_is_signed_and_the_next_unread_opens(cast: Cast, version: Version):
    reviewer = signed_in(cast.reviewer)
    said = words(reviewer.get(size_url(version, "10")))
    assert "Size 10 is unread, and meets every condition." in said
    assert "2 counted" in said
    answer = sign(reviewer, version, "10")
    assert answer["Location"] == size_url(version, "12")
    assert sign(reviewer, version, "12")["Location"] == size_url(version, "14")
    assert state(version) == {"10": "signed", "12": "signed"}
    row = standing(version)["10"]
    assert row.saw["conditions"] == dict.fromkeys(("counted", "issues", "grade", "fabric"), True)
    assert sign(reviewer, version, "10").status_code == 302
    assert version.sign_offs.count() == 2  # the same word on the same evidence is one
    assert "2 of 3 sizes of 0.4 are signed" in words(reviewer.get(reverse("sign_off", args=[version.ref])))


def test_what_is_open_wants_a_note(cast: Cast, version: Version):
    reviewer = signed_in(cast.reviewer)
    plain = sign(reviewer, version, "14")
    assert plain.status_code == 422
    assert "Not every condition is met: sign with a note" in words(plain)
    assert "nobody has decided" in words(plain)
    held = sign(reviewer, version, "14", "held", "")
    assert "Say why in a few words." in words(held)
    Place.objects.filter(pk=Place.objects.first().pk).update(name="Tindra Oake")
    named = sign(reviewer, version, "14", "held", "Tindra is right")
    assert (named.status_code, "Tindra is right" in named.content.decode()) == (422, True)
    assert "“Tindra” is a tester’s name." in words(named), "what is sealed could never be erased"
    assert sign(reviewer, version, "14", "held", "The bust first").status_code == 302
    assert sign(reviewer, version, "14", "signed", "The bust is meant to be close").status_code == 302
    assert state(version) == {"14": "noted"}


def test_a_size_that_changed_while_it_was_read_is_shown_again(cast: Cast, version: Version):
    reviewer = signed_in(cast.reviewer)
    stale = sign(reviewer, version, "10", note="kept words", shown="0" * 16)
    assert stale.status_code == 422
    assert "This size changed while you read it." in words(stale)
    assert 'value="kept words"' in stale.content.decode()
    assert state(version) == {}


@pytest.mark.parametrize("role", ["designer", "owner"])
def test_nobody_signs_own_work_where_the_studio_has_a_reviewer(cast: Cast, version: Version, role: str):
    client = signed_in(getattr(cast, role))
    assert "The studio’s reviewer signs" in words(client.get(size_url(version, "10")))
    assert sign(client, version, "10").status_code == 404


def test_without_a_reviewer_the_owner_signs_and_it_is_said_plainly(cast: Cast, version: Version):
    Membership.objects.filter(studio=cast.studio, role=Role.REVIEWER).delete()
    owner = signed_in(cast.owner)
    assert "nobody else looked" in words(owner.get(size_url(version, "10")))
    assert sign(owner, version, "10").status_code == 302
    assert sign(signed_in(cast.designer), version, "12").status_code == 404


def test_a_later_change_lapses_the_touched_size_alone(cast: Cast, version: Version):
    reviewer = signed_in(cast.reviewer)
    for size in ("10", "12"):
        sign(reviewer, version, size)
    issue = FitIssue.objects.create(round=version.rounds.get(), zone="bust", direction=-1, sizes=["10"])
    assert "1 open" in words(reviewer.get(size_url(version, "10")))
    FitIssue.objects.filter(pk=issue.pk).update(state=IssueState.LEFT)
    boxes = version.materials.get().pieces.get().boxes
    assert boxes.count() == 3
    cut(version, cast.owner, "64")  # the piece of 14
    assert state(version) == {"10": "signed", "12": "signed"}
    assert "to be done anew" in words(reviewer.get(size_url(version, "14")))


def test_the_next_version_is_read_on_the_reports_of_the_one_before(cast: Cast, version: Version):
    later = Version.objects.create(
        pattern=version.pattern,
        number="1.0",
        body_chart=version.body_chart,
        finished_chart=version.finished_chart,
        sizes=version.sizes,
    )
    said = words(signed_in(cast.reviewer).get(size_url(later, "10")))
    assert "The reports are of version 0.4" in said


# the launch check


def launch(person: Any, version: Version) -> str:
    return words(signed_in(person).get(reverse("version_launch", args=[version.ref])))


def post(person: Any, version: Version, name: str, *args: str, **data: str) -> Any:
    return signed_in(person).post(reverse(name, args=[version.ref, *args]), data, follow=True)


def ready(cast: Cast, version: Version) -> None:
    """Everything but what a person has to say."""
    reviewer = signed_in(cast.reviewer)
    for size in ("10", "12"):
        sign(reviewer, version, size)
    sign(reviewer, version, "14", "noted", "Left as is: it is meant to be close")
    FitIssue.objects.create(round=version.rounds.get(), zone="bust", direction=-1, sizes=["14"], state=IssueState.LEFT)
    found = {"method": 0, "refused": "not read here"}
    PatternFile.objects.create(version=version, kind="a4", name="a4.pdf", digest="0" * 64, size_bytes=9, found=found)


def test_from_what_stands_in_the_way_to_the_shop(cast: Cast, version: Version):
    assert "things stand between 0.4 and the shop." in launch(cast.designer, version)
    ready(cast, version)
    said = launch(cast.designer, version)
    assert "2 things stand between 0.4 and the shop." in said
    assert "Nobody has read a true square of the A4 pages (a4.pdf)" in said
    assert "It does not pass yet" in words(post(cast.designer, version, "launch_state", do="clear"))
    PrintCheck.objects.create(
        place=Place.objects.first(), file_kind="a4", across_mm=100, down_mm=100, across_typed="10", down_typed="10"
    )
    assert "1 thing stands between 0.4 and the shop." in launch(cast.designer, version)

    assert post(cast.designer, version, "launch_override", "files", reason="read by hand").status_code == 404
    empty = post(cast.owner, version, "launch_override", "files", reason="")
    assert empty.status_code == 422
    assert "Say why in a few words." in words(empty)
    assert "Nothing stands between" in words(
        post(cast.owner, version, "launch_override", "files", reason="read by hand")
    )
    assert "It is not cleared yet." in words(post(cast.designer, version, "launch_state", do="sale"))
    assert "is cleared" in words(post(cast.designer, version, "launch_state", do="clear"))
    assert "is on sale" in words(post(cast.designer, version, "launch_state", do="sale"))

    cut(version, cast.owner, "64")
    assert "on sale, and" in launch(cast.owner, version)
    assert state(version)["14"] == "lapsed"
    assert post(cast.designer, version, "launch_state", do="withdraw").status_code == 422
    assert "too few buyers" in words(post(cast.owner, version, "launch_state", do="withdraw", reason="too few buyers"))
    version.refresh_from_db()
    assert version.state == VersionState.WITHDRAWN
    verbs = set(AuditEntry.objects.filter(studio_ref=cast.studio.ref).values_list("verb", flat=True))
    assert {"launch_check_overridden", "version_cleared", "version_on_sale", "version_withdrawn"} <= verbs
    assert verify_studio(cast.studio).found == ()


def test_a_word_on_permissions_holds_until_one_is_taken_back(cast: Cast, version: Version):
    place = Place.objects.first()
    given = {"subject": place.ref, "kind": ConsentKind.PROMOTION, "wording": "2", "given_at": place.applied_at}
    consent = Consent.objects.create(**given)
    Consent.objects.create(**given | {"kind": ConsentKind.NAME})
    asks = "photos shown 1, named 1, quoted 0"
    assert asks in launch(cast.designer, version)
    post(cast.designer, version, "launch_confirm", "consents")
    assert asks not in launch(cast.designer, version)
    Consent.objects.filter(pk=consent.pk).update(withdrawn_at=place.applied_at)
    assert "photos shown 0, named 1" in launch(cast.designer, version)


def test_a_size_can_be_left_out_and_taken_in_again(cast: Cast, version: Version):
    ready(cast, version)
    address = reverse("sign_off_withdraw", args=[version.ref])
    designer = signed_in(cast.designer)
    assert designer.post(address, {"position": "1", "reason": ""}).status_code == 422
    assert designer.post(address, {"position": "9", "reason": "x"}).status_code == 404
    assert designer.post(address, {"position": "1", "reason": "drafted anew later"}).status_code == 302
    assert state(version)["12"] == "withdrawn"
    assert "Nobody has signed" not in launch(cast.designer, version)
    sign(signed_in(cast.reviewer), version, "12")
    assert state(version)["12"] == "signed"


def test_the_worked_example_of_the_seal():
    from releases.seals import canonical, seal, sealing_key, trail_digest

    page = (ROOT / "docs/algorithms/sign-off.md").read_text(encoding="utf-8")
    row = {
        "id": 1, "ref": "bcdfghjkmn", "studio": "cdfghjkmnp", "number": 1, "version": "dfghjkmnpq",
        "version_number": "1.0", "size": "18", "state": "noted", "note": "but the hem", "saw": {"evidence": "ab"},
        "by": "fghjkmnpqr", "by_ref": "fghjkmnpqr", "at": "2026-03-02T10:00:00+00:00", "before": "",
    }  # fmt: skip
    sealed = seal(row, sealing_key("a key for the example"))
    for written in (canonical(row), sealed, trail_digest(1, sealed)):
        assert written in page, written


def test_zones_without_a_measurement_are_looked_at_again_too(cast: Cast):
    version = make_version(cast.studio)
    make_round(version)
    change = Change("finished", (Touched("upper_arm", "Upper arm", ("18",)),))
    said = [str(mark.why) for mark in linked_zones(version, change)]
    assert said == [
        "The armhole goes with the upper arm, which changed in 18.",
        "The sleeve cap goes with the upper arm, which changed in 18.",
    ]
    assert not list(linked_zones(version, Change("steps", change.touched)))
