"""The booklet's parts as they are typed: one form, a row a notion, a tool and a piece; a form for each step."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from django import forms
from django.conf import settings
from django.http import QueryDict
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from measurements.fields import LengthInput
from measurements.lengths import Unit
from releases.booklet import ALLOWANCES, CutLine, clock, drawings
from releases.forms.patterns import bare
from releases.models import Notion, StepShown, Version

SPARE_ROWS = 3
_CLOCK = re.compile(r"^\s*(?:(\d{1,2}):)?(\d{1,3}):([0-5]\d)\s*$")


def _words(label: Any, help_text: Any = "") -> forms.CharField:
    return forms.CharField(
        label=label,
        help_text=help_text,
        required=False,
        max_length=settings.WORDS_CHARS,
        widget=forms.Textarea(attrs={"rows": 6}),
    )


@dataclass(frozen=True)
class NotionRow:
    """A row of the table, as it is stored or as it was sent."""

    prefix: str
    name: str = ""
    amount: str = ""
    optional: bool = False
    error: str = ""


@dataclass(frozen=True)
class PieceRow:
    """A piece of the cutting list with the two fields of the booklet."""

    line: CutLine
    drawing: str
    differs: str


class BookletForm(forms.Form):
    """What stands before the steps. The rows of notions, tools and pieces are read beside the fields."""

    suits = _words(gettext_lazy("Fabrics that suit"), gettext_lazy("One a line: cotton lawn, linen up to 150 g/m²."))
    unsuited = _words(gettext_lazy("Fabrics that do not"), gettext_lazy("One a line, with the reason."))
    printing = _words(
        gettext_lazy("How to print"),
        gettext_lazy("At 100 %, without fitting to the page; which layers; which pages for which size."),
    )
    seam_allowance = LengthInput(label=ALLOWANCES["seam_allowance"], required=False, most=Decimal(100))
    hem = LengthInput(label=ALLOWANCES["hem"], required=False, most=Decimal(300))
    notch = LengthInput(label=ALLOWANCES["notch"], required=False, most=Decimal(50))
    lining_offset = LengthInput(label=ALLOWANCES["lining_offset"], required=False, most=Decimal(300))

    def __init__(self, version: Version, unit: Unit, data: QueryDict | None = None) -> None:
        initial: dict[str, Any] = {name: getattr(version, name) for name in ("suits", "unsuited", "printing")}
        initial |= {name: bare(getattr(version, f"{name}_typed"), unit) for name in ALLOWANCES}
        super().__init__(data, initial=initial)
        self.version, self.sent = version, data
        for name in ALLOWANCES:
            field: Any = self.fields[name]
            field.unit = unit
        self.notions = self._rows(Notion.Kind.NOTION)
        self.tools = self._rows(Notion.Kind.TOOL)

    def _rows(self, kind: str) -> list[NotionRow]:
        if self.sent is None:
            known = [
                NotionRow("", row.name, row.amount, row.optional)
                for row in self.version.notions.all()
                if row.kind == kind
            ]
        else:
            known = list(self._sent(kind, self.sent))
        spare = [NotionRow("")] * SPARE_ROWS
        return [
            NotionRow(f"{kind}-{i}", row.name, row.amount, row.optional, row.error)
            for i, row in enumerate([*known, *spare])
        ]

    @staticmethod
    def _sent(kind: str, data: QueryDict) -> Iterator[NotionRow]:
        """The rows that say something, each with what is wrong about it."""
        names: set[str] = set()
        for i in range(settings.NOTIONS_PER_VERSION + SPARE_ROWS):
            name, amount = (data.get(f"{kind}-{i}-{part}", "").strip() for part in ("name", "amount"))
            if not name and not amount:
                continue
            error = _("Name it, or empty the row.") if not name else ""
            if len(name) > 80 or len(amount) > 80:
                error = _("At most 80 letters.")
            elif name.lower() in names:
                error = _("This one stands here twice.")
            names.add(name.lower())
            yield NotionRow("", name, amount, f"{kind}-{i}-optional" in data, error)

    def pieces(self) -> list[PieceRow]:
        """Every piece of the cutting list; a drawing of the piece's own name is left empty."""
        return [
            PieceRow(
                line,
                self._piece(line, "drawing", line.drawing if line.drawing != line.piece.name else "")[:60],
                self._piece(line, "differs", line.differs)[:200],
            )
            for drawing in drawings(self.version)
            for line in drawing.lines
        ]

    def _piece(self, line: CutLine, part: str, known: str) -> str:
        return known if self.sent is None else self.sent.get(f"piece-{line.key}-{part}", "").strip()

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or {}
        if any(row.error for row in (*self.notions, *self.tools)):
            raise forms.ValidationError(_("Look at the notions and tools: a row needs a word."))
        if sum(bool(row.name) for row in (*self.notions, *self.tools)) > settings.NOTIONS_PER_VERSION:
            raise forms.ValidationError(
                _("At most %(most)s notions and tools."), params={"most": settings.NOTIONS_PER_VERSION}
            )
        return cleaned

    def as_fields(self) -> dict[str, Any]:
        """What the action takes."""
        rows = [(Notion.Kind.NOTION, self.notions), (Notion.Kind.TOOL, self.tools)]
        notions = [
            {"kind": kind, "name": row.name, "amount": row.amount, "optional": row.optional}
            for kind, some in rows
            for row in some
            if row.name
        ]
        pieces = [
            {
                "piece": row.line.piece.name,
                "material": row.line.piece.material.name,
                "drawing": row.drawing,
                "differs": row.differs,
            }
            for row in self.pieces()
        ]
        return {**self.cleaned_data, "notions": notions, "pieces": pieces}


