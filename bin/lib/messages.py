"""Catalogues of translations: what the sources say, merged into locale/, and what is still wrong there.

A catalogue is kept as text (.po: one message after another in order, no line numbers, so that a change shows as
itself) and as what the app reads (.mo), which is made from it and kept beside it: a fresh copy needs no tools.
"""

from __future__ import annotations

import ast
import io
import re
import struct
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from pathlib import Path
from string import Formatter
from typing import Any

from babel.messages.extract import extract_python
from babel.messages.pofile import escape, read_po
from django.utils.translation.template import templatize

from people.dialect import in_us_words

from .steps import ROOT

APPS = ("people", "measurements", "releases", "testing_rounds", "config")
LOCALE = ROOT / "locale"
TRANSLATED = ("fr",)
US = "en_US"
# The first number of a catalogue in binary form, by the manual of GNU gettext ("The Format of GNU MO Files").
MAGIC = 0x950412DE
PLURALS = {"fr": (2, "(n > 1)"), US: (2, "(n != 1)")}
# Which argument of each function is the context, the text and the text for many.
CALLS: dict[str, tuple[int | None, int, int | None]] = {
    "_": (None, 0, None),
    "_lazy": (None, 0, None),
    "gettext": (None, 0, None),
    "gettext_lazy": (None, 0, None),
    "gettext_noop": (None, 0, None),
    "ngettext": (None, 0, 1),
    "ngettext_lazy": (None, 0, 1),
    "pgettext": (0, 1, None),
    "pgettext_lazy": (0, 1, None),
    "pgettext_noop": (0, 1, None),
    "npgettext": (0, 1, 2),
    "npgettext_lazy": (0, 1, 2),
}
IN_TEMPLATES = ("gettext", "_", "ngettext", "pgettext", "npgettext")


@dataclass(frozen=True, order=True)
class Msg:
    """A text of the sources: itself, its form for many (or ""), and the context that tells it from its like."""

    text: str
    many: str = ""
    context: str = ""


def sources() -> set[Msg]:
    """Every text of our modules and templates that is to be translated."""
    found: set[Msg] = set()
    for app in APPS:
        for path in sorted((ROOT / app).rglob("*.py")):
            if "migrations" not in path.parts:
                found.update(of_module(path.read_text(encoding="utf-8")))
    for path in sorted((ROOT / "templates").rglob("*.*")):
        if path.suffix in {".html", ".txt", ".svg", ".js", ".css", ".xml"}:
            found.update(of_template(path.read_text(encoding="utf-8")))
    return _joined(found)


def _joined(found: set[Msg]) -> set[Msg]:
    """A text that is said of one thing and, elsewhere, of many is one message."""
    counted = {(msg.text, msg.context) for msg in found if msg.many}
    return {msg for msg in found if msg.many or (msg.text, msg.context) not in counted}


def of_module(source: str) -> Iterator[Msg]:
    for call in (node for node in ast.walk(ast.parse(source)) if isinstance(node, ast.Call)):
        name = call.func.attr if isinstance(call.func, ast.Attribute) else getattr(call.func, "id", "")
        if name not in CALLS:
            continue
        context, text, many = CALLS[name]
        for said in _texts(call, text):
            for counted in _texts(call, many) or [""]:
                for meant in _texts(call, context) or [""]:
                    yield Msg(said, counted, meant)


def _texts(call: ast.Call, place: int | None) -> list[str]:
    """The texts that an argument may be: one, two where it is chosen by a condition, none where it is a name."""
    if place is None or len(call.args) <= place:
        return []
    return [
        part.value
        for part in _choices(call.args[place])
        if isinstance(part, ast.Constant) and isinstance(part.value, str) and part.value
    ]


def _choices(part: ast.expr) -> list[ast.expr]:
    return [*_choices(part.body), *_choices(part.orelse)] if isinstance(part, ast.IfExp) else [part]


def of_template(source: str) -> Iterator[Msg]:
    # Between brackets, line starts mean nothing to the reader of Python that follows.
    code = io.BytesIO(f"(\n{templatize(source)}\n)".encode())
    calls: Any = extract_python(code, dict.fromkeys(IN_TEMPLATES), [], {"encoding": "utf-8"})
    for _line, name, texts, _comments in calls:
        given = [text for text in (texts if isinstance(texts, tuple) else (texts,)) if text is not None]
        if not given:
            continue
        context = given.pop(0) if name in {"pgettext", "npgettext"} else ""
        many = given[1] if name in {"ngettext", "npgettext"} and len(given) > 1 else ""
        if given and given[0]:
            yield Msg(given[0], many, context)


# catalogues


Texts = dict[Msg, tuple[str, ...]]


def _forms(texts: Any) -> tuple[str, ...]:
    return tuple(texts) if isinstance(texts, (tuple, list)) else (str(texts),)


def po_path(language: str) -> Path:
    return LOCALE / language / "LC_MESSAGES" / "django.po"


