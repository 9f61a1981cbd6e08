"""Every model says what it is, and what has an address is known outside by its opaque ref alone."""

from __future__ import annotations

import pytest
from django.apps import apps
from django.db import models
from django.urls import URLPattern, URLResolver, get_resolver

from tests.house.project import APPS

OURS = [model for name in APPS for model in apps.get_app_config(name).get_models()]
PRIVATE_NAMES = {"pk", "id"}


@pytest.mark.parametrize("model", OURS, ids=lambda model: model.__name__)
def test_a_model_says_what_it_is(model):
    assert model.__str__ is not models.Model.__str__, f"{model.__name__} needs a __str__"


@pytest.mark.parametrize("model", OURS, ids=lambda model: model.__name__)
def test_a_model_with_pages_has_an_opaque_ref(model):
    if hasattr(model, "get_absolute_url"):
        ref = model._meta.get_field("ref")
        assert ref.unique, f"{model.__name__}.ref must be unique"
        assert not ref.editable, f"{model.__name__}.ref must not be a field of a form"
        assert ref.get_default() != ref.get_default(), f"{model.__name__}.ref must differ for each"


def routes(resolver: URLResolver | None = None, before: str = "") -> list[tuple[str, set[str]]]:
    """Each route as it is written, with the names of what it takes from the address."""
    found = []
    for pattern in (resolver or get_resolver()).url_patterns:
        written = before + str(pattern.pattern)
        if isinstance(pattern, URLPattern):
            found.append((written, set(pattern.pattern.converters)))
        else:
            found += routes(pattern, written)
    return found


def test_no_address_holds_a_primary_key():
    wrong = [
        route
        for route, names in routes()
        if any(name in PRIVATE_NAMES or name.endswith(("_pk", "_id")) for name in names)
    ]
    assert not wrong
