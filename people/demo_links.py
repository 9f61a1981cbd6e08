"""Links that sign in an invented person of the demo: on one's own machine only, see settings.DEMO_SIGN_IN."""

from __future__ import annotations

from django.conf import settings
from django.core import signing
from django.urls import reverse

from people.models import Person

SALT = "people.demo_links"
# Long enough to come back to a demo after a holiday; the link is made anew at every start.
MAX_AGE_SECONDS = 30 * 24 * 60 * 60
# Addresses under .example belong to nobody (RFC 2606, section 2), so no real person can be signed in.
INVENTED = ".example"


def demo_link(person: Person) -> str:
    """The path that signs the invented person in. Raises ValueError for anyone else, or where it is not allowed."""
    if not (settings.DEMO_SIGN_IN and is_invented(person)):
        raise ValueError("Only invented people of the demo have such a link, and only where DEMO_SIGN_IN is on.")
    return reverse("demo_sign_in", args=[signing.dumps(person.ref, salt=SALT)])


def is_invented(person: Person) -> bool:
    return person.email.endswith(INVENTED)


def person_of(token: str) -> Person | None:
    """Whom the link signs in; None for a link that is off, old, false, or names a real person."""
    if not settings.DEMO_SIGN_IN:
        return None
    try:
        ref = signing.loads(token, salt=SALT, max_age=MAX_AGE_SECONDS)
    except signing.BadSignature:
        return None
    person = Person.objects.filter(ref=ref, is_active=True).first()
    return person if person and is_invented(person) else None
