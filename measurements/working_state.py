"""A chart's working copy as plain values: the texts of its cells under keys that stay, and what changes its shape.

Sizes and rows have keys that a new label or another order leaves alone, so that two people who work at once speak of
the same cell. A key is the size's label or the measurement's key at the time it came into the copy; a later copy of
the same chart therefore gives a size or a measurement the same key again.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

from measurements.chart_grid import ChartGrid, GridRow, Opened
from measurements.charts import ChartLine, ChartTable
from measurements.lengths import Unit

Place = tuple[str, str]


@dataclass(frozen=True)
class Head:
    """A size or a measurement: its lasting key, its label, and for a measurement the keys of the sizes it breaks at."""

    key: str
    label: str
    breaks: tuple[str, ...] = ()


@dataclass(frozen=True)
class WorkingState:
    """Texts by (row key, size key); a place without a text is empty. `base` is the key of the base size."""

    sizes: tuple[Head, ...]
    rows: tuple[Head, ...]
    base: str | None
    texts: Mapping[Place, str]

    def size_at(self, key: str) -> int | None:
        return _at(self.sizes, key)

    def row_at(self, key: str) -> int | None:
        return _at(self.rows, key)

    def has(self, place: Place) -> bool:
        return self.row_at(place[0]) is not None and self.size_at(place[1]) is not None

    def text(self, place: Place) -> str:
        return self.texts.get(place, "")

    def grid(self, unit: Unit) -> ChartGrid:
        """The copy as a grid to read; texts of sizes and rows that were left out stay behind."""
        rows = (GridRow(row.label, tuple(self.text((row.key, size.key)) for size in self.sizes)) for row in self.rows)
        base = self.size_at(self.base) if self.base is not None else None
        return ChartGrid(unit, tuple(size.label for size in self.sizes), tuple(rows), base)

    def with_breaks(self, table: ChartTable) -> ChartTable:
        """The chart that was read from `grid`, with the breaks that the copy declares."""
        labels = {size.key: size.label for size in self.sizes}

        def line(line: ChartLine, row: Head) -> ChartLine:
            return replace(line, breaks=tuple(labels[key] for key in row.breaks if key in labels))

        return replace(table, lines=tuple(map(line, table.lines, self.rows)))

    def as_json(self) -> dict[str, Any]:
        texts: dict[str, dict[str, str]] = {}
        for (row, size), text in self.texts.items():
            if text:
                texts.setdefault(row, {})[size] = text
        return {
            "sizes": [[size.key, size.label] for size in self.sizes],
            "rows": [[row.key, row.label, list(row.breaks)] for row in self.rows],
            "base": self.base,
            "texts": texts,
        }


def state_from_json(data: Mapping[str, Any]) -> WorkingState:
    return WorkingState(
        sizes=tuple(Head(key, label) for key, label in data["sizes"]),
        rows=tuple(Head(key, label, tuple(breaks)) for key, label, breaks in data["rows"]),
        base=data["base"],
        texts={(row, size): text for row, texts in data["texts"].items() for size, text in texts.items()},
    )


def state_of(opened: Opened) -> WorkingState:
    """The working copy of a stored chart before anything was changed."""
    table, grid = opened.table, opened.grid
    rows = tuple(
        Head(line.key, row.label, tuple(size for size in table.sizes if size in line.breaks))
        for line, row in zip(table.lines, grid.rows, strict=True)
    )
    return WorkingState(
        sizes=tuple(Head(label, label) for label in table.sizes),
        rows=rows,
        base=table.base,
        texts={
            (head.key, size): text
            for head, row in zip(rows, grid.rows, strict=True)
            for size, text in zip(table.sizes, row.cells, strict=True)
            if text
        },
    )


def _at(heads: Sequence[Head], key: str) -> int | None:
    return next((i for i, head in enumerate(heads) if head.key == key), None)


@dataclass(frozen=True)
class Clash:
    """A cell that the copy changed in one way and a saved revision in another: the revision's text."""

    place: Place
    theirs: str


def rebased(mine: WorkingState, was: WorkingState, now: WorkingState) -> tuple[WorkingState, tuple[Clash, ...]]:
    """A copy that was begun from `was`, brought up to the revision `now` that was saved meanwhile.

    Whoever changed a cell, a label, the breaks or the base size is followed; where both did, the copy holds and, for
    a cell, the clash tells the revision's text. What was left out in `now` goes, unless the copy changed a text in it.
    """
    touched = {place for place in {*mine.texts, *was.texts} if mine.text(place) != was.text(place)}
    sizes = _merged(mine.sizes, was.sizes, now.sizes, {size for _, size in touched})
    rows = _merged(mine.rows, was.rows, now.rows, {row for row, _ in touched})
    theirs = {place: now.text(place) for place in {*now.texts, *was.texts} if now.text(place) != was.text(place)}
    held = {row.key for row in now.rows}, {size.key for size in now.sizes}
    theirs = {place: text for place, text in theirs.items() if place[0] in held[0] and place[1] in held[1]}
    clashes = [Clash(place, text) for place, text in theirs.items() if place in touched and mine.text(place) != text]
    taken = {place: text for place, text in theirs.items() if place not in touched}
    base = now.base if mine.base == was.base else mine.base
    merged = WorkingState(sizes, rows, base if _at(sizes, base or "") is not None else None, {**mine.texts, **taken})
    return merged, tuple(sorted(clashes, key=lambda clash: clash.place))


def _merged(
    mine: tuple[Head, ...], was: tuple[Head, ...], now: tuple[Head, ...], touched: set[str]
) -> tuple[Head, ...]:
    before, after = {head.key: head for head in was}, {head.key: head for head in now}
    heads = [
        _followed(head, before.get(head.key), after.get(head.key))
        for head in mine
        if head.key in after or head.key not in before or head.key in touched
    ]
    for i, head in enumerate(now):
        if head.key not in before and _at(heads, head.key) is None:
            places = [place for other in now[:i] if (place := _at(heads, other.key)) is not None]
            heads.insert(places[-1] + 1 if places else 0, head)
    return tuple(heads)


def _followed(mine: Head, was: Head | None, now: Head | None) -> Head:
    if was is None or now is None:
        return mine
    return Head(
        mine.key,
        now.label if mine.label == was.label else mine.label,
        now.breaks if mine.breaks == was.breaks else mine.breaks,
    )
