"""What this app asks of every size before it is signed: a clean grade check, and fabric that was laid for it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from django.urls import reverse
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from releases.fabric_store import asked
from releases.grade import version_grade
from releases.models import SizeSignOff, Version
from releases.registry import Condition, SizeCondition, size_conditions
from releases.sign_offs import standing, state_words
from releases.stale_store import stale_sizes


def grade_by_size(version: Version) -> Mapping[str, Condition]:
    """The open findings of the grade check that name the size; one that is silenced with a reason does not count."""
    url = reverse("version_grade", args=[version.ref])
    if version.finished_chart is None:
        return {size: Condition(False, _("no finished measurements"), url) for size in version.sizes}
    found = [one.finding for one in version_grade(version, may_edit=False)[0].open]
    counts = {size: sum(size in finding.sizes or not finding.sizes for finding in found) for size in version.sizes}
    return {size: _counted(n, url) for size, n in counts.items()}


def _counted(n: int, url: str) -> Condition:
    said = ngettext("%(n)s finding", "%(n)s findings", n) % {"n": n} if n else _("clean")
    return Condition(not n, said, url)


def fabric_by_size(version: Version) -> Mapping[str, Condition]:
    """Every layout of the size is made from the cutting list as it stands, and the list itself is not left behind."""
    url = reverse("version_fabric", args=[version.ref])
    wanted = list(asked(version))
    behind = stale_sizes(version, ["fabric", "lining"])
    found = {}
    for size in version.sizes:
        mine = [one.known is not None for one in wanted if one.size == size]
        if not mine:
            found[size] = Condition(False, _("no cutting list"), url)
        elif size in behind:
            found[size] = Condition(False, _("to be done anew"), url)
        elif not all(mine):
            found[size] = Condition(False, _("not yet"), url)
        else:
            found[size] = Condition(True, _("computed"), url)
    return found


@dataclass(frozen=True)
class GridCell:
    """One size of a row of the launch grid."""

    size: str
    met: bool
    says: str
    url: str


@dataclass(frozen=True)
class GridRow:
    title: str
    cells: tuple[GridCell, ...]

    @property
    def met(self) -> int:
        return sum(cell.met for cell in self.cells)


@dataclass(frozen=True)
class SizeHead:
    """A size of the grid: its state, who said so, and the page where it is read and signed."""

    size: str
    position: int
    base: bool
    row: SizeSignOff | None
    url: str
    met: bool

    @property
    def state(self) -> str:
        return self.row.state if self.row else "unread"

    @property
    def says(self) -> str:
        return state_words(self.row)


@dataclass(frozen=True)
class Grid:
    """Every size of a version: where it stands, and the conditions that it meets."""

    heads: tuple[SizeHead, ...]
    rows: tuple[GridRow, ...]

    def count(self, *states: str) -> int:
        return sum(head.state in states for head in self.heads)


def conditions_of(version: Version) -> list[tuple[SizeCondition, Mapping[str, Condition]]]:
    """Every condition of every app, with what it says of each size."""
    return [(one, one.look(version)) for one in size_conditions()]


def grid_of(version: Version) -> Grid:
    """The launch grid: sizes as columns, conditions as rows."""
    known = conditions_of(version)
    rows = tuple(
        GridRow(str(one.title), tuple(_cell(size, said.get(size)) for size in version.sizes)) for one, said in known
    )
    signed = standing(version)
    heads = tuple(
        SizeHead(
            size,
            i,
            size == version.base_size,
            signed.get(size),
            reverse("sign_off_size", args=[version.ref, i]),
            all(row.cells[i].met for row in rows),
        )
        for i, size in enumerate(version.sizes)
    )
    return Grid(heads, rows)


def _cell(size: str, said: Condition | None) -> GridCell:
    if said is None:
        return GridCell(size, False, _("not known"), "")
    return GridCell(size, said.met, said.says, said.url)
