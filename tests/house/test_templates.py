"""Templates keep to the content policy, and every page says one thing first."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

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


def headings(path: Path, seen: frozenset[Path] = frozenset()) -> int:
    """How many h1 a template and what it includes hold."""
    text = text_of(path)
    included = [TEMPLATES / name for name in INCLUDE.findall(text)]
    inside = sum(headings(part, seen | {path}) for part in included if part.exists() and part not in seen)
    return len(re.findall(r"<h1[\s>]", text)) + inside


@pytest.mark.parametrize("path", pages(), ids=shown)
def test_a_page_has_one_first_heading(path):
    assert sum(headings(part) for part in [path, *parents(path)]) == 1
