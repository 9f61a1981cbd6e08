"""Sentences of the pure modules: plain English with named places, ready to be translated.

A pure module knows no language and no reader. It hands out a `Sentence`; the page translates the
template and shows every length in it in the reader's units.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from decimal import Decimal

from measurements.length_display import BODY_STYLE

Value = str | int | Decimal


class Term(str):
    """A name out of a catalogue: translated by itself and written small inside a sentence."""

    __slots__ = ()


def gettext_noop(text: str) -> str:
    """Mark a template for the translators and leave it as it is."""
    return text


@dataclass(frozen=True)
class Sentence:
    """One sentence: a code to tell it by, a %-template, the values of its places.

    A Decimal among the values is a length in millimetres; text and whole numbers are shown as they are.
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
            if isinstance(value, Term):
                return translate(str(value)).lower()
            return show(value) if isinstance(value, Decimal) else value

        return translate(self.template) % {name: shown(value) for name, value in self.values}

    def __str__(self) -> str:
        return self.text()


def sentence(code: str, template: str, **values: Value) -> Sentence:
    return Sentence(code, template, tuple(values.items()))
