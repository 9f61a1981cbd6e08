"""The pages of a version's ease, its lengths, the size it would be for a body; and a studio's rules behind them."""

from __future__ import annotations

from decimal import Decimal

import pytest
from django.urls import reverse

from measurements.advice_rules import rules_of
from measurements.intended_ease import IntendedEase
from people.models import AuditEntry
from releases.actions import begin_testing
from releases.advice import pattern_facts
from releases.ease_store import intended_ease_of
from releases.tables import measurement_tables
from tests.factories import signed_in
from tests.releases.things import make_version, with_finished

LENGTH = {
    "name": "tunic",
    "way": "add",
    "change": "5 1/2 in",
    "along": "length",
    "laps": "2",
    "height": "",
    "lining": "1.5",
}
NO_RULES = {
    "preference": "usual",
    **dict.fromkeys(("least_bust", "least_waist", "least_hip", "comfort", "roomy", "cup", "blend_sizes"), ""),
}


@pytest.fixture
def sewn(cast, version):
    """Finished 94 98 102 at the bust and 74 78 82 at the waist, over 88 92 96 and 70 74 78."""
    return with_finished(version, cast.designer)


@pytest.fixture
def go(cast, sewn):
    """Ask for a page of the version, or send it a form."""

    def go(name, data=None, by=None, of=None):
        client, address = signed_in(by or cast.designer), reverse(name, args=[(of or sewn).ref])
        return client.get(address) if data is None else client.post(address, data)

    return go


def text(response):
    return " ".join(response.content.decode().split())


def test_what_is_meant_is_kept_and_every_size_held_against_it(sewn, go):
    sent = {"ease_bust": "6", "tolerance_bust": "", "ease_waist": "2 in", "tolerance_waist": "0,3"}
    assert go("version_ease", sent).status_code == 302
    assert intended_ease_of(sewn) == {
        "bust": IntendedEase("bust", Decimal(6), Decimal("0.5")),
        "waist": IntendedEase("waist", Decimal("5.08"), Decimal("0.3")),
    }
    page = text(go("version_ease"))
    assert "One measurement of 0.9 wants a second look." in page
    assert "Waist, every size." in page
    assert "Meant is 5.1 cm (2 in); there is 1.1 cm (3/8 in) less." in page
    assert 'value="2 in"' in page
    assert "Central Washington University" in page
    assert AuditEntry.objects.filter(verb="ease_declared").exists()


def test_a_slip_keeps_what_was_typed_and_saves_nothing(sewn, go):
    response = go("version_ease", {"ease_bust": "six", "tolerance_waist": "1"})
    page = text(response)
    assert response.status_code == 422
    assert "cannot be read as a length" in page
    assert "Say the ease that is meant, too." in page
    assert 'value="six"' in page
    assert not intended_ease_of(sewn)


def test_a_knit_says_how_far_its_fabric_must_stretch(sewn, go):
    sewn.pattern.fabric = "knit"
    sewn.pattern.save()
    go("version_ease", {"stretch": "13.5"})
    sewn.pattern.refresh_from_db()
    assert pattern_facts(sewn).required_stretch == 35
    assert 'value="13.5"' in text(go("version_ease"))


def test_before_anything_is_measured_the_page_says_what_to_do(cast, version, go, pattern, chart):
    bare = make_version(pattern, chart, cast.owner, number="0.8")
    assert "There is no ease to look at yet." in text(go("version_ease", of=bare))


def test_a_length_is_measured_in_every_size_and_stands_in_the_tables(sewn, go):
    assert go("version_lengths", LENGTH).status_code == 302
    page = text(go("version_lengths"))
    assert "is cut to two lengths: as printed, and tunic." in page
    assert "0.3 m" in page
    assert "3/8 yd" in page
    (finished,) = (block for block in measurement_tables(sewn).blocks if block.key == "finished")
    assert [row.label for row in finished.rows] == ["Bust", "Waist", "Length", "Length, tunic"]
    assert finished.rows[-1].cells[0] == Decimal("779.7")


def test_one_name_is_one_length(sewn, go):
    go("version_lengths", LENGTH)
    response = go("version_lengths", {**LENGTH, "name": "Tunic", "change": "20"})
    assert response.status_code == 422
    assert "One name is one length." in text(response)
    assert sewn.lengths.count() == 1


def test_a_length_is_changed_and_taken_off_while_it_is_a_draft(cast, sewn, go):
    go("version_lengths", LENGTH)
    of = sewn.lengths.get().ref
    go("version_lengths", {**LENGTH, "of": of, "way": "take", "change": "14"})
    assert sewn.lengths.get().change_mm == -140
    begin_testing(version=sewn, by=cast.owner)
    go("version_lengths", {"of": of, "do": "remove"})
    assert sewn.lengths.exists(), "what is sewn stays"
    assert go("version_lengths", {**LENGTH, "of": "nothing"}).status_code == 404


def test_the_next_version_takes_over_what_is_meant(cast, sewn, go, pattern, chart):
    go("version_ease", {"ease_bust": "6"})
    go("version_lengths", LENGTH)
    following = make_version(pattern, chart, cast.owner, number="0.95", copied=sewn, copy_finished=True)
    assert intended_ease_of(following) == intended_ease_of(sewn)
    assert [one.name for one in following.lengths.all()] == ["tunic"]
    assert following.lengths.get().ref != sewn.lengths.get().ref


def test_a_body_is_tried_and_nothing_is_kept(sewn, go, cast):
    page = text(go("version_size", {"high_bust": "87", "bust": "92", "waist": "74.5", "wish": ""}, by=cast.reviewer))
    assert "<h1>Size 12.</h1>" in page
    assert "Ease left" in page
    assert "<h1>No size of this range.</h1>" in text(go("version_size", {"bust": "120"}))
    assert not AuditEntry.objects.filter(verb__contains="size").exists()


def test_a_studios_rules_reach_the_advice(cast, sewn, go):
    client, address = signed_in(cast.designer), reverse("advice_rules", args=[cast.studio.ref])
    between = {"high_bust": "85", "bust": "90", "waist": "71", "wish": ""}
    assert "<h1>Size 12.</h1>" in text(go("version_size", between)), "10 keeps 4 at the bust, which is not 5"
    assert client.post(address, {**NO_RULES, "preference": "closer"}).status_code == 302
    assert "<h1>Size 10.</h1>" in text(go("version_size", between))
    client.post(address, {**NO_RULES, "preference": "closer", "least_bust": "1 3/4 in", "comfort": "0.5"})
    assert "<h1>Size 12.</h1>" in text(go("version_size", between)), "closer, but 10 keeps less than 4.4"
    assert "<h1>Size 10.</h1>" in text(go("version_size", {**between, "bust": "89", "high_bust": "84"}))
    assert rules_of(cast.studio).hold.comfort_mm == 5
    assert 'value="1 3/4 in"' in text(client.get(address))


def test_rules_that_cannot_be_are_said_and_kept_as_typed(cast, sewn):
    client, address = signed_in(cast.designer), reverse("advice_rules", args=[cast.studio.ref])
    response = client.post(address, {**NO_RULES, "cup": "much", "blend_sizes": "0"})
    assert response.status_code == 422
    assert 'value="much"' in text(response)
    assert signed_in(cast.reviewer).get(address).status_code == 200
    assert signed_in(cast.reviewer).post(address, NO_RULES).status_code == 404
    assert signed_in(cast.outsider).get(address).status_code == 404
