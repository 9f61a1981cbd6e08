"""Finished measurements as they are typed: a grid of the version's sizes, or a sheet that is pasted into it."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Any

from django import forms
from django.conf import settings
from django.http import QueryDict
from django.utils.translation import gettext_lazy as _

from measurements.chart_draft import ChartDraft
from measurements.chart_reading import read_chart_file, read_chart_rows, read_chart_text
from measurements.charts import ChartCell, ChartTable
from measurements.finished_measures import FINISHED_MEASURES, finished_for
from measurements.lengths import LengthError, Unit, read_length
from measurements.sentences import Sentence
from measurements.translated import in_words
from people.audit import digest
from releases.forms.sheets import SheetFileField

UNITS = (("cm", _("centimetres")), ("mm", _("millimetres")), ("in", _("inches")))
# Empty lines below the usual measurements, for those of this garment alone.
SPARE_ROWS = 2

# Doubts about a sheet as a whole, which the grid that it fills no longer shows.
OF_THE_SHEET = frozenset({"unit_guessed", "unit_conflict", "left_out"})
# The sizes are the version's own, so their order and their number are no question here.
OF_THE_SIZES = frozenset({"sizes_turned", "one_size"})

Row = tuple[str, tuple[str, ...]]


@dataclass(frozen=True)
class Grid:
    """What stands in the fields: size labels, a unit for bare numbers, rows of a label and texts."""

    sizes: tuple[str, ...]
    unit: Unit
    rows: tuple[Row, ...]

    @property
    def filled(self) -> tuple[Row, ...]:
        return tuple((label, cells) for label, cells in self.rows if any(cells))

    def read(self) -> ChartDraft:
        """The grid as a chart, with its doubts; rows without a number are left out."""
        return read_chart_rows(self.sizes, self.filled, unit=self.unit, catalogue=FINISHED_MEASURES)

    @staticmethod
    def doubts(draft: ChartDraft) -> tuple[Sentence, ...]:
        """What is doubtful about the grid as a whole."""
        return tuple(doubt for doubt in draft.doubts if doubt.code not in OF_THE_SIZES)

    @property
    def digest(self) -> str:
        return digest([self.sizes, self.unit, self.filled])


def with_usual_rows(grid: Grid, kind: str) -> Grid:
    """The grid with an empty row for each usual measurement that it lacks, and some spare ones."""
    known = {measure.key for label, _cells in grid.rows if (measure := FINISHED_MEASURES.find(label))}
    blank = ("",) * len(grid.sizes)
    usual = [(str(_(FINISHED_MEASURES[key].name)), blank) for key in finished_for(kind) if key not in known]
    filled = tuple((label, cells) for label, cells in grid.rows if label or any(cells))
    return Grid(grid.sizes, grid.unit, (*filled, *usual, *[("", blank)] * SPARE_ROWS))


def posted_grid(data: QueryDict, sizes: Sequence[str]) -> Grid:
    """The grid as the browser sent it; fields that are missing are empty."""
    rows = []
    for i in range(_rows_sent(data)):
        cells = tuple(data.get(f"c{i}.{j}", "").strip() for j in range(len(sizes)))
        rows.append((data.get(f"label-{i}", "").strip(), cells))
    return Grid(tuple(sizes), as_unit(data.get("unit")), tuple(rows))


def shown_size(data: QueryDict, sizes: Sequence[str]) -> int | None:
    """The place of the one size that a narrow screen shows, or None for all of them."""
    asked = data.get("show") or data.get("showing", "")
    return int(asked) if asked.isdecimal() and len(asked) < 4 and int(asked) < len(sizes) else None


def as_unit(text: str | None) -> Unit:
    """The unit of that name, or centimetres."""
    known: dict[str | None, Unit] = {"mm": "mm", "in": "in"}
    return known.get(text, "cm")


def _rows_sent(data: QueryDict) -> int:
    numbers = [int(name[6:]) for name in data if name.startswith("label-") and name[6:].isdigit() and len(name) < 10]
    return min(max(numbers, default=-1) + 1, settings.CHART_ROWS)


def stored_grid(table: ChartTable, sizes: Sequence[str], unit: Unit) -> Grid:
    """A saved chart back in the fields, as it was typed."""
    places = {label: i for i, label in enumerate(table.sizes)}
    rows = (
        (line.label, tuple(_text(line.cells[places[size]], unit) if size in places else "" for size in sizes))
        for line in table.lines
    )
    return Grid(tuple(sizes), unit, tuple(rows))


def _text(cell: ChartCell | None, unit: Unit) -> str:
    """What was typed, with its unit where the grid's own would read it differently."""
    if cell is None:
        return ""
    try:
        same = read_length(cell.typed, unit).mm == cell.mm
    except LengthError:
        same = False
    return cell.typed if same else f"{cell.typed} {cell.unit}"


class SheetForm(forms.Form):
    """A sheet of finished measurements, pasted or uploaded. `grid` holds it in the version's sizes.

    `left_out` names sizes that the version has not; `notes` say how the sheet was read.
    """

    text = forms.CharField(
        label=_("Copied from a spreadsheet"),
        required=False,
        strip=False,
        widget=forms.Textarea(attrs={"rows": 8, "wrap": "off", "spellcheck": "false"}),
        help_text=_("Sizes in the first row, a measurement in each row below."),
    )
    file = SheetFileField()
    unit = forms.ChoiceField(
        label=_("Numbers without a unit are"), choices=[("", _("what the sheet says")), *UNITS], required=False
    )
    grid: Grid | None = None
    left_out: tuple[str, ...] = ()
    notes: tuple[Sentence, ...] = ()

    def __init__(self, *args: Any, sizes: Sequence[str], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.sizes = tuple(sizes)

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or {}
        text, file = cleaned.get("text") or "", cleaned.get("file")
        if self.errors:
            return cleaned
        if not file and not text.strip():
            self.add_error("text", _("Paste the sheet here, or choose a file."))
            return cleaned
        unit = cleaned.get("unit") or None
        if file:
            draft = read_chart_file(file.read(), unit=unit, catalogue=FINISHED_MEASURES)
        else:
            draft = read_chart_text(text, unit=unit, catalogue=FINISHED_MEASURES)
        self._take(draft, "file" if file else "text")
        return cleaned

    def _take(self, draft: ChartDraft, field: str) -> None:
        if draft.refusal:
            self.add_error(field, in_words(draft.refusal))
            return
        labels = [size.label for size in draft.sizes]
        places = dict(matched(labels, self.sizes))
        if not places:
            said = _("The sheet has sizes %(theirs)s, and this version has %(ours)s. Give them the same labels.")
            words = {"theirs": ", ".join(labels[:12]), "ours": ", ".join(self.sizes)}
            self.add_error(field, forms.ValidationError(said, params=words))
            return
        rows = (
            (row.typed_label, tuple(row.cells[places[size]].typed if size in places else "" for size in self.sizes))
            for row in draft.rows
        )
        self.grid = Grid(self.sizes, draft.unit, tuple(rows))
        self.notes = tuple(doubt for doubt in draft.doubts if doubt.code in OF_THE_SHEET)
        self.left_out = tuple(label for i, label in enumerate(labels) if i not in places.values())


def matched(theirs: Sequence[str], ours: Sequence[str]) -> Iterable[tuple[str, int]]:
    """Our labels with the column of theirs that is written alike, small and capital letters being one."""
    columns = {label.casefold(): i for i, label in reversed(list(enumerate(theirs)))}
    return [(label, columns[label.casefold()]) for label in ours if label.casefold() in columns]
