"""Working copies between plain values and the database."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property, lru_cache
from typing import cast

from django.utils.translation import gettext as _

from measurements.chart_grid import Opened, open_chart
from measurements.chart_store import load_table
from measurements.lengths import Unit
from measurements.models import ChartEdit, ChartRevision, EditKind, SizeChart, WorkingCopy
from measurements.working_state import Place, WorkingState, rebased, state_from_json, state_of
from people.models import Person


def opened_from(revision: ChartRevision, unit: str) -> Opened:
    """A revision laid out for editing; kept, since a revision never changes."""
    return _opened(revision.ref, cast("Unit", unit))


@lru_cache(maxsize=16)
def _opened(ref: str, unit: Unit) -> Opened:
    return open_chart(load_table(ChartRevision.objects.get(ref=ref)), unit)


@dataclass(frozen=True)
class Held:
    """A text that met another person's in its cell: the number to choose it by, and whose it is."""

    seq: int
    place: Place
    text: str
    by: Person | None


@dataclass
class Working:
    """A chart as it is being edited: the open copy, or None while nobody has changed anything since `revision`.

    `revision` is the newest; a copy that was begun from an earlier one is shown with what came since.
    """

    chart: SizeChart
    copy: WorkingCopy | None
    revision: ChartRevision

    @property
    def seq(self) -> int:
        return self.copy.seq if self.copy else 0

    @property
    def ref(self) -> str:
        return self.copy.ref if self.copy else ""

    @cached_property
    def opened(self) -> Opened:
        return opened_from(self.revision, self.chart.unit)

    @cached_property
    def before(self) -> WorkingState:
        return state_of(self.opened)

    @cached_property
    def state(self) -> WorkingState:
        if self.copy is None:
            return self.before
        mine = state_from_json(self.copy.state)
        if self.copy.opened_id == self.revision.pk:
            return mine
        was = state_of(opened_from(self.copy.opened, self.chart.unit))
        return rebased(mine, was, self.before)[0]

    @cached_property
    def hands(self) -> dict[Place, Person | None]:
        """Who changed each cell last, of those that differ from the revision."""
        if self.copy is None:
            return {}
        last = {
            (row, size): by
            for row, size, by in self.copy.edits.filter(kind=EditKind.CELL)
            .order_by("seq")
            .values_list("row", "size", "by_id")
        }
        people = Person.objects.in_bulk({by for by in last.values() if by})
        return {
            place: people.get(by) for place, by in last.items() if self.state.text(place) != self.before.text(place)
        }

    @cached_property
    def held(self) -> tuple[Held, ...]:
        """Every text that waits for a choice, in cells that are still there."""
        if self.copy is None:
            return ()
        waiting = self.copy.edits.filter(kind=EditKind.HELD).select_related("by")
        found = (Held(edit.seq, (edit.row, edit.size), edit.after, edit.by) for edit in waiting)
        return tuple(one for one in found if self.state.has(one.place))


def working(chart: SizeChart) -> Working | None:
    """The chart as it is being edited now; None for a chart without a revision."""
    revision = chart.latest()
    return Working(chart, open_copy(chart), revision) if revision else None


def open_copy(chart: SizeChart) -> WorkingCopy | None:
    return WorkingCopy.objects.filter(chart=chart, closed=None).select_related("opened", "by").first()


def name_of(person: Person | None) -> str:
    return str(person) if person else _("someone")


def closing_of(chart: SizeChart, ref: str) -> WorkingCopy | None:
    """The closed copy of that ref, to tell what became of it."""
    closed = WorkingCopy.objects.filter(chart=chart, ref=ref, closed__isnull=False)
    return closed.select_related("closed_by", "saved_as").first()


def edit_count(chart: SizeChart) -> int:
    """How many changes stand in the open copy that no revision has yet."""
    return ChartEdit.objects.filter(copy__chart=chart, copy__closed=None).count()
