"""The grid of a chart as a page shows it: each text with its field name, what it was read as, what is doubtful."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from decimal import Decimal

from measurements.chart_changes import CellConflict
from measurements.chart_draft import ChartDraft, DraftCell
from measurements.chart_grid import ChartGrid
from measurements.sentences import Sentence, gettext_noop, sentence

Mark = tuple[str, str, str, str]
_NOTHING = DraftCell("")


@dataclass(frozen=True)
class SheetCell:
    """One field. `state` is "" (read), "empty", "doubt", "unread" or "conflict"; `said` what is wrong with it."""

    name: str
    typed: str
    size: str
    mm: Decimal | None
    state: str
    said: Sentence | None = None


@dataclass(frozen=True)
class SheetRow:
    name: str
    label: str
    unit: str
    doubt: Sentence | None
    cells: tuple[SheetCell, ...]

    @property
    def notes(self) -> tuple[SheetCell, ...]:
        """The cells about which there is something to say."""
        return tuple(cell for cell in self.cells if cell.said)


@dataclass(frozen=True)
class SheetSize:
    """A size's label; `notes` counts what there is to look at in its column."""

    name: str
    label: str
    doubt: Sentence | None
    is_base: bool
    notes: int


@dataclass(frozen=True)
class ChartSheet:
    """The whole grid with its counts: cells that hold something, that are doubtful, unreadable, empty."""

    sizes: tuple[SheetSize, ...]
    rows: tuple[SheetRow, ...]
    doubts: tuple[Sentence, ...] = ()
    refusal: Sentence | None = None

    def _count(self, *states: str) -> int:
        return sum(cell.state in states for row in self.rows for cell in row.cells)

    @property
    def filled(self) -> int:
        return self._count("", "doubt", "conflict")

    @property
    def unread(self) -> int:
        return self._count("unread")

    @property
    def empty(self) -> int:
        return self._count("empty")

    @property
    def doubtful(self) -> int:
        """Cells, rows and sizes that were read and yet look wrong."""
        rows, sizes = (sum(head.doubt is not None for head in heads) for heads in (self.rows, self.sizes))
        return self._count("doubt") + rows + sizes


def lay_out(
    grid: ChartGrid,
    draft: ChartDraft,
    *,
    doubts: Iterable[Sentence] = (),
    conflicts: Iterable[CellConflict] = (),
    who: str = "",
) -> ChartSheet:
    """The page's grid. `doubts` are those of the chart as a whole; `who` is the person whom the conflicts are with."""
    clashes = {(clash.key, clash.size): _clash(clash, who) for clash in conflicts}
    rows = []
    for i, row in enumerate(grid.rows):
        read = draft.rows[i] if i < len(draft.rows) else None
        cells = read.cells if read else ()
        key = read.key if read else ""
        rows.append(
            SheetRow(
                name=f"r{i}",
                label=row.label,
                unit=read.unit if read else grid.unit,
                doubt=read.doubt if read else None,
                cells=tuple(
                    _cell(f"c{i}.{j}", text, size, cells[j] if j < len(cells) else _NOTHING, clashes.get((key, size)))
                    for j, (size, text) in enumerate(zip(grid.sizes, row.cells, strict=True))
                ),
            )
        )
    labels = [size.doubt for size in draft.sizes] or [None] * len(grid.sizes)
    sizes = tuple(
        SheetSize(f"s{j}", label, doubt, j == grid.base, sum(row.cells[j].said is not None for row in rows))
        for j, (label, doubt) in enumerate(zip(grid.sizes, labels, strict=True))
    )
    return ChartSheet(sizes, tuple(rows), tuple(doubts), draft.refusal)


def _cell(name: str, text: str, size: str, read: DraftCell, clash: Sentence | None) -> SheetCell:
    if clash:
        return SheetCell(name, text, size, read.mm, "conflict", clash)
    if read.unread:
        return SheetCell(name, text, size, None, "unread", read.doubt)
    if read.length is None:
        return SheetCell(name, text, size, None, "empty")
    return SheetCell(name, text, size, read.mm, "doubt" if read.doubt else "", read.doubt)


def _clash(clash: CellConflict, who: str) -> Sentence:
    if clash.theirs is None:
        said = gettext_noop("%(who)s emptied this cell meanwhile. What stands here when you save holds.")
        return sentence("emptied", said, who=who)
    said = gettext_noop("%(who)s saved %(theirs)s here meanwhile. What stands here when you save holds.")
    return sentence("conflict", said, who=who, theirs=clash.theirs.mm)


def doubt_marks(draft: ChartDraft) -> frozenset[Mark]:
    """Every doubt as (row key, size, text, code), so that one already accepted is known again."""
    marks: set[Mark] = {("", "", "", doubt.code) for doubt in draft.doubts}
    marks |= {("", size.label, "", size.doubt.code) for size in draft.sizes if size.doubt}
    for row in draft.rows:
        if row.doubt:
            marks.add((row.key, "", row.label, row.doubt.code))
        marks |= {
            (row.key, size.label, cell.typed, cell.doubt.code)
            for size, cell in zip(draft.sizes, row.cells, strict=True)
            if cell.doubt
        }
    return frozenset(marks)
