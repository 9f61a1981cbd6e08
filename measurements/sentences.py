"""Sentences of the pure modules: plain English with named places, ready to be translated.

A pure module knows no language and no reader. It hands out a `Sentence`; the page translates the
template and shows every length in it in the reader's units.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import TypeAlias

from measurements.length_display import BODY_STYLE

# A tuple is a row of names, told as a person lists them; a sentence may stand in a place of another.
Value: TypeAlias = "str | int | Decimal | tuple[str, ...] | Sentence"


class Word(str):
    """A word out of a catalogue: translated by itself, its letters left as they are."""

    __slots__ = ()

    def said(self, translate: Callable[[str], str]) -> str:
        """The word in the reader's language."""
        return translate(str(self)) if self else ""


class Term(Word):
    """A name out of a catalogue: translated by itself and written small inside a sentence, but for "A4"."""

    __slots__ = ()

    def said(self, translate: Callable[[str], str]) -> str:
        words = super().said(translate).split(" ")
        return " ".join(word if any(map(str.isdigit, word)) else word.lower() for word in words)


class Head(Word):
    """A name out of a catalogue that opens a sentence: translated by itself, its first letter large."""

    __slots__ = ()

    def said(self, translate: Callable[[str], str]) -> str:
        said = super().said(translate)
        return said[:1].upper() + said[1:]


def gettext_noop(text: str) -> str:
    """Mark a template for the translators and leave it as it is."""
    return text


def pgettext_noop(_context: str, text: str) -> str:
    """Mark a text that means something else elsewhere; the page translates it with the same context."""
    return text


_AND = gettext_noop("%(first)s and %(last)s")


def listed(names: Sequence[str], translate: Callable[[str], str] = str) -> str:
    """ "8", "8 and 10", "8, 10 and 12", joined in the reader's language."""
    if len(names) < 2:
        return "".join(names)
    return translate(_AND) % {"first": ", ".join(names[:-1]), "last": names[-1]}


@dataclass(frozen=True)
class Sentence:
    """One sentence: a code to tell it by, a %-template, the values of its places.

    A Decimal among the values is a length in millimetres, a tuple a row of names; words, terms and sentences are
    translated like the whole; text and whole numbers are shown as they are.
    """

    code: str
    template: str
    values: tuple[tuple[str, Value], ...] = ()

    def text(
        self,
        translate: Callable[[str], str] = str,
        show: Callable[[Decimal], str] = BODY_STYLE.both,
    ) -> str:
        """The sentence in the reader's language (`translate`) and units (`show`)."""

        def shown(value: Value) -> str | int:
            if isinstance(value, Sentence):
                return value.text(translate, show)
            if isinstance(value, tuple):
                return listed(value, translate)
            if isinstance(value, Word):
                return value.said(translate)
            return show(value) if isinstance(value, Decimal) else value

        return translate(self.template) % {name: shown(value) for name, value in self.values}

    def __str__(self) -> str:
        return self.text()


def sentence(code: str, template: str, **values: Value) -> Sentence:
    return Sentence(code, template, tuple(values.items()))
