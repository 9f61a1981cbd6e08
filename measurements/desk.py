"""The grid of a chart while it is being worked on: taken from a form, changed by its buttons, read, laid out.

Nothing is kept between two requests: the form carries every text, so that nothing typed is lost and two
people, or two tabs, never share a half-made chart.
"""

from __future__ import annotations

import hashlib
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace
from functools import cached_property

from measurements.chart_changes import CellConflict
from measurements.chart_draft import ChartDraft
from measurements.chart_grid import ChartGrid, GridRow, Opened, read_grid, table_of
from measurements.chart_sheet import ChartSheet, Mark, doubt_marks, lay_out
from measurements.chart_text import ChartLimits, tidy
from measurements.charts import ChartTable
from measurements.lengths import Unit
from measurements.measures import Catalogue
from measurements.sentences import Sentence

Post = Mapping[str, str]


@dataclass
class Desk:
    """A grid with what it was read as. `seen` are the fingerprints of doubts that the page has shown before.

    `show` is the place of the one size that is shown, None for all; `shaped` that sizes or rows were just added or
    left out.
    """

    grid: ChartGrid
    catalogue: Catalogue
    limits: ChartLimits
    opened: Opened | None = None
    said: tuple[Sentence, ...] = ()
    seen: frozenset[str] = frozenset()
    conflicts: tuple[CellConflict, ...] = ()
    conflicts_with: str = ""
    show: int | None = None
    shaped: bool = False
    accepted: frozenset[Mark] = field(init=False, default=frozenset())

    def __post_init__(self) -> None:
        if self.opened:
            self.accepted = doubt_marks(self._read(self.opened.grid))

    def _read(self, grid: ChartGrid) -> ChartDraft:
        return read_grid(grid, catalogue=self.catalogue, opened=self.opened, limits=self.limits)

    @cached_property
    def draft(self) -> ChartDraft:
        return self._read(self.grid)

    @cached_property
    def sheet(self) -> ChartSheet:
        doubts = dict.fromkeys((*self.said, *self.draft.doubts))
        return lay_out(self.grid, self.draft, doubts=doubts, conflicts=self.conflicts, who=self.conflicts_with)

    @cached_property
    def marks(self) -> frozenset[str]:
        """Fingerprints of the doubts that nobody has accepted yet; all empty cells together are one."""
        open_marks = doubt_marks(self.draft) - self.accepted
        return frozenset(
            _fingerprint(mark if mark[3] != "no_value" else ("", "", "", "no_value")) for mark in open_marks
        )

    @property
    def fresh(self) -> bool:
        """Whether there are doubts that the page has not shown yet."""
        return bool(self.marks - self.seen)

    def left_empty(self) -> Desk:
        """The same with nothing in the cells that cannot be read."""
        return replace(self, grid=self.grid.without_unread(self.draft))

    def table(self) -> ChartTable:
        """The chart to save. Raises ValueError while there are obstacles."""
        return table_of(self.grid, self.draft, self.opened)


def _fingerprint(mark: Iterable[str]) -> str:
    return hashlib.sha256("\0".join(mark).encode()).hexdigest()[:10]


def grid_from_post(post: Post, unit: Unit, limits: ChartLimits) -> ChartGrid:
    """The grid as it was sent; a field that is missing is an empty text."""
    columns, rows = (_number(post.get(name), most) for name, most in _counts(limits))

    def text(name: str) -> str:
        return tidy(post.get(name, "").replace("\0", ""), limits.most_characters)

    base = _number(post.get("base"), columns, missing=-1)
    return ChartGrid(
        unit=unit,
        sizes=tuple(text(f"s{j}") for j in range(columns)),
        rows=tuple(GridRow(text(f"r{i}"), tuple(text(f"c{i}.{j}") for j in range(columns))) for i in range(rows)),
        base=base if 0 <= base < columns else None,
    )


def _counts(limits: ChartLimits) -> tuple[tuple[str, int], tuple[str, int]]:
    # One more than allowed may come, so that adding it is answered with a sentence and not with silence.
    return ("columns", limits.most_sizes + 1), ("rows", limits.most_rows + 1)


def _number(text: str | None, most: int, missing: int = 0) -> int:
    """A whole number from 0 to `most`."""
    return min(int(text), most) if text and text.isascii() and text.isdigit() else missing


def changed_by(grid: ChartGrid, do: str, post: Post) -> ChartGrid:
    """The grid after one of the page's buttons; a button that means nothing here changes nothing."""
    if do == "add_size" and (label := post.get("new_size", "").strip()):
        before = post.get("new_size_before", "")
        return grid.with_size(label, _number(before, len(grid.sizes)) if before.isdigit() else None)
    if do == "drop_size" and (at := _number(post.get("drop_size"), 999, -1)) in range(len(grid.sizes)):
        return grid.without_size(at)
    if do == "add_row" and (label := (post.get("new_row_name", "") or post.get("new_row", "")).strip()):
        return grid.with_row(label)
    if do == "drop_row" and (at := _number(post.get("drop_row"), 999, -1)) in range(len(grid.rows)):
        return grid.without_row(at)
    return grid.turned() if do == "turn" else grid


def desk_from_post(
    post: Post, *, unit: Unit, catalogue: Catalogue, limits: ChartLimits, opened: Opened | None = None
) -> Desk:
    """The desk as the form left it, after the button that was pressed."""
    grid = changed_by(grid_from_post(post, unit, limits), post.get("do", ""), post)
    show = _number(post.get("show") or post.get("showing"), max(0, len(grid.sizes) - 1), missing=-1)
    return Desk(
        grid,
        catalogue,
        limits,
        opened,
        seen=frozenset(post.get("seen", "").split()),
        show=show if show >= 0 and grid.sizes else None,
        shaped=post.get("do", "").startswith(("add_", "drop_")),
    )
