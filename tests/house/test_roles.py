"""Every route, asked by seven readers with every method: each gets what the table of rules says, or 404."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator
from typing import Any

import pytest
from django.db import connection, transaction
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from tests.house.roles_table import ROLES, RULES, STUDIO, Grant, Rule
from tests.house.roles_world import MADE_UP, Route, World, routes, shared_world

pytestmark = [pytest.mark.django_db, pytest.mark.one_database]

ROUTES = routes()
METHODS = ("GET", "POST", "DELETE", "TRACE")
SIGN_IN = "sign-in"
# Where an answer is written down for the next one: not a change of anything that people keep.
OWN_BOOKS = ('"django_session"', '"cache_entries"')


@pytest.fixture(scope="module")
def world(django_db_setup: None, django_db_blocker: Any) -> Iterator[World]:
    with shared_world(django_db_blocker) as made:
        yield made


def each(routes: Iterable[Route]) -> pytest.MarkDecorator:
    return pytest.mark.parametrize("route", list(routes), ids=lambda route: route.name)


def ask(world: World, role: str, method: str, address: str, rule: Rule, **options: Any) -> tuple[Any, list[str]]:
    """The answer, and the statements that wrote something. Nothing of it stays."""
    client = world.browser(role, **options)
    with transaction.atomic(), CaptureQueriesContext(connection) as asked:
        data = {"data": rule.data} if method == "POST" else {}
        response = getattr(client, method.lower())(address, **data)
        b"".join(response) if response.streaming else response.content
        transaction.set_rollback(True)
    return response, [query["sql"] for query in asked.captured_queries if _writes(query["sql"])]


def _writes(sql: str) -> bool:
    return sql.startswith(("INSERT", "UPDATE", "DELETE")) and not any(table in sql for table in OWN_BOOKS)


def grant_of(rule: Rule, method: str) -> Grant | None:
    return {"GET": rule.get, "HEAD": rule.get, "POST": rule.post}.get(method)


def expected(rule: Rule, role: str, method: str) -> set[int | str]:
    grant = grant_of(rule, method)
    if grant is None:
        return {405}
    if role in grant.who:
        return set(grant.answers)
    return {SIGN_IN} if rule.sign_in else {404}


def may_write(rule: Rule, role: str, method: str) -> bool:
    grant = grant_of(rule, method)
    return bool(grant and role in grant.who and (method == "POST" or rule.get_writes))


def told(response: Any) -> int | str:
    to_sign_in = response.status_code == 302 and response["Location"].startswith(reverse("account_login") + "?next=")
    return SIGN_IN if to_sign_in else response.status_code


def test_every_route_has_a_rule_and_every_rule_a_route() -> None:
    assert sorted(route.name for route in ROUTES) == sorted(RULES)


@each(ROUTES)
def test_each_reader_gets_what_the_rule_says(world: World, route: Route) -> None:
    """The answer; and that a refusal writes nothing, nor does opening a page."""
    rule, address = RULES[route.name], route.address(world.named)
    wrong = []
    for role in ROLES:
        for method in METHODS:
            response, written = ask(world, role, method, address, rule)
            if told(response) not in expected(rule, role, method):
                wrong.append(f"{role}, {method}: {told(response)}, not {expected(rule, role, method)}")
            if written and not may_write(rule, role, method):
                wrong.append(f"{role}, {method} writes: {written[0][:120]}")
    assert not wrong, f"{address}\n" + "\n".join(wrong)


@each(ROUTES)
def test_other_methods(world: World, route: Route) -> None:
    """HEAD is GET without its content; PUT and PATCH are nobody's."""
    rule, address = RULES[route.name], route.address(world.named)
    role = next(role for role in reversed(ROLES) if role in (rule.get or rule.post).who)
    head, _ = ask(world, role, "HEAD", address, rule)
    assert head.status_code in expected(rule, role, "HEAD")
    assert not head.getvalue()
    for method in ("PUT", "PATCH"):
        assert ask(world, role, method, address, rule)[0].status_code == 405