class ClockField(forms.CharField):
    """A time mark such as 4:05 or 1:02:30; whole seconds, or None when left empty."""

    def clean(self, value: Any) -> int | None:
        typed = super().clean(value)
        if not typed:
            return None
        found = _CLOCK.match(typed)
        if found is None:
            raise forms.ValidationError(_("Write minutes and seconds, such as 4:05."))
        hours, minutes, seconds = (int(part or 0) for part in found.groups())
        return (hours * 60 + minutes) * 60 + seconds

    def prepare_value(self, value: Any) -> Any:
        return clock(value) if isinstance(value, int) else value


class StepShownForm(forms.Form):
    """The picture and the lesson beside one step. The lesson's address is kept and printed; nothing is fetched."""

    picture = forms.FileField(
        label=gettext_lazy("Picture"),
        required=False,
        widget=forms.FileInput(attrs={"accept": "image/jpeg,image/png,image/webp,image/heic"}),
        help_text=gettext_lazy("JPEG, PNG, WebP or HEIC. It is written anew: place, time and device stay behind."),
    )
    remove_picture = forms.BooleanField(label=gettext_lazy("Take the picture out"), required=False)
    picture_says = forms.CharField(
        label=gettext_lazy("What the picture shows"),
        required=False,
        max_length=200,
        help_text=gettext_lazy("It is read out to those who cannot see it."),
    )
    lesson_url = forms.URLField(
        label=gettext_lazy("Address of the lesson"), required=False, max_length=300, assume_scheme="https"
    )
    lesson_seconds = ClockField(
        label=gettext_lazy("From"),
        required=False,
        max_length=10,
        help_text=gettext_lazy("Minutes and seconds, such as 4:05."),
        widget=forms.TextInput(attrs={"class": "short", "inputmode": "text"}),
    )

    def __init__(self, *args: Any, shown: StepShown | None, **kwargs: Any) -> None:
        names = ("picture_says", "lesson_url", "lesson_seconds")
        super().__init__(*args, **{"initial": {name: getattr(shown, name, None) for name in names}, **kwargs})
        self.shown = shown
        if not (shown and shown.picture):
            del self.fields["remove_picture"]

    def clean_lesson_url(self) -> str:
        url = str(self.cleaned_data["lesson_url"])
        if url and not url.startswith(("https://", "http://")):
            raise forms.ValidationError(_("The address begins with https://."))
        return url

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or {}
        if cleaned.get("lesson_seconds") is not None and not cleaned.get("lesson_url") and not self.errors:
            self.add_error("lesson_url", _("A time mark needs the address of its lesson."))
        has_picture = cleaned.get("picture") or (
            self.shown and self.shown.picture and not cleaned.get("remove_picture")
        )
        if has_picture and not cleaned.get("picture_says"):
            self.add_error("picture_says", _("Say in a few words what the picture shows."))
        return cleaned