def read(language: str) -> tuple[Texts, set[Msg]]:
    """The translations of a catalogue, and those of them that are marked as doubtful."""
    path = po_path(language)
    if not path.exists():
        return {}, set()
    with path.open("rb") as file:
        catalog = read_po(file, locale=language)
    texts: Texts = {}
    doubtful = set()
    for message in catalog:
        if not message.id:
            continue
        ids, said = _forms(message.id), _forms(message.string)
        msg = Msg(ids[0], ids[1] if len(ids) > 1 else "", message.context or "")
        texts[msg] = said
        doubtful.update([msg] if message.fuzzy else [])
    return texts, doubtful


def _head(language: str) -> list[str]:
    count, formula = PLURALS[language]
    return [
        "Content-Type: text/plain; charset=utf-8",
        "Content-Transfer-Encoding: 8bit",
        f"Language: {language}",
        f"Plural-Forms: nplurals={count}; plural={formula};",
    ]


def po_text(language: str, texts: Texts) -> str:
    """The catalogue as text, in order: every message, translated or not."""
    count, _formula = PLURALS[language]
    lines = ['msgid ""', 'msgstr ""', *(escape(f"{line}\n") for line in _head(language))]
    for msg in sorted(texts):
        lines += ["", *([f"msgctxt {escape(msg.context)}"] if msg.context else []), f"msgid {escape(msg.text)}"]
        if msg.many:
            forms = (*texts[msg], *[""] * count)[:count]
            lines.append(f"msgid_plural {escape(msg.many)}")
            lines += [f"msgstr[{number}] {escape(form)}" for number, form in enumerate(forms)]
        else:
            lines.append(f"msgstr {escape(texts[msg][0])}")
    return "\n".join([*lines, ""])


def mo_bytes(language: str, texts: Texts) -> bytes:
    """The catalogue in the binary form that gettext reads: a table of sorted texts, one of translations, then both."""
    known = {"": "".join(f"{line}\n" for line in _head(language))}
    for msg, said in texts.items():
        if all(said):
            counted = f"{msg.text}\0{msg.many}" if msg.many else msg.text
            known[f"{msg.context}\4{counted}" if msg.context else counted] = "\0".join(said)
    pairs = sorted((text.encode(), said.encode()) for text, said in known.items())
    tables, body, start = [b"", b""], b"", 28 + 16 * len(pairs)
    for side in (0, 1):
        for pair in pairs:
            tables[side] += struct.pack("<II", len(pair[side]), start + len(body))
            body += pair[side] + b"\0"
    head = struct.pack("<7I", MAGIC, 0, len(pairs), 28, 28 + 8 * len(pairs), 0, start)
    return head + tables[0] + tables[1] + body


def write(language: str, texts: Texts) -> None:
    path = po_path(language)
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_text(po_text(language, texts), encoding="utf-8")
    path.with_suffix(".mo").write_bytes(mo_bytes(language, texts))


def merged(found: Iterable[Msg], known: Texts) -> Texts:
    """Every message of the sources with the translation that is there; what no source says any more is left out."""
    return {msg: known.get(msg, ("", "") if msg.many else ("",)) for msg in found}


def us_texts(found: Iterable[Msg]) -> Texts:
    """The messages in which American sewing words differ."""
    texts = {
        msg: tuple(in_us_words(text) for text in ((msg.text, msg.many) if msg.many else (msg.text,))) for msg in found
    }
    return {msg: said for msg, said in texts.items() if said != ((msg.text, msg.many) if msg.many else (msg.text,))}


# what is wrong


_PERCENT = re.compile(r"%(?:\(\w+\))?[-+ #0]*\d*(?:\.\d+)?[sdifgr]|%%")
_TAG = re.compile(r"</?[a-zA-Z][^>]*>")


def places(text: str) -> list[str]:
    """The places for values and the tags of a text, in order of their names."""
    try:
        braces = [f"{{{name}}}" for _, name, _, _ in Formatter().parse(text) if name]
    except ValueError:
        braces = []
    return sorted([*_PERCENT.findall(text), *braces, *_TAG.findall(text)])


def wrong_with(msg: Msg, said: tuple[str, ...]) -> str:
    """Why a translation cannot stand, or nothing."""
    if not all(said) or (msg.many and len(said) < 2):
        return "not translated"
    wanted = [msg.text, msg.many] if msg.many else [msg.text]
    for form, source in zip(said, wanted, strict=False):
        # "one size" may leave its number out, and its counterpart may name it.
        allowed = [places(one) for one in wanted]
        if places(form) not in (allowed if source == msg.text and msg.many else [places(source)]):
            return f"places or tags differ: {places(source)} are {places(form)}"
        if source.endswith("\n") != form.endswith("\n") or source.startswith("\n") != form.startswith("\n"):
            return "begins or ends with another line break"
    return ""


def faults(language: str, found: Iterable[Msg]) -> list[str]:
    """A line for each message that is missing, doubtful, or whose places differ."""
    texts, doubtful = read(language)
    lines = [f"{msg.text!r}: {why}" for msg in sorted(found) if (why := wrong_with(msg, texts.get(msg, ())))]
    return [*lines, *(f"{msg.text!r}: marked as doubtful" for msg in sorted(doubtful))]
