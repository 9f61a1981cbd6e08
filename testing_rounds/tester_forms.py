"""Fields of a tester's page as a template shows them: what stands, what is wrong, what is asked again."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal

from django.utils.functional import Promise
from django.utils.translation import gettext
from django.utils.translation import gettext as _

from measurements.body_checks import body_queries
from measurements.length_display import BODY_STYLE, LengthStyle
from measurements.lengths import Length, LengthError, read_length
from measurements.translated import in_words
from testing_rounds.tester_book import Book
from testing_rounds.tester_families import find, shown, trouble

Words = str | Promise
SQUARE_STYLE = LengthStyle(inch_denominator=32, cm_step=Decimal("0.05"))
# A decimal keypad has no slash and no space, so fractions of an inch need the full one.
KEYPADS = {"cm": "decimal", "in": "text"}


@dataclass(frozen=True)
class Shown:
    """One field on a page. `value` is in it, `stands` is what was saved. `error` says why its text cannot be used,
    `ask` questions it, `echo` confirms it.
    """

    name: str
    kind: str
    label: Words
    hint: Words
    value: str
    stands: str
    error: str
    ask: str
    echo: str
    choices: tuple[tuple[str, Words], ...]
    unit: str
    most: int
    required: bool
    layout: str

    @property
    def id(self) -> str:
        return "f-" + self.name.replace(".", "-")

    @property
    def keypad(self) -> str:
        return KEYPADS.get(self.unit, "decimal")

    @property
    def answer(self) -> str:
        """The one sentence beside the field."""
        return self.error or self.ask or self.echo


@dataclass(frozen=True)
class Typed:
    """What a form without JavaScript brought along and could not be kept: shown again as it was typed."""

    fields: Mapping[str, str]
    refused: Mapping[str, str]


NOTHING = Typed({}, {})


class Page:
    """Makes the fields of one page from a tester's book."""

    def __init__(self, book: Book, typed: Typed = NOTHING) -> None:
        self.book, self.typed = book, typed
        self._asks: dict[str, str] | None = None

    def field(
        self,
        name: str,
        label: Words = "",
        hint: Words = "",
        *,
        choices: Sequence[tuple[str, Words]] = (),
        required: bool = False,
        layout: str = "",
        echo: Callable[[Length], str] | None = None,
    ) -> Shown:
        """One field by its name. Raises KeyError for a name that this round does not ask."""
        known = find(self.book, name)
        if known is None:
            raise KeyError(name)
        stands = shown(self.book, name, known)
        typed = name in self.typed.refused and not self.book.held(name)
        value = self.typed.fields.get(name, "") if typed else stands
        length = self._length(known.kind, value)
        error = self.typed.refused.get(name, "") or trouble(self.book, name)
        return Shown(
            name=name,
            kind=known.kind,
            label=label,
            hint=hint,
            value=value,
            stands=stands,
            error=error,
            ask=self.asks.get(name, "") if name.startswith("body.") else "",
            echo=(echo or other_system)(length) if length else "",
            choices=tuple(choices),
            unit=self.book.unit if known.kind == "length" else "",
            most=known.most,
            required=required,
            layout=layout,
        )

    @property
    def asks(self) -> dict[str, str]:
        """Questions beside the body measurements; they hold nothing up."""
        if self._asks is None:
            self._asks = body_asks(self.book)
        return self._asks

    def _length(self, kind: str, value: str) -> Length | None:
        if kind != "length" or not value:
            return None
        try:
            return read_length(value, self.book.unit)  # type: ignore[arg-type]
        except LengthError:
            return None


def other_system(length: Length, style: LengthStyle = BODY_STYLE) -> str:
    """A typed length in the unit that it was not typed in."""
    return "= " + style.text(length.mm, "cm" if length.unit == "in" else "in")


def square_in_other_system(length: Length) -> str:
    """A side of the test square in the other unit, to half a millimetre (1/32 in) as it is read from the ruler."""
    return other_system(length, SQUARE_STYLE)


def body_asks(book: Book) -> dict[str, str]:
    """{field name: question} on the body measurements of a book."""
    taken = {key: Length(row.mm, row.typed, row.unit) for key, row in book.body.items()}  # type: ignore[arg-type]
    asks: dict[str, str] = {}
    for query in body_queries(taken):
        for key in query.keys:
            asks.setdefault(f"body.{key}", in_words(query.sentence, first=book.unit))
    return asks


def translated(pairs: Sequence[tuple[str, str]]) -> list[tuple[str, str]]:
    """Choices of a pure module in the reader's language."""
    return [(value, gettext(label)) for value, label in pairs]


def units_field(page: Page) -> Shown:
    choices = [("cm", _("centimetres")), ("in", _("inches"))]
    return page.field("units", _("I measure in"), choices=choices, layout="swap")
