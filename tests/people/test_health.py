"""The page for whatever watches over the server."""

from __future__ import annotations

import pytest
from django.db import OperationalError, connection
from django.test import Client
from django.urls import reverse


@pytest.mark.django_db
def test_yes_while_the_database_answers(django_assert_num_queries) -> None:
    with django_assert_num_queries(1):
        answer = Client().get(reverse("health"))
    assert (answer.status_code, answer.content) == (200, b"yes\n")
    assert "no-store" in answer["Cache-Control"]


def test_no_and_not_a_word_more_when_it_does_not(monkeypatch) -> None:
    def away() -> None:
        raise OperationalError("could not connect to server at 10.1.2.3")

    monkeypatch.setattr(connection, "cursor", away)
    answer = Client().get(reverse("health"))
    assert (answer.status_code, answer.content) == (503, b"no\n")
