"""Sign-offs that were edited, deleted or swapped behind the app's back are named, every one; untouched ones verify."""

from __future__ import annotations

import json
from io import StringIO
from random import Random
from typing import Any

import pytest
from django.core.management import call_command
from django.core.management.base import CommandError
from django.db import transaction
from django.utils import timezone

from people.models import Person
from people.refs import new_ref
from releases.actions.sign_off import lapse, sign_size, withdraw_size
from releases.models import SizeSignOff, Version
from releases.sign_offs import verify_studio
from tests.factories import Cast, make_cast, make_chart, make_person
from tests.releases.things import make_pattern, make_version

pytestmark = pytest.mark.django_db
SAW = {"evidence": "e" * 64, "finished": "f" * 64, "files": [["a4", "d" * 64]], "conditions": {"counted": True}}


@pytest.fixture
def signed() -> tuple[Cast, Version]:
    """Twelve rows of every kind: signed, noted, held, lapsed, withdrawn, signed again."""
    cast = make_cast()
    version = make_version(make_pattern(cast.studio, cast.owner), make_chart(cast.studio), cast.owner)
    for again in range(2):
        for size, state, note in (("10", "signed", ""), ("12", "noted", "but the hem"), ("14", "held", "waist")):
            said = note and f"{note} {again}"
            sign_size(version=version, size=size, state=state, note=said, saw=SAW, met=True, by=cast.reviewer)
        lapse(version=version, sizes=("10", "12", "14"), why="Changed since: Waist.", by=cast.designer)
        withdraw_size(version=version, size="14", reason=f"sells too seldom {again}", by=cast.owner)
    return cast, version


def verified(*options: str) -> dict[str, Any]:
    out = StringIO()
    call_command("verify_signoffs", "--json", *options, stdout=out)
    return json.loads(out.getvalue())


def _edited(row: SizeSignOff, name: str, random: Random, others: Any) -> Any:
    """Another value for a column, such as somebody might write into it."""
    field = SizeSignOff._meta.get_field(name)
    if name == "id":
        return row.pk + 1000
    if field.is_relation:
        return random.choice([value for value in others[name] if value != getattr(row, field.attname)])
    old = getattr(row, name)
    return {
        "number": 1000,
        "ref": new_ref(),
        "state": "signed" if old != "signed" else "noted",
        "saw": {**row.saw, "evidence": "0" * 64},
        "at": timezone.now() + timezone.timedelta(days=1),
    }.get(name, f"{old}x"[-field.max_length :] if field.max_length else f"{old}x")


def _tamper(random: Random, others: Any) -> set[int]:
    """One act at random; returns the numbers of the sign-offs that it touched."""
    rows = list(SizeSignOff.objects.order_by("number"))
    row, other = random.sample(rows, 2)
    act = random.choice(["edit", "edit", "edit", "delete", "last", "swap", "exchange"])
    if act == "edit":
        name = random.choice([field.name for field in SizeSignOff._meta.concrete_fields])
        SizeSignOff.objects.filter(pk=row.pk).update(**{name: _edited(row, name, random, others)})
        return {row.number}
    if act in {"delete", "last"}:
        gone = rows[-1] if act == "last" else row
        gone.delete()
        return {gone.number}
    kept = ["size", "state", "note", "saw", "by_id", "by_ref", "at", "version_number"]
    if act == "exchange":  # the whole rows, but for their primary keys
        kept += ["number", "ref", "before", "seal"]
        SizeSignOff.objects.filter(pk=row.pk).update(number=5000, ref=new_ref())
    values, theirs = ({name: getattr(one, name) for name in kept} for one in (row, other))
    aside = {"number": 5001, "ref": new_ref()} if act == "exchange" else {}
    SizeSignOff.objects.filter(pk=row.pk).update(**theirs | aside)
    SizeSignOff.objects.filter(pk=other.pk).update(**values)
    if act == "exchange":
        SizeSignOff.objects.filter(pk=row.pk).update(number=other.number, ref=other.ref)
    return {row.number, other.number} if values != theirs else set()


def test_every_tampering_is_reported(signed: tuple[Cast, Version]):
    cast, version = signed
    assert verified() == {"checked": 12, "verified": True, "findings": []}
    second = make_version(version.pattern, version.body_chart.chart, cast.owner, number="0.10")
    others = {
        "studio": [cast.other_studio.pk],
        "version": [second.pk],
        "by": [None, make_person("Somebody Else").pk],
    }
    random, done = Random(14), 0
    while done < 50:
        with transaction.atomic():
            touched = _tamper(random, others)
            if touched:
                named = {one.number for one in verify_studio(cast.studio).found}
                assert touched <= named
                assert len(named - touched) <= 1
                done += 1
            transaction.set_rollback(True)
    assert verified()["verified"]


def test_what_was_done_is_told_apart(signed: tuple[Cast, Version]):
    assert verified()["verified"]
    SizeSignOff.objects.filter(number=2).update(note="but nothing")
    SizeSignOff.objects.get(number=12).delete()
    three, six = SizeSignOff.objects.get(number=3), SizeSignOff.objects.get(number=5)
    for row, other in ((three, six), (six, three)):
        SizeSignOff.objects.filter(pk=row.pk).update(
            **{name: getattr(other, name) for name in ("size", "state", "note", "saw", "by_id", "by_ref", "at")}
        )
    told = {one["number"]: (one["what"], one["other"], one["says"]) for one in verified()["findings"]}
    assert told[2] == ("edited", None, "Sign-off 2 (size 12 of 0.9) was edited after it was sealed.")
    assert told[3][:2] == ("swapped", 5)
    assert told[5][:2] == ("swapped", 3)
    assert told[12] == ("deleted", None, "Sign-off 12 (size 14 of 0.9) was deleted.")
    assert set(told) == {2, 3, 5, 12}


def test_two_rows_that_changed_places_name_each_other(signed: tuple[Cast, Version]):
    for number, then in ((1, 1000), (2, 1), (1000, 2)):
        SizeSignOff.objects.filter(number=number).update(number=then)
    told = [(one["number"], one["what"], one["other"]) for one in verified()["findings"]]
    assert told == [(1, "swapped", 2), (2, "swapped", 1)]


def test_another_key_verifies_nothing(signed: tuple[Cast, Version], settings: Any):
    settings.SIGN_OFF_KEY = "somebody else's"
    assert len(verified()["findings"]) == 12


def test_a_person_who_is_gone_leaves_the_seals_whole(signed: tuple[Cast, Version]):
    cast, _version = signed
    Person.objects.get(pk=cast.reviewer.pk).delete()
    assert verified("--studio", cast.studio.name)["verified"]


def test_an_unknown_studio_is_one_sentence():
    with pytest.raises(CommandError, match="There is no studio named Nowhere") as wrong:
        call_command("verify_signoffs", "--studio", "Nowhere")
    assert wrong.value.returncode == 2
