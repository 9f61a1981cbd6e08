"""What differs between two versions besides their files: measurements, pieces, fabric, steps.

Plain values in; each change says what, how it was and how it is. Lengths are Decimals in mm.
Method: docs/algorithms/pdf-compare.md.
"""

from __future__ import annotations

import difflib
import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal

from measurements.charts import ChartTable

# Two steps are one that was rewritten from here on (common practice, no source).
_LIKE = 0.6
_ENOUGH = 400


@dataclass(frozen=True)
class MeasureChange:
    """A finished measurement that grew or shrank by one amount in these sizes; None where it came or went."""

    label: str
    sizes: tuple[str, ...]
    by_mm: Decimal | None
    gone: bool = False


@dataclass(frozen=True)
class Line:
    """One thing as it was and as it is; empty where it was not there."""

    what: str
    before: str
    now: str


@dataclass(frozen=True)
class StepChange:
    """A step as it was and as it is. `words` are its pieces: same, out or in, with their text."""

    old: int | None
    new: int | None
    words: tuple[tuple[str, str], ...]


def measure_changes(old: ChartTable, new: ChartTable) -> list[MeasureChange]:
    """Row by row, sizes with the same change together."""
    found: list[MeasureChange] = []
    for line in new.lines:
        before = old.line(line.key)
        groups: dict[tuple[Decimal | None, bool], list[str]] = {}
        for size, cell in zip(new.sizes, line.cells, strict=True):
            was = before.cells[old.sizes.index(size)] if before and size in old.sizes else None
            if cell is None or was is None:
                if cell is not was:
                    groups.setdefault((None, cell is None), []).append(size)
            elif cell.mm != was.mm:
                groups.setdefault((cell.mm - was.mm, False), []).append(size)
        found += [MeasureChange(line.label, tuple(sizes), by, gone) for (by, gone), sizes in groups.items()]
    kept = {line.key for line in new.lines}
    found += [MeasureChange(line.label, old.sizes, None, gone=True) for line in old.lines if line.key not in kept]
    return found


def line_changes(old: Mapping[str, str], new: Mapping[str, str]) -> list[Line]:
    """Things by name and what is said of each, in the order of the new list, what is gone last."""
    found = [Line(what, old.get(what, ""), now) for what, now in new.items() if old.get(what) != now]
    return [*found, *(Line(what, was, "") for what, was in old.items() if what not in new)]


def step_changes(old: Sequence[tuple[int, str]], new: Sequence[tuple[int, str]]) -> list[StepChange]:
    """Steps that read otherwise, came or went. One that only has another number did not change."""
    ours, theirs = [_plain(text) for _, text in old], [_plain(text) for _, text in new]
    found: list[StepChange] = []
    for tag, i, j, k, m in difflib.SequenceMatcher(None, ours, theirs, autojunk=False).get_opcodes():
        if tag != "equal":
            found += _replaced(old[i:j], new[k:m])
    return found


def _replaced(old: Sequence[tuple[int, str]], new: Sequence[tuple[int, str]]) -> Iterator[StepChange]:
    """Steps of one stretch: each new one beside the old one that it is most like."""
    left = list(old)
    for number, text in new:
        like = max(left, key=lambda step: _likeness(step[1], text), default=None)
        if like is None or _likeness(like[1], text) < _LIKE:
            yield StepChange(None, number, (("in", text),))
        else:
            left.remove(like)
            yield StepChange(like[0], number, tuple(_words(like[1], text)))
    for number, text in left:
        yield StepChange(number, None, (("out", text),))


def _likeness(a: str, b: str) -> float:
    """Letter by letter, so that a step with words put in is still known; its beginning is enough."""
    return difflib.SequenceMatcher(None, a[:_ENOUGH], b[:_ENOUGH], autojunk=False).ratio()


def _words(old: str, new: str) -> Iterator[tuple[str, str]]:
    ours, theirs = re.findall(r"\S+\s*", old), re.findall(r"\S+\s*", new)
    a, b = [word.strip() for word in ours], [word.strip() for word in theirs]
    for tag, i, j, k, m in difflib.SequenceMatcher(None, a, b, autojunk=False).get_opcodes():
        if tag == "equal":
            yield "same", "".join(theirs[k:m])
            continue
        if i < j:
            yield "out", "".join(ours[i:j])
        if k < m:
            yield "in", "".join(theirs[k:m])


def _plain(text: str) -> str:
    return " ".join(text.split())
