"""What changes a working copy. Each verb is one transaction; every change is stored with its person and its moment."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field, replace
from typing import cast

from django.db import transaction
from django.utils import timezone

from measurements.actions import ChartSaved, edit_chart
from measurements.chart_text import ChartLimits, tidy
from measurements.charts import ChartTable
from measurements.measures import Catalogue
from measurements.models import ChartEdit, ChartRevision, EditKind, SizeChart, WorkingCopy
from measurements.working_shape import ShapeChange, changed
from measurements.working_state import Place, WorkingState, rebased, state_from_json, state_of
from measurements.working_store import open_copy, opened_from
from people.audit import record
from people.models import Person

_KEPT_CHARACTERS = ChartLimits().most_characters


class CopyMovedError(Exception):
    """Somebody changed the working copy, or closed it, since it was read; nothing was done."""


@dataclass(frozen=True)
class CellEdit:
    """A text for a cell, and the text that its person saw there before."""

    place: Place
    text: str
    was: str


@dataclass
class _Pen:
    """A working copy that is locked, with what is being written to it."""

    copy: WorkingCopy
    state: WorkingState
    by: Person
    log: list[ChartEdit] = field(default_factory=list)
    bumped: bool = False

    @property
    def texts(self) -> dict[Place, str]:
        """The texts of the state, to be written to: a pasted block has a thousand."""
        if not isinstance(self.state.texts, dict):
            self.state = replace(self.state, texts=dict(self.state.texts))
        return cast("dict[Place, str]", self.state.texts)

    def write(self, kind: EditKind, by: Person | None, **said: object) -> None:
        self.copy.seq += 1
        self.log.append(ChartEdit(copy=self.copy, seq=self.copy.seq, kind=kind, by=by, **said))

    def cell(self, place: Place, text: str) -> None:
        before = self.state.text(place)
        self.texts[place] = text
        self.write(EditKind.CELL, self.by, row=place[0], size=place[1], before=before, after=text)

    def bump(self) -> None:
        """Something changed that no line of the log stands for."""
        self.bumped = True

    def put_down(self) -> None:
        if not self.log and not self.bumped:
            return
        self.copy.seq += self.bumped
        self.copy.state = self.state.as_json()
        self.copy.save(update_fields=["seq", "state", "opened"])
        ChartEdit.objects.bulk_create(self.log)


def _pen(chart: SizeChart, by: Person) -> _Pen:
    """The open copy, locked, begun if there is none, and brought up to the newest revision."""
    SizeChart.objects.select_for_update().get(pk=chart.pk)
    latest = ChartRevision.objects.select_related("by").filter(chart=chart).order_by("-number")[0]
    copy = open_copy(chart)
    if copy is None:
        state = state_of(opened_from(latest, chart.unit))
        copy = WorkingCopy.objects.create(chart=chart, opened=latest, state=state.as_json(), by=by)
        record(studio=chart.studio, by=by, verb="chart_copy_begun", thing=copy)
    pen = _Pen(copy, state_from_json(copy.state), by)
    if copy.opened_id != latest.pk:
        _catch_up(pen, latest, chart.unit)
    return pen


def _catch_up(pen: _Pen, latest: ChartRevision, unit: str) -> None:
    """Take in a revision that was saved beside the copy; where both changed a cell, its text waits for a choice."""
    was, now = (state_of(opened_from(revision, unit)) for revision in (pen.copy.opened, latest))
    pen.state, clashes = rebased(pen.state, was, now)
    pen.copy.opened = latest
    pen.bump()
    for clash in clashes:
        row, size = clash.place
        before = pen.state.text(clash.place)
        pen.write(EditKind.HELD, latest.by, row=row, size=size, before=before, after=clash.theirs)


@transaction.atomic
def edit_cells(*, chart: SizeChart, cells: Iterable[CellEdit], by: Person) -> tuple[CellEdit, ...]:
    """Store texts, each where its cell still holds what the person saw; another waits for a choice beside it.

    Returns those whose size or measurement is no longer in the chart: nothing was stored of them.
    """
    pen = _pen(chart, by)
    held = {(edit.row, edit.size, edit.by_id): edit for edit in pen.copy.edits.filter(kind=EditKind.HELD)}
    gone = []
    for edit in cells:
        text = tidy(edit.text.replace("\0", ""), _KEPT_CHARACTERS)
        if not pen.state.has(edit.place):
            gone.append(edit)
        elif text == pen.state.text(edit.place):
            _settle(pen, [other for other in _at(held, edit.place) if other.by_id == by.pk or other.after == text])
        elif edit.was == pen.state.text(edit.place):
            pen.cell(edit.place, text)
            _settle(pen, [other for other in _at(held, edit.place) if other.by_id == by.pk or other.after == text])
        elif mine := held.get((*edit.place, by.pk)):
            mine.after = text
            mine.save(update_fields=["after"])
            pen.bump()
        else:
            row, size = edit.place
            pen.write(EditKind.HELD, by, row=row, size=size, before=pen.state.text(edit.place), after=text)
    pen.put_down()
    return tuple(gone)


def _at(held: dict[tuple[str, str, int | None], ChartEdit], place: Place) -> list[ChartEdit]:
    return [edit for (row, size, _), edit in held.items() if (row, size) == place and edit.kind == EditKind.HELD]


def _settle(pen: _Pen, edits: list[ChartEdit]) -> None:
    for edit in edits:
        edit.kind = EditKind.SETTLED
        edit.save(update_fields=["kind"])
        pen.bump()


@transaction.atomic
def choose(*, chart: SizeChart, seq: int, take: bool, by: Person) -> bool:
    """Settle a text that waits in its cell: take it, or leave what stands. False where it no longer waits."""
    pen = _pen(chart, by)
    waiting = pen.copy.edits.filter(kind=EditKind.HELD, seq=seq).first()
    if waiting is None:
        pen.put_down()
        return False
    place = (waiting.row, waiting.size)
    if take and pen.state.has(place) and pen.state.text(place) != waiting.after:
        pen.cell(place, waiting.after)
    _settle(pen, [waiting])
    pen.put_down()
    return True


@transaction.atomic
def reshape(
    *, chart: SizeChart, change: ShapeChange, catalogue: Catalogue, limits: ChartLimits, by: Person
) -> ShapeChange:
    """Change the sizes, the measurements, the base size or a break. Returns the change that takes it back.

    Raises ShapeError where it cannot be made.
    """
    pen = _pen(chart, by)
    pen.state, back = changed(pen.state, change, catalogue=catalogue, limits=limits)
    pen.write(EditKind.SHAPE, by, shape=change.as_json())
    pen.put_down()
    return back


@transaction.atomic
def catch_up(*, chart: SizeChart, by: Person) -> None:
    """Bring the open copy up to a revision that was saved beside it."""
    if open_copy(chart):
        _pen(chart, by).put_down()


@transaction.atomic
def save_copy(*, chart: SizeChart, table: ChartTable, ref: str, seq: int, by: Person, note: str = "") -> ChartSaved:
    """Write the copy, as read at `seq`, as the chart's next revision, and close it. Raises CopyMovedError."""
    copy = _closing(chart, ref, seq)
    saved = edit_chart(chart=chart, table=table, opened=copy.opened, by=by, note=note)
    _close(copy, by, saved.revision)
    return saved


@transaction.atomic
def drop_copy(*, chart: SizeChart, ref: str, seq: int, by: Person) -> None:
    """Close the copy, as read at `seq`, without a revision; its log stays. Raises CopyMovedError."""
    copy = _closing(chart, ref, seq)
    _close(copy, by, None)
    record(studio=chart.studio, by=by, verb="chart_copy_dropped", thing=copy, content=copy.state)


def _closing(chart: SizeChart, ref: str, seq: int) -> WorkingCopy:
    SizeChart.objects.select_for_update().get(pk=chart.pk)
    copy = open_copy(chart)
    if copy is None or copy.ref != ref or copy.seq != seq:
        raise CopyMovedError
    return copy


def _close(copy: WorkingCopy, by: Person, revision: ChartRevision | None) -> None:
    copy.closed, copy.closed_by, copy.saved_as = timezone.now(), by, revision
    copy.save(update_fields=["closed", "closed_by", "saved_as"])