@each(route for route in ROUTES if route.parts)
def test_a_stranger_cannot_tell_what_exists(world: World, route: Route) -> None:
    """What exists and what does not answer alike: status, headers that lead on, words."""
    rule = RULES[route.name]
    method = "GET" if rule.get else "POST"
    let_in = grant_of(rule, method).who
    wrong = []
    for role in [role for role in ROLES if role not in let_in]:
        inside = role in STUDIO and let_in <= STUDIO
        there, nowhere = route.address(world.named), _made_up(route, world, route.parts[-1 if inside else 0])
        seen = [
            _seen(ask(world, role, method, address, rule)[0], address.strip("/").split("/")[1:])
            for address in (there, nowhere)
        ]
        if seen[0] != seen[1]:
            wrong.append(f"{role}: {seen[0][:2]} where it exists, {seen[1][:2]} where it does not")
    assert not wrong, "\n".join(wrong)


def _made_up(route: Route, world: World, part: str) -> str:
    """The address with one part made up: for a stranger the first one, for the studio's own people the last."""
    return route.address(world.named, **{part: 99 if world.named[route.key(part)].isdigit() else MADE_UP})


def _seen(response: Any, parts: list[str]) -> tuple[int, str, str]:
    """What a reader sees, but for the names that they asked for themselves."""
    text = re.sub(r'name="csrfmiddlewaretoken" value="\w+"', "", response.content.decode())
    for part in parts:
        text = text.replace(part, "NAME")
    return response.status_code, response.get("Location", ""), text


@each(route for route in ROUTES if route.parts)
def test_a_thing_that_does_not_exist_is_not_found(world: World, route: Route) -> None:
    """Whichever part of the address is made up, nobody gets a page, a 403 or a fault."""
    rule = RULES[route.name]
    method = "GET" if rule.get else "POST"
    wrong = []
    for part in route.parts:
        if part in MADE_UP_ELSEWHERE.get(route.name, ()):
            continue
        value = 99 if world.named[route.key(part)].isdigit() else MADE_UP
        for role in ROLES:
            response, _ = ask(world, role, method, route.address(world.named, **{part: value}), rule)
            if response.status_code != 404:
                wrong.append(f"{part} made up, {role}: {response.status_code}")
    assert not wrong, "\n".join(wrong)


# Where a made-up part has an answer of its own, tested with the page.
MADE_UP_ELSEWHERE = {
    "account_confirm_email": ("key",),
    "account_reset_password_from_key": ("uidb36", "key"),
    "test_step": ("number",),  # steps of a version without a list are told by their numbers
    "test_take_back": ("kind",),
}


@each(r for r in ROUTES if r.name in RULES and RULES[r.name].post and not RULES[r.name].no_token)
def test_no_form_is_taken_without_its_token(world: World, route: Route) -> None:
    rule, address = RULES[route.name], route.address(world.named)
    for role in ROLES:
        response, written = ask(world, role, "POST", address, rule, enforce_csrf_checks=True)
        assert response.status_code == 403, role
        assert not written


# Another's thing under one's own address: the role whose address it is, the part that is another's.
CROSSED = [
    ("member_role", "owner", "person_ref", "outsider"),
    ("member_remove", "owner", "person_ref", "outsider"),
    ("invitation_revoke", "owner", "invitation_ref", "other invitation"),
    ("test_file", "tester", "file_ref", "other file"),
    ("test_photo", "tester", "photo_ref", "other photo"),
    ("test_photo_change", "tester", "photo_ref", "other photo"),
    ("test_photo_parts", "tester", "arriving_ref", "other arriving"),
    ("test_photo_stop", "tester", "arriving_ref", "other arriving"),
]


@pytest.mark.parametrize(("name", "role", "part", "other"), CROSSED)
def test_another_s_thing_is_not_found_under_one_s_own_address(
    world: World, name: str, role: str, part: str, other: str
) -> None:
    route = next(route for route in ROUTES if route.name == name)
    address, rule = route.address(world.named, **{part: world.others[other]}), RULES[name]
    for method in [method for method in ("GET", "POST") if grant_of(rule, method)]:
        response, written = ask(world, role, method, address, rule)
        assert (response.status_code, written) == (404, []), method
