"""Templates keep to the content policy, and every page says one thing first."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from django.contrib.staticfiles import finders

from tests.house.project import TEMPLATES, files, shown

ALL = files(".html", ".svg", under=TEMPLATES)
NAMES = [str(path.relative_to(TEMPLATES)) for path in ALL]
EXTENDS = re.compile(r"""\{%-?\s*extends\s+["']([^"']+)["']""")
INCLUDE = re.compile(r"""\{%-?\s*include\s+["']([^"'#]+)["']""")
COMMENT = re.compile(r"\{#.*?#\}|\{%\s*comment.*?endcomment\s*%\}|<!--.*?-->", re.DOTALL)
FORBIDDEN = {
    "a style attribute": re.compile(r"""\sstyle\s*=\s*["'{]"""),
    "a handler in the markup": re.compile(r"""<[^>]*\son[a-z]+\s*=\s*["'{]""", re.IGNORECASE),
    "an hx-on handler": re.compile(r"\shx-on[:-]", re.IGNORECASE),
    "a js: value": re.compile(r"""["'\s](js|javascript):""", re.IGNORECASE),
    "a filter on a trigger": re.compile(r"""hx-trigger\s*=\s*["'][^"']*\["""),
    "a script in the page": re.compile(r"<script(?![^>]*\ssrc\s*=)(?![^>]*\stype\s*=\s*[\"']application/json)[^>]*>"),
}


def text_of(path: Path) -> str:
    return COMMENT.sub("", path.read_text(encoding="utf-8"))


def forbidden_in(text: str) -> list[str]:
    return [what for what, pattern in FORBIDDEN.items() if pattern.search(text)]


@pytest.mark.parametrize("path", ALL, ids=NAMES)
def test_a_template_keeps_to_the_content_policy(path):
    assert not forbidden_in(text_of(path))


@pytest.mark.parametrize(
    "markup",
    [
        '<p style="color: red">',
        '<button onclick="go()">',
        '<a hx-on:click="go()">',
        "<a href='javascript:go()'>",
        "<div hx-vals='js:{a: 1}'>",
        '<div hx-trigger="click[ready]">',
        "<script>go()</script>",
    ],
)
def test_what_the_policy_forbids_is_found(markup):
    assert len(forbidden_in(markup)) == 1


@pytest.mark.parametrize("path", ALL, ids=NAMES)
def test_a_static_file_named_in_a_template_exists(path):
    named = re.findall(r"""\{%-?\s*static\s+["']([^"'{]+)["']""", text_of(path))
    assert [name for name in named if finders.find(name) is None] == []


def parents(path: Path) -> list[Path]:
    """The templates that this one extends, nearest first."""
    found = EXTENDS.search(text_of(path))
    if found is None:
        return []
    parent = TEMPLATES / found[1]
    return [parent, *parents(parent)] if parent.exists() else []


def pages() -> list[Path]:
    """Templates that extend another and are not extended themselves."""
    extended = {parent for path in ALL for parent in parents(path)}
    return [path for path in ALL if EXTENDS.search(text_of(path)) and path not in extended]


def with_includes(path: Path, seen: frozenset[Path] = frozenset()) -> str:
    """The template's text with the templates that it includes by name put in their places."""

    def put_in(found: re.Match[str]) -> str:
        part = TEMPLATES / found[1]
        return with_includes(part, seen | {path}) if part.exists() and part not in seen else ""

    return INCLUDE.sub(put_in, text_of(path))


HEADING_OR_BRANCH = re.compile(r"<h1[\s>]|\{%-?\s*(if|elif|else|endif)\b")


def most_headings(text: str) -> int:
    """The most h1 that a page can show at once: of the branches of an if only one is shown."""
    open_ifs = [[0]]
    for found in HEADING_OR_BRANCH.finditer(text):
        if found[1] is None:
            open_ifs[-1][-1] += 1
        elif found[1] == "if":
            open_ifs.append([0])
        elif found[1] == "endif":
            shown_branch = max(open_ifs.pop())
            open_ifs[-1][-1] += shown_branch
        elif len(open_ifs) > 1:
            open_ifs[-1].append(0)
    return open_ifs[0][0]


@pytest.mark.parametrize("path", pages(), ids=shown)
def test_a_page_has_one_first_heading(path):
    assert sum(most_headings(with_includes(part)) for part in [path, *parents(path)]) == 1


@pytest.mark.parametrize(
    ("text", "most"),
    [
        ("<h1>Hem</h1>", 1),
        ("{% if late %}<h1>Late</h1>{% else %}<h1>In time</h1>{% endif %}", 1),
        ("{% if late %}{% if due %}<h1>Due</h1>{% endif %}<h1>Late</h1>{% endif %}", 2),
        ("{% if late %}Late{% endif %}<h2>Hem</h2>", 0),
    ],
)
def test_headings_are_counted_as_shown(text, most):
    assert most_headings(text) == most
