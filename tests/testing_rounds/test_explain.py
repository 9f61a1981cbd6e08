"""Which steps to explain first, and in whose words."""

from __future__ import annotations

import pytest
from django.urls import reverse

from testing_rounds.explain import Said, Sewer, what_to_explain
from testing_rounds.models import NoteKind, StepNote
from tests.factories import join, make_chart, make_person, make_studio, signed_in
from tests.testing_rounds.testers import make_place, make_round, make_version


def sewers(count, step, lost, **fields):
    return [Sewer(f"{step}-{i}", notes={step: [Said("lost")]} if i < lost else {}, **fields) for i in range(count)]


def test_the_worked_example_of_the_documentation():
    others = [Sewer("Ilir", "12", notes={8: [Said("instead", "I pinned the cap first.")]})]
    sewed = [*sewers(9, 8, 4), *others, Sewer("Una", "6", up_to=3, notes={3: [Said("lost", "Which side?")]})]

    found = what_to_explain(sewed)

    told = [(one.step, one.lost, one.sewed, round(one.weighed, 3)) for one in found]
    assert told == [(8, 4, 10, 0.373), (3, 1, 11, 0.114)]
    assert [words.text for words in found[0].helped] == ["I pinned the cap first."]
    assert [words.text for words in found[1].asked] == ["Which side?"]


def test_one_of_one_does_not_outrank_many_and_a_typing_error_loses_nobody():
    told = [Sewer("A", up_to=12, notes={12: [Said("lost")]})]
    told += [Sewer(str(i), up_to=5, notes={5: [Said("disagrees")]} if i < 9 else {}) for i in range(10)]
    told += [Sewer("T", up_to=5, notes={2: [Said("typo", "teh")]})]

    assert [one.step for one in what_to_explain(told)] == [5, 12]


def test_who_got_lost_and_went_on_is_told_apart_from_who_did_not():
    told = [
        Sewer("A", "10", notes={4: [Said("missing"), Said("instead", "Basted it.")]}),
        Sewer("B", "12", notes={4: [Said("instead", "Pressed first.")]}),
    ]
    (found,) = what_to_explain(told)

    assert [words.name for words in found.helped] == ["B"]
    assert [words.name for words in found.found_out] == ["A"]
    assert what_to_explain([]) == ()


@pytest.mark.django_db
def test_the_page_lists_the_step_with_the_words_of_those_who_were_not_lost():
    studio = make_studio()
    owner = make_person()
    join(studio, owner, "owner")
    make_chart(studio)
    version = make_version(studio)
    version.steps.get_or_create(number=2, defaults={"text": "Set the sleeve."})
    round_ = make_round(version)
    address = reverse("round_explain", args=[round_.ref])
    assert "nothing to explain" in signed_in(owner).get(address).content.decode()
    for alias, kind, text in (("T1", NoteKind.LOST, "Which notch?"), ("T2", NoteKind.INSTEAD, "I pinned it first.")):
        place = make_place(round_, alias=alias, name=alias, email=f"{alias}@saltmarsh.example")
        report = place.reports.create(version=version, size="12")
        StepNote.objects.create(report=report, step=2, kind=kind, text=text)

    page = signed_in(owner).get(address).content.decode()

    assert "One of 2 got lost at step 2" in page
    assert page.index("I pinned it first.") < page.index("Which notch?")
    assert signed_in(make_person("Odile")).get(address).status_code == 404
