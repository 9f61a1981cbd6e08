"""The booklet of a version as its parts: what is declared, notions and tools, drawings and their pieces, steps."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from typing import Any

from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from measurements.allowance_pairs import DEFAULT_PAIRS
from measurements.length_display import ALLOWANCE_STYLE
from measurements.printed_pairs import read_text
from measurements.translated import by_locale, in_words
from releases.cautions import Caution, cautions_by_step, missing_cautions, pattern_cautions
from releases.models import Notion, Pattern, Piece, StepShown, Version

# The declared lengths, each a pair of columns of a version: NAME_mm and NAME_typed.
ALLOWANCES = {
    "seam_allowance": gettext_lazy("Seam allowance"),
    "hem": gettext_lazy("Hem"),
    "notch": gettext_lazy("Notches"),
    "lining_offset": gettext_lazy("Lining shorter by"),
}


@dataclass(frozen=True)
class CutLine:
    """A piece that a drawing yields: how it is cut, and where it differs from the drawing."""

    piece: Piece
    drawing: str
    differs: str
    first: bool

    @property
    def key(self) -> str:
        return f"{self.piece.pk}"

    @property
    def how(self) -> str:
        """ "cut 1 on the fold, shell" """
        said = {"count": self.piece.count, "cut": self.piece.get_cut_display()}
        return _("cut %(count)s %(cut)s") % said


@dataclass(frozen=True)
class DrawingLines:
    """One drawing of the pattern and the pieces that are cut from it."""

    name: str
    lines: tuple[CutLine, ...]

    @property
    def several(self) -> bool:
        return len(self.lines) > 1


@dataclass(frozen=True)
class StepLine:
    """A step as the booklet prints it, with its cautions, its picture and its lesson."""

    number: int
    text: str
    cautions: tuple[str, ...]
    shown: StepShown | None

    @property
    def lesson(self) -> str:
        """The address of the lesson at its time mark."""
        return lesson_address(self.shown) if self.shown else ""

    @property
    def at(self) -> str:
        return clock(self.shown.lesson_seconds) if self.shown and self.shown.lesson_seconds is not None else ""


def allowances(version: Version) -> list[tuple[str, str]]:
    """What is declared, as it is printed: ("Seam allowance", "1 cm (3/8 in)")."""
    told = ((label, getattr(version, f"{name}_mm")) for name, label in ALLOWANCES.items())
    return [(str(label), paired(mm)) for label, mm in told if mm is not None]


def paired(mm: Decimal) -> str:
    """A length in both units, by the table of pairs where it is one of them."""
    exact = next((one for one in DEFAULT_PAIRS if one.mm == mm or one.exact_mm == mm), None)
    return by_locale(exact.text() if exact else ALLOWANCE_STYLE.both(mm))


def amount(text: str) -> str:
    """An amount in both units: a length that stands alone gets its partner in brackets."""
    _pairs, alone = read_text(text)
    for one in sorted(alone, key=lambda found: -found.end):
        mm = Decimal(Fraction(one.mm).numerator) / Fraction(one.mm).denominator
        other = paired(mm)
        metric, inches = re.split(r"\s*\(", other.rstrip(")"), maxsplit=1) if "(" in other else (other, "")
        partner = metric if one.unit == "in" else inches
        if partner:
            text = f"{text[: one.end]} ({partner}){text[one.end :]}"
    return text


def notions(version: Version, kind: str) -> tuple[list[Notion], list[Notion]]:
    """What is needed, and what is optional."""
    rows = [row for row in version.notions.all() if row.kind == kind]
    return [row for row in rows if not row.optional], [row for row in rows if row.optional]


def drawings(version: Version) -> list[DrawingLines]:
    """The drawings in the order of the cutting list. Without a word about it, pieces of one name share one."""
    pieces = list(
        Piece.objects.filter(material__version=version)
        .select_related("material")
        .order_by("material__number", "number")
    )
    notes = {(note.piece, note.material): note for note in version.piece_notes.all()}
    found: dict[str, list[tuple[Piece, str]]] = {}
    for piece in pieces:
        note = notes.get((piece.name, piece.material.name))
        name = (note.drawing if note else "") or piece.name
        key = next((known for known in found if known.lower() == name.lower()), name)
        found.setdefault(key, []).append((piece, note.differs if note else ""))
    return [
        DrawingLines(name, tuple(CutLine(piece, name, differs, not i) for i, (piece, differs) in enumerate(some)))
        for name, some in found.items()
    ]


def step_lines(version: Version) -> list[StepLine]:
    """The steps with what belongs to each. Three queries."""
    steps = list(version.steps.values_list("number", "text"))
    shown = {one.number: one for one in version.steps_shown.all()}
    cautions = cautions_by_step(steps, for_children=version.pattern.for_children)
    return [StepLine(n, text, said_of(cautions.get(n, ())), shown.get(n)) for n, text in steps]


def said_of(cautions: Iterable[Caution]) -> tuple[str, ...]:
    return tuple(in_words(one.says) for one in cautions)


def cautions_of(pattern: Pattern, *, to_buyers: bool = False) -> tuple[str, ...]:
    """What a pattern shows as a whole, on its page, its call and its booklet; the words about it are read for it.

    What testers alone must know is left out `to_buyers`.
    """
    found = pattern_cautions(for_children=pattern.for_children, words=f"{pattern.name} {pattern.about}")
    return said_of(one for one in found if not (to_buyers and one.kind == "adults"))


def lacking_cautions(version: Version) -> list[tuple[int, str, str]]:
    """(step, what is missing, what to say there): for the booklet's words alone, before the app adds its cautions."""
    steps = list(version.steps.values_list("number", "text"))
    found = missing_cautions(steps, for_children=version.pattern.for_children)
    return [(one.step, in_words(one.says), _(one.proposed)) for one in found]


def lesson_address(shown: StepShown) -> str:
    """The lesson's address with its time mark as a media fragment (`#t=`), unless it has a fragment of its own."""
    url, seconds = shown.lesson_url, shown.lesson_seconds
    return f"{url}#t={seconds}" if url and seconds is not None and "#" not in url else url


def clock(seconds: int | None) -> str:
    """75 is "1:15"; 3675 is "1:01:15"."""
    if seconds is None:
        return ""
    minutes, rest = divmod(seconds, 60)
    hours, minutes = divmod(minutes, 60)
    return f"{hours}:{minutes:02}:{rest:02}" if hours else f"{minutes}:{rest:02}"


def lacking_parts(version: Version) -> list[str]:
    """The parts that the booklet does not have yet, in its order."""
    has: Sequence[tuple[Any, str]] = (
        (version.suits, _("fabrics that suit")),
        (version.notions.all(), _("notions and tools")),
        (version.printing, _("how to print")),
        (version.seam_allowance_mm is not None, _("the seam allowance")),
        (Piece.objects.filter(material__version=version).exists(), _("the cutting list")),
        (version.steps.exists(), _("the steps")),
    )
    return [words for there, words in has if not there]
