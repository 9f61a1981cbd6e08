"""A mail's text and its HTML say the same; what is typed by people stays words."""

from __future__ import annotations

import re
from html import unescape

import pytest

from people.mail import as_html, in_both_forms, look, look_source
from people.mail_parts import Doing, Words, mail_parts

PAGE = "https://studio.example/t/abc/"


@pytest.mark.parametrize(
    ("body", "parts"),
    [
        ("Hello Nell,\n\nit fits.", [Words(("Hello Nell,",)), Words(("it fits.",))]),
        ("Your link:\n\n" + PAGE, [Doing("Your link", PAGE, True)]),
        ("Read it here:\n" + PAGE, [Doing("Read it here", PAGE, True)]),
        ("It is due. Your page:\n\n" + PAGE, [Words(("It is due.",)), Doing("Your page", PAGE, True)]),
        (f"More days: {PAGE}\nStop: {PAGE}?to=stop",
         [Doing("More days", PAGE, True), Doing("Stop", f"{PAGE}?to=stop", False)]),
        ("Sew it.\n\n" + PAGE, [Words(("Sew it.",)), Doing(PAGE, PAGE, True)]),
        ("Starts: Monday\nEnds: Friday", [Words(("Starts: Monday", "Ends: Friday"))]),
        ("See https://a.example/ for more", [Words(("See https://a.example/ for more",))]),
    ],
)  # fmt: skip
def test_the_parts_of_a_text(body, parts):
    assert mail_parts(body) == parts


def test_both_forms_have_the_same_words_and_addresses():
    body = f"Hello,\n\nthe waist is 2 < 3.\n\nYour link, without a password:\n\n{PAGE}\n\nSecond Toile\n"
    mail = in_both_forms("It is due", body, "nell@post.example", {"X-A": "b"})
    assert mail.body == body
    (page,) = mail.alternatives
    words = unescape(re.sub(r"<[^>]+>", " ", page.content.split("</style>")[1]))
    for said in ("It is due", "Hello,", "the waist is 2 < 3.", "Your link, without a password", "Second Toile"):
        assert said in words
    assert f'href="{PAGE}"' in page.content
    assert page.mimetype == "text/html"
    assert mail.extra_headers == {"Auto-Submitted": "auto-generated", "X-A": "b"}


def test_what_a_person_typed_is_no_markup_and_nothing_is_fetched():
    page = as_html("<b>Hem</b>", "<img src=https://spy.example/x.png>\n\n<script>go()</script>")
    assert "<img" not in page
    assert "<script" not in page
    assert "<b>" not in page
    assert "url(" not in page


def test_the_policy_of_a_preview_names_the_look_by_its_digest():
    assert look() in as_html("a", "b")
    assert re.fullmatch(r"'sha256-[A-Za-z0-9+/]{43}='", look_source())
