"""The newest round speaks for its version, on the version's page and in the studio's list."""

from __future__ import annotations

import pytest
from django.urls import reverse

from testing_rounds.models import Round
from tests.factories import make_cast, make_chart, signed_in
from tests.releases.things import make_pattern, make_version

pytestmark = pytest.mark.django_db


def test_the_newest_round_comes_first():
    cast = make_cast()
    chart = make_chart(cast.studio)
    version = make_version(make_pattern(cast.studio, cast.owner, chart=chart), chart, cast.owner)
    for number, state in enumerate(("closed", "sewing", "planned"), start=1):
        Round.objects.create(version=version, name=f"Round {number}", state=state)
    client = signed_in(cast.reviewer)
    page = client.get(reverse("version", args=[version.ref])).content.decode()
    assert page.index("Round 3") < page.index("Round 2") < page.index("Round 1")
    (line,) = client.get(reverse("studio", args=[cast.studio.ref])).context["lines"]
    assert line.next.standing.startswith("Round 3")
