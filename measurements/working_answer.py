"""What the page of a working copy is told: every row with its texts, lengths, steps, doubts and hands.

A row is sent when its fingerprint is not the one that the page has. Cells leave out what is empty:
t text, s state (empty, doubt, unread), o the length in the other unit, d the step from the size before, b 1 for a
declared break, n what is doubtful, g what the grade check says of it, w who changed it ("" for the reader), h the
texts that wait: [number, text, who].
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Collection
from decimal import Decimal
from typing import Any

from django.utils.text import capfirst
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from measurements.chart_draft import OBSTACLES, ChartDraft, DraftCell, DraftRow, readable_table
from measurements.desk import Desk
from measurements.grade_marks import GradeMark, marks
from measurements.grade_store import grade_view
from measurements.grade_types import KIND_NAMES, ChartName, Finding, GradeFacts
from measurements.length_display import TENTH_CM, LengthStyle
from measurements.models import ChartAbout, SizeChart
from measurements.sentences import Sentence
from measurements.translated import in_words
from measurements.working_state import Head, Place
from measurements.working_store import Working, closing_of, name_of
from people.models import Person

_NOTHING = DraftCell("")
Marks = dict[tuple[str, str], GradeMark]


def answer(now: Working, desk: Desk, style: LengthStyle, reader: Person, known: Known | None = None) -> dict[str, Any]:
    """The copy as the page shows it; of the rows only those that are not `known`."""
    draft = desk.draft
    sizes = [
        [size.key, size.label, int(size.key == now.state.base), _doubt(draft.sizes[j].doubt if draft.sizes else None)]
        for j, size in enumerate(now.state.sizes)
    ]
    findings, found = grade_of(now, desk)
    rows = [_row(now, desk, style, reader, i, found) for i in range(len(now.state.rows))]
    shape = _print([sizes, [row["id"] for row in rows]])
    has = set(known.rows) if known and known.shape == shape else set()
    return {
        "copy": now.ref,
        "seq": now.seq,
        "revision": now.revision.number,
        "shape": shape,
        "sizes": sizes,
        "order": [row["id"] for row in rows],
        "rows": [row for row in rows if row["print"] not in has],
        "doubts": [in_words(doubt, style) for doubt in (*_refusal(draft), *draft.doubts)],
        "seen": " ".join(sorted(desk.marks)),
        "unread": desk.sheet.unread,
        "empty": desk.sheet.empty,
        "held": len(now.held),
        "findings": [_finding(now, draft, finding, style) for finding in findings],
        "tally": tally(now, reader),
    }


class Known:
    """What the page has: the fingerprints of its shape and of its rows."""

    def __init__(self, shape: str = "", rows: str = "") -> None:
        self.shape = shape
        self.rows: Collection[str] = rows.split(".")


def _refusal(draft: ChartDraft) -> tuple[Any, ...]:
    return (draft.refusal,) if draft.refusal else ()


def _doubt(doubt: Any, style: LengthStyle | None = None) -> str:
    return in_words(doubt, style or LengthStyle()) if doubt else ""


def grade_of(now: Working, desk: Desk) -> tuple[list[Finding], Marks]:
    """What the grade check says of the chart as it stands, silenced findings apart, and where; nothing while two rows
    or two sizes are one.
    """
    draft = desk.draft
    if draft.refusal or not draft.rows or any(doubt.code in OBSTACLES for doubt in _labels(draft)):
        return [], {}
    table = now.state.with_breaks(readable_table(draft, desk.grid.base_label))
    name: ChartName = "body" if now.chart.about == ChartAbout.BODY else "finished"
    body, finished = (table, None) if name == "body" else (None, table)
    view = grade_view(body, finished, {name: now.chart}, GradeFacts(base=table.base))
    findings = [finding for number, finding in view.numbered(name)]
    return findings, marks(table, findings)


def _finding(now: Working, draft: ChartDraft, finding: Finding, style: LengthStyle) -> list[str]:
    """Its kind, its sentence, and the cell that it speaks of first."""
    rows = {read.key: head.key for read, head in zip(draft.rows, now.state.rows, strict=False)}
    sizes = {size.label: size.key for size in now.state.sizes}
    first = finding.sizes[0] if finding.sizes else ""
    says = capfirst(in_words(finding.says, _fine(style)))
    return [_(KIND_NAMES[finding.kind]), says, rows.get(finding.measure, ""), sizes.get(first, "")]


def _fine(style: LengthStyle) -> LengthStyle:
    """Steps and proposals are shown to a tenth of a centimetre and a sixteenth of an inch."""
    return LengthStyle(max(16, style.inch_denominator), TENTH_CM)


def _labels(draft: ChartDraft) -> list[Sentence]:
    doubts = (*(size.doubt for size in draft.sizes), *(row.doubt for row in draft.rows))
    return [doubt for doubt in doubts if doubt]


def _row(now: Working, desk: Desk, style: LengthStyle, reader: Person, i: int, found: Marks) -> dict[str, Any]:
    head = now.state.rows[i]
    read = desk.draft.rows[i] if i < len(desk.draft.rows) else None
    unit = str(read.unit if read else desk.grid.unit)
    row = {
        "id": head.key,
        "label": head.label,
        "unit": unit,
        "n": _doubt(read.doubt, style) if read else "",
        "cells": [
            _cell(now, (head.key, size.key), read, j, style, reader, head)
            | _found(found.get((read.key if read else "", size.label)), unit, style)
            for j, size in enumerate(now.state.sizes)
        ],
    }
    return {**row, "print": _print(row)}


def _cell(
    now: Working, place: Place, row: DraftRow | None, j: int, style: LengthStyle, reader: Person, head: Head
) -> dict[str, Any]:
    read = row.cells[j] if row and j < len(row.cells) else _NOTHING
    before = row.cells[j - 1].mm if row and 0 < j <= len(row.cells) else None
    unit = row.unit if row else "cm"
    doubt = read.doubt if read.unread or read.length else None
    cell: dict[str, Any] = {
        "t": now.state.text(place),
        "s": "unread" if read.unread else "empty" if read.length is None else "doubt" if read.doubt else "",
        "o": _other(read.mm, unit, style),
        "d": _step(before, read.mm, unit, style),
        "b": int(place[1] in head.breaks),
        "n": _doubt(doubt, style),
        "h": [[held.seq, held.text, _hand(held.by, reader)] for held in now.held if held.place == place],
    }
    if place in now.hands:
        cell["w"] = _hand(now.hands[place], reader)
    return {name: value for name, value in cell.items() if value or name == "w"}


def _found(mark: GradeMark | None, unit: str, style: LengthStyle) -> dict[str, Any]:
    """The kind by its name and its code, the sentence, the text that would mend the cell, 1 where it is the step."""
    if mark is None:
        return {}
    mended = "" if mark.proposed is None else _fine(style).number(mark.proposed, unit)
    says = capfirst(in_words(mark.says, _fine(style)))
    return {"g": [mark.kind, _(KIND_NAMES[mark.kind]), says, mended, int(mark.on_step)]}


def _hand(person: Person | None, reader: Person) -> str:
    return "" if person == reader else name_of(person)


def _other(mm: Decimal | None, unit: str, style: LengthStyle) -> str:
    if mm is None:
        return ""
    # A tenth of a centimetre, so that an inch value does not look rounder than it is.
    return LengthStyle(cm_step=TENTH_CM).cm(mm) if unit == "in" else str(style.inches(mm))


def _step(before: Decimal | None, mm: Decimal | None, unit: str, style: LengthStyle) -> str:
    if before is None or mm is None:
        return ""
    step = mm - before
    shown = str(style.inches(step)) if unit == "in" else LengthStyle(cm_step=TENTH_CM).cm(step)
    return f"+{shown}" if step > 0 else shown


def _print(content: Any) -> str:
    return hashlib.sha256(json.dumps(content).encode()).hexdigest()[:8]


def tally(now: Working, reader: Person) -> str:
    """How much differs from the revision, and by whom, in a sentence."""
    hands = [_hand(person, reader) for person in now.hands.values()]
    parts = [_changed_by(name, hands.count(name)) for name in sorted(set(hands))]
    if parts:
        return _("Since revision %(number)s: %(parts)s.") % {"number": now.revision.number, "parts": ", ".join(parts)}
    if now.state != now.before:
        return _("Since revision %(number)s sizes or measurements were changed.") % {"number": now.revision.number}
    return _("It stands as in revision %(number)s.") % {"number": now.revision.number}


def _changed_by(name: str, count: int) -> str:
    if not name:
        return ngettext("%(count)d cell changed by you", "%(count)d cells changed by you", count) % {"count": count}
    said = ngettext("%(count)d cell changed by %(name)s", "%(count)d cells changed by %(name)s", count)
    return said % {"count": count, "name": name}


def ending(chart: SizeChart, ref: str) -> str:
    """What became of a copy that is no longer open, in a sentence; nothing where there is nothing to say."""
    closed = closing_of(chart, ref) if ref else None
    if closed is None:
        return ""
    said = {"who": name_of(closed.closed_by), "number": closed.saved_as.number if closed.saved_as else 0}
    if closed.saved_as:
        return _("%(who)s saved these changes as revision %(number)s. You go on from there.") % said
    return _("%(who)s closed these changes without a revision. You go on from the last one.") % said
