"""Every answer, page or refusal, carries what keeps it private and its scripts ours."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import pytest
from django.db import transaction
from django.http import HttpResponse
from django.test import Client
from django.urls import reverse

from tests.factories import PASSWORD, make_person
from tests.house.roles_table import ROLES, RULES
from tests.house.roles_world import Route, World, routes, shared_world

pytestmark = pytest.mark.django_db

PAGES = [route for route in routes() if route.name in RULES and RULES[route.name].get]
# What one page does otherwise, and why: a call's picture is for everybody; a mail stands in a frame of its own page, in
# the style that it is sent with.
OTHERWISE = {"call_picture": {"not kept by others"}, "round_mail_html": {"no frames", "own styles"}}
REFERRER = {"same-origin", "strict-origin", "no-referrer"}


@pytest.fixture(scope="module")
def world(django_db_setup: None, django_db_blocker: Any) -> Iterator[World]:
    with shared_world(django_db_blocker) as made:
        yield made


def answer(world: World, role: str, method: str, address: str) -> HttpResponse:
    with transaction.atomic():
        found = getattr(world.browser(role), method.lower())(address)
        b"".join(found) if found.streaming else found.content
        transaction.set_rollback(True)
    return found


def missing(found: HttpResponse) -> list[str]:
    """What an answer lacks, or has and should not."""
    policy = dict(part.strip().partition(" ")[::2] for part in found.get("Content-Security-Policy", "").split(";"))
    scripts = policy.get("script-src", policy.get("default-src", "*"))
    styles = policy.get("style-src", policy.get("default-src", "*"))
    kept = found.get("Cache-Control", "")
    checks = {
        "nosniff": found.get("X-Content-Type-Options") == "nosniff",
        "no frames": found.get("X-Frame-Options") == "DENY",
        "referrer": found.get("Referrer-Policy") in REFERRER,
        "own window": found.get("Cross-Origin-Opener-Policy") == "same-origin",
        "nothing by default": policy.get("default-src") == "'none'",
        "own scripts": not set(scripts.split()) - {"'self'", "'none'"},
        "own styles": not set(styles.split()) - {"'self'", "'none'"},
        "not kept by others": {"private", "no-store"} <= set(kept.replace(" ", "").split(",")),
        "no promise of HTTPS on one's own machine": not found.has_header("Strict-Transport-Security"),
        "says its letters": "text/html" not in found["Content-Type"] or "charset=utf-8" in found["Content-Type"],
        "no open door": not found.has_header("Access-Control-Allow-Origin"),
    }
    return [name for name, holds in checks.items() if not holds]


@pytest.mark.parametrize("route", PAGES, ids=lambda route: route.name)
def test_every_page_carries_its_headers(world: World, route: Route) -> None:
    role = next(role for role in reversed(ROLES) if role in RULES[route.name].get.who)
    found = answer(world, role, "GET", route.address(world.named))
    assert found.status_code < 400
    assert set(missing(found)) == OTHERWISE.get(route.name, set())


def test_an_answer_without_them_is_noticed() -> None:
    bare = HttpResponse("hem", headers={"Strict-Transport-Security": "max-age=1", "Access-Control-Allow-Origin": "*"})
    assert len(missing(bare)) == 10


@pytest.mark.parametrize("method", ["GET", "POST", "DELETE", "TRACE"])
def test_every_refusal_does_too(world: World, method: str) -> None:
    for name in ("studio", "member_role", "tester_link", "photo"):
        route = next(route for route in routes() if route.name == name)
        found = answer(world, "anonymous", method, route.address(world.named, **{route.parts[0]: "bcdfghjkmn"}))
        assert found.status_code in {404, 405}
        assert missing(found) == []


def test_a_trace_gives_nothing_back(world: World) -> None:
    found = world.browser("anonymous").trace(reverse("home"), headers={"Cookie": "needle=1"})
    assert found.status_code == 405
    assert b"needle" not in found.content


def test_cookies_are_for_this_site_and_not_for_scripts() -> None:
    person, browser = make_person(), Client()
    browser.get(reverse("account_login"))
    browser.post(reverse("account_login"), {"login": person.email, "password": PASSWORD})
    assert {name: cookie["samesite"] for name, cookie in browser.cookies.items()} == {
        "csrftoken": "Lax",
        "sessionid": "Lax",
    }
    assert browser.cookies["sessionid"]["httponly"]
    assert not any(cookie["domain"] for cookie in browser.cookies.values())


def test_a_new_session_comes_with_a_new_name() -> None:
    """A session that was fixed beforehand opens nothing once somebody signs in with it."""
    person, browser = make_person(), Client()
    browser.get(reverse("account_login"))
    browser.session.save()
    before = browser.session.session_key
    browser.cookies["sessionid"] = before
    browser.post(reverse("account_login"), {"login": person.email, "password": PASSWORD})
    assert browser.cookies["sessionid"].value != before
