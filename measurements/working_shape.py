"""What changes the shape of a working copy: sizes and measurements come, go, move and get other names.

Every change answers with the change that takes it back, so that a person can undo it.
"""

from __future__ import annotations

import re
from collections.abc import Collection, Mapping
from dataclasses import asdict, dataclass, replace
from typing import Any, Literal, cast

from measurements.chart_text import ChartLimits, tidy
from measurements.measures import Catalogue, split_unit
from measurements.sentences import Sentence, gettext_noop, sentence
from measurements.working_state import Head, WorkingState

Verb = Literal["add", "drop", "name", "move", "base", "break"]
Axis = Literal["size", "row"]
VERBS = ("add", "drop", "name", "move", "base", "break")
_MOST_KEY = 60


class ShapeError(ValueError):
    """A change that cannot be made; `sentence` says why."""

    def __init__(self, why: Sentence) -> None:
        super().__init__(str(why))
        self.sentence = why


@dataclass(frozen=True)
class ShapeChange:
    """One change. `at` is a place from 0; `row` the measurement of a break; `on` whether the break is declared.

    `add` with an key puts back what was left out; `base` without an key leaves the base size undecided.
    """

    do: Verb
    axis: Axis = "size"
    key: str = ""
    label: str = ""
    at: int = 0
    row: str = ""
    on: bool = True
    breaks: tuple[str, ...] = ()

    def as_json(self) -> dict[str, Any]:
        return asdict(self)


def change_from_json(data: Mapping[str, Any], limits: ChartLimits) -> ShapeChange | None:
    """A change as a page sent it, or None where it is none."""
    do, axis, at, breaks = data.get("do"), data.get("axis", "size"), data.get("at", 0), data.get("breaks", [])
    texts = [data.get(name, "") for name in ("key", "label", "row")]
    if do not in VERBS or axis not in ("size", "row") or not isinstance(at, int) or not isinstance(breaks, list):
        return None
    if not all(isinstance(text, str) for text in (*texts, *breaks)):
        return None
    key, label, row, *sizes = (
        tidy(text.replace("\0", ""), limits.most_characters) for text in (*texts, *breaks[: limits.most_sizes])
    )
    return ShapeChange(
        cast("Verb", do), cast("Axis", axis), key, label, at, row, bool(data.get("on", True)), tuple(sizes)
    )


def changed(
    state: WorkingState, change: ShapeChange, *, catalogue: Catalogue, limits: ChartLimits
) -> tuple[WorkingState, ShapeChange]:
    """The copy after the change, and the change that takes it back. Raises ShapeError where it cannot be made."""
    if change.do == "base":
        return _with_base(state, change)
    if change.do == "break":
        return _with_break(state, change)
    heads = state.sizes if change.axis == "size" else state.rows
    if change.do == "add":
        return _added(state, heads, change, catalogue, limits)
    at = next((i for i, head in enumerate(heads) if head.key == change.key), None)
    if at is None:
        raise ShapeError(gone())
    head = heads[at]
    rest = (*heads[:at], *heads[at + 1 :])
    if change.do == "drop":
        # The texts stay, and so does the word on the base size: all of it comes back with the size.
        back = replace(change, do="add", at=at, label=head.label, breaks=head.breaks)
        return _with_heads(state, change.axis, rest), back
    if change.do == "name":
        named = (*heads[:at], replace(head, label=change.label), *heads[at + 1 :])
        return _with_heads(state, change.axis, named), replace(change, label=head.label)
    to = max(0, min(change.at, len(rest)))
    return _with_heads(state, change.axis, (*rest[:to], head, *rest[to:])), replace(change, at=at)


def gone() -> Sentence:
    said = gettext_noop("It is no longer in the chart: somebody left the size or the measurement out meanwhile.")
    return sentence("gone", said)


def _with_heads(state: WorkingState, axis: Axis, heads: tuple[Head, ...]) -> WorkingState:
    return replace(state, sizes=heads) if axis == "size" else replace(state, rows=heads)


def _added(
    state: WorkingState, heads: tuple[Head, ...], change: ShapeChange, catalogue: Catalogue, limits: ChartLimits
) -> tuple[WorkingState, ShapeChange]:
    most = limits.most_sizes if change.axis == "size" else limits.most_rows
    if len(heads) >= most:
        said = gettext_noop("A chart has at most %(sizes)s sizes and %(rows)s measurements.")
        raise ShapeError(sentence("too_large", said, sizes=limits.most_sizes, rows=limits.most_rows))
    taken = {head.key for head in heads}
    if change.key and change.key not in taken:
        key, texts, base = change.key, state.texts, state.base
    else:
        key = _fresh_key(change, catalogue, taken)
        # What stood under this key before it was left out belongs to what was left out.
        base = None if change.axis == "size" and state.base == key else state.base
        own = 1 if change.axis == "size" else 0
        texts = {place: text for place, text in state.texts.items() if place[own] != key}
    at = max(0, min(change.at, len(heads)))
    more = (*heads[:at], Head(key, change.label, change.breaks), *heads[at:])
    grown = replace(_with_heads(state, change.axis, more), texts=texts, base=base)
    return grown, ShapeChange("drop", change.axis, key)


def _fresh_key(change: ShapeChange, catalogue: Catalogue, taken: Collection[str]) -> str:
    if change.axis == "size":
        wanted = change.label[:_MOST_KEY] or "size"
    else:
        name = split_unit(change.label)[0]
        measure = catalogue.find(name)
        wanted = measure.key if measure else re.sub(r"[^a-z0-9]+", "_", name.lower()).strip("_")[:_MOST_KEY] or "row"
    keys = (wanted, *(f"{wanted[: _MOST_KEY - 4]}~{n}" for n in range(2, len(taken) + 3)))
    return next(key for key in keys if key not in taken)


def _with_base(state: WorkingState, change: ShapeChange) -> tuple[WorkingState, ShapeChange]:
    if change.key and state.size_at(change.key) is None:
        raise ShapeError(gone())
    return replace(state, base=change.key or None), replace(change, key=state.base or "")


def _with_break(state: WorkingState, change: ShapeChange) -> tuple[WorkingState, ShapeChange]:
    at = state.row_at(change.row)
    if at is None or state.size_at(change.key) is None:
        raise ShapeError(gone())
    row = state.rows[at]
    others = {key for key in row.breaks if key != change.key}
    wanted = others | {change.key} if change.on else others
    breaks = tuple(size.key for size in state.sizes if size.key in wanted)
    rows = (*state.rows[:at], replace(row, breaks=breaks), *state.rows[at + 1 :])
    return replace(state, rows=rows), replace(change, on=not change.on)
