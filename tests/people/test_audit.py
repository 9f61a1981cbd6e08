"""The trail of what was done is only ever added to."""

import pytest
from django.db import DatabaseError, connection, transaction

from people import audit
from people.models import AuditEntry, Person, Studio

pytestmark = pytest.mark.django_db


@pytest.fixture
def entry():
    studio = Studio.objects.create(name="Saltmarsh Row")
    person = Person.objects.create_user("imelda@saltmarsh.example", name="Imelda Tarrowby")
    audit.record(studio=studio, by=person, verb="round opened", thing=studio, content={"size": "18"})
    return AuditEntry.objects.get()


def test_an_entry_holds_refs_and_a_digest_but_no_words(entry):
    assert entry.studio_ref == entry.object_ref == Studio.objects.get().ref
    assert entry.actor_ref == Person.objects.get().ref
    assert len(entry.digest) == 64
    said = " ".join(str(value) for value in vars(entry).values())
    assert "Imelda" not in said
    assert "saltmarsh.example" not in said


@pytest.mark.parametrize(
    "attempt",
    [
        lambda entry: AuditEntry.objects.filter(pk=entry.pk).update(verb="nothing"),
        lambda entry: entry.delete(),
        lambda entry: connection.cursor().execute("UPDATE people_auditentry SET verb = 'nothing'"),
        lambda entry: connection.cursor().execute("DELETE FROM people_auditentry"),
    ],
    ids=["update", "delete", "raw update", "raw delete"],
)
def test_the_database_refuses_change(entry, attempt):
    with pytest.raises(DatabaseError, match="never changed"), transaction.atomic():
        attempt(entry)
    assert AuditEntry.objects.get(pk=entry.pk).verb == "round opened"


def test_the_same_content_has_the_same_digest_whatever_the_order_of_its_keys():
    assert audit.digest({"a": 1, "b": 2}) == audit.digest({"b": 2, "a": 1}) != audit.digest({"a": 1, "b": 3})
