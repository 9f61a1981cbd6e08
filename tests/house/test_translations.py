"""All that a person reads goes through gettext: in templates and in forms, models and messages."""

from __future__ import annotations

import ast
import re
from html.parser import HTMLParser
from pathlib import Path

import pytest
from django.template.base import Lexer, Token, TokenType

from tests.house.project import TEMPLATES, app_modules, files, shown, tree

# The same in every language: our name, units, kinds of file and of paper.
KEPT = re.compile(r"\b(Second Toile|cm|mm|in|PDF|CSV|XLSX|JSON|A0|A4|v)\b")
SEEN_ATTRIBUTES = {"alt", "title", "placeholder", "aria-label", "aria-description", "label", "content"}
UNSEEN_TAGS = {"blocktranslate", "blocktrans", "comment", "verbatim"}
# The keys of a keyboard are the same in every language.
UNSEEN_ELEMENTS = {"script", "style", "kbd"}
# Named arguments of fields and models whose value is shown to people.
SEEN_ARGUMENTS = {"label", "help_text", "verbose_name", "verbose_name_plural", "empty_label"}


class VisibleText(HTMLParser):
    """Collects what a person would see or hear of a page, with its line."""

    def __init__(self) -> None:
        super().__init__()
        self.found: list[tuple[int, str]] = []
        self.hidden = 0

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.hidden += tag in UNSEEN_ELEMENTS
        named = dict(attrs)
        for name, value in attrs:
            if name in SEEN_ATTRIBUTES and value and not (tag == "meta" and named.get("name") != "description"):
                self.found.append((self.getpos()[0], value))
            if name == "value" and tag == "input" and named.get("type") in {"submit", "button"} and value:
                self.found.append((self.getpos()[0], value))

    def handle_endtag(self, tag: str) -> None:
        self.hidden -= tag in UNSEEN_ELEMENTS

    def handle_data(self, data: str) -> None:
        if not self.hidden:
            self.found.append((self.getpos()[0], data))


def without_translated(source: str) -> str:
    """The template with tags, variables and translated blocks blanked, its lines kept."""
    kept, inside = [], ""
    for token in Lexer(source).tokenize():
        words = token.contents.split() if token.token_type == TokenType.BLOCK else []
        if inside:
            inside = "" if words[:1] == [f"end{inside}"] else inside
            kept.append(_blank(token))
        elif words[:1] and (words[0] in UNSEEN_TAGS or _fills_an_attribute(words)):
            inside = words[0]
            kept.append(_blank(token))
        else:
            kept.append(token.contents if token.token_type == TokenType.TEXT else _blank(token))
    return "".join(kept)


def _fills_an_attribute(words: list[str]) -> bool:
    """A block whose name says that it holds classes or attributes, such as `block sheet_class`."""
    return words[0] == "block" and words[1].endswith(("_class", "_attributes"))


def _blank(token: Token) -> str:
    return " " + "\n" * token.contents.count("\n")


def untranslated(source: str, *, is_html: bool = True) -> list[str]:
    """Each visible piece of text that no translation reaches, with its line."""
    bare = without_translated(source)
    parser = VisibleText()
    if is_html:
        parser.feed(bare)
        parser.close()
        found = parser.found
    else:
        found = list(enumerate(bare.splitlines(), start=1))
    return [f"line {line}: {text.strip()}" for line, text in found if re.search(r"[^\W\d_]", KEPT.sub("", text))]


TEMPLATE_FILES = files(".html", ".txt", under=TEMPLATES)


@pytest.mark.parametrize("path", TEMPLATE_FILES, ids=shown)
def test_a_template_shows_translated_text_only(path):
    assert not untranslated(path.read_text(encoding="utf-8"), is_html=path.suffix == ".html")


@pytest.mark.parametrize(
    "source",
    [
        "<p>The waist is tight</p>",
        '<p>{% translate "Waist" %} is tight</p>',
        "<img alt='A toile'>",
        "<input placeholder='34 1/2 please'>",
        "<input type='submit' value='Send'>",
        "{% if late %}late{% endif %}",
    ],
)
def test_text_that_no_translation_reaches_is_found(source):
    assert untranslated(source)


@pytest.mark.parametrize(
    "source",
    [
        "{% blocktranslate trimmed %}The waist is tight{% endblocktranslate %}",
        "<p class='said' data-kind='words'>{{ report.words }}</p>",
        "<b>34 cm</b> {# a remark #}{% comment %}another{% endcomment %}",
        "<script src='a.js'></script><meta name='viewport' content='width=device-width'>",
        "{% translate 'Send' %}",
        "{% block sheet_class %}wide{% endblock %}",
    ],
)
def test_text_that_needs_no_translation_is_left_alone(source):
    assert untranslated(source) == []


def bare_texts(module: ast.Module) -> list[str]:
    """Words for people given as plain text: named arguments of fields, messages, form errors."""
    found = []
    for call in (node for node in ast.walk(module) if isinstance(node, ast.Call)):
        seen = [keyword.value for keyword in call.keywords if keyword.arg in SEEN_ARGUMENTS]
        seen += call.args[1:2] if _is_message(call.func) else []
        seen += call.args[:1] if _name(call.func) == "ValidationError" else []
        found += [f"line {part.lineno}: {part.value}" for part in seen if _is_words(part)]
    return found


def _is_words(part: ast.expr) -> bool:
    return isinstance(part, ast.Constant) and isinstance(part.value, str) and bool(re.search(r"[^\W\d_]", part.value))


def _is_message(function: ast.expr) -> bool:
    return (
        isinstance(function, ast.Attribute) and isinstance(function.value, ast.Name) and function.value.id == "messages"
    )


def _name(function: ast.expr) -> str:
    return function.attr if isinstance(function, ast.Attribute) else getattr(function, "id", "")


MODULES: list[Path] = [path for _, path in app_modules()]


def knows_forms(path: Path) -> bool:
    """Dataclasses of the pure modules have labels too; only what Django shows is meant."""
    return "django" in path.read_text(encoding="utf-8")


@pytest.mark.parametrize("path", [path for path in MODULES if knows_forms(path)], ids=shown)
def test_forms_models_and_messages_use_gettext(path):
    assert not bare_texts(tree(path))


@pytest.mark.parametrize(
    "source",
    ['forms.CharField(label="Waist")', 'messages.success(request, "Saved.")', 'raise ValidationError("Too long.")'],
)
def test_a_plain_text_for_people_is_found(source):
    assert bare_texts(ast.parse(source))


def test_a_text_through_gettext_is_left_alone():
    assert bare_texts(ast.parse('forms.CharField(label=_("Waist")); messages.success(request, _("Saved."))')) == []
