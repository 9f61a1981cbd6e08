"""What the page of a working copy is told: every row with its texts, lengths, steps, doubts and hands.

A row is sent when its fingerprint is not the one that the page has. Cells leave out what is empty:
t text, s state (empty, doubt, unread), o the length in the other unit, d the step from the size before, b 1 for a
declared break, n what is doubtful, w who changed it ("" for the reader), h the texts that wait: [number, text, who].
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Collection
from decimal import Decimal
from typing import Any

from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from measurements.chart_draft import ChartDraft, DraftCell, DraftRow
from measurements.desk import Desk
from measurements.length_display import TENTH_CM, LengthStyle
from measurements.models import SizeChart
from measurements.translated import in_words
from measurements.working_state import Head, Place
from measurements.working_store import Working, closing_of, name_of
from people.models import Person

_NOTHING = DraftCell("")


def answer(now: Working, desk: Desk, style: LengthStyle, reader: Person, known: Known | None = None) -> dict[str, Any]:
    """The copy as the page shows it; of the rows only those that are not `known`."""
    draft = desk.draft
    sizes = [
        [size.id, size.label, int(size.id == now.state.base), _doubt(draft.sizes[j].doubt if draft.sizes else None)]
        for j, size in enumerate(now.state.sizes)
    ]
    rows = [_row(now, desk, style, reader, i) for i in range(len(now.state.rows))]
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


def _row(now: Working, desk: Desk, style: LengthStyle, reader: Person, i: int) -> dict[str, Any]:
    head = now.state.rows[i]
    read = desk.draft.rows[i] if i < len(desk.draft.rows) else None
    unit = str(read.unit if read else desk.grid.unit)
    row = {
        "id": head.id,
        "label": head.label,
        "unit": unit,
        "n": _doubt(read.doubt, style) if read else "",
        "cells": [
            _cell(now, (head.id, size.id), read, j, style, reader, head) for j, size in enumerate(now.state.sizes)
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
