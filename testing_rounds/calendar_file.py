"""Days and moments as a calendar file (iCalendar, RFC 5545): times in UTC, so that no time zone has to travel along.

Lines end in CR LF and are folded after 75 octets, never inside a character (RFC 5545, 3.1); text is escaped as in
3.3.11.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta

LINE_OCTETS = 75
MAKER = "-//Second Toile//A tester's dates//EN"


@dataclass(frozen=True)
class CalendarDay:
    """Something on a whole day (`on` a date), or up to a moment (`on` a datetime that knows its zone).

    `uid` stays the same when the day moves; `moved` counts how often it did.
    """

    uid: str
    on: date
    title: str
    words: str = ""
    url: str = ""
    moved: int = 0


def calendar_file(days: Iterable[CalendarDay], *, name: str, now: datetime) -> bytes:
    """The file; a calendar that reads it again replaces what it had under the same uid."""
    lines = ["BEGIN:VCALENDAR", "VERSION:2.0", f"PRODID:{MAKER}", "METHOD:PUBLISH", f"X-WR-CALNAME:{_text(name)}"]
    for day in days:
        lines += _event(day, now)
    lines.append("END:VCALENDAR")
    return b"".join(folded(line) for line in lines)


def _event(day: CalendarDay, now: datetime) -> Iterator[str]:
    yield "BEGIN:VEVENT"
    yield f"UID:{day.uid}"
    yield f"DTSTAMP:{_moment(now)}"
    yield f"SEQUENCE:{day.moved}"
    if isinstance(day.on, datetime):
        # The last hour before the moment: an entry without length is hidden by some calendars.
        yield f"DTSTART:{_moment(day.on - timedelta(hours=1))}"
        yield f"DTEND:{_moment(day.on)}"
    else:
        yield f"DTSTART;VALUE=DATE:{day.on:%Y%m%d}"
        yield f"DTEND;VALUE=DATE:{day.on + timedelta(days=1):%Y%m%d}"
        yield "TRANSP:TRANSPARENT"
    yield f"SUMMARY:{_text(day.title)}"
    if day.words:
        yield f"DESCRIPTION:{_text(day.words)}"
    if day.url:
        yield f"URL:{day.url}"
    yield "END:VEVENT"


def _moment(when: datetime) -> str:
    return f"{when.astimezone(UTC):%Y%m%dT%H%M%SZ}"


def _text(words: str) -> str:
    for sign, written in (("\\", "\\\\"), (";", "\\;"), (",", "\\,"), ("\r\n", "\\n"), ("\n", "\\n")):
        words = words.replace(sign, written)
    return "".join(sign for sign in words if sign.isprintable())


def folded(line: str) -> bytes:
    """A line as it is written: pieces of at most 75 octets, each further one after a space."""
    pieces: list[bytes] = []
    piece = b""
    for sign in line:
        octets = sign.encode()
        if len(piece) + len(octets) > LINE_OCTETS - bool(pieces):
            pieces.append(piece)
            piece = b""
        piece += octets
    return b"\r\n ".join([*pieces, piece]) + b"\r\n"
