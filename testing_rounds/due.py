"""When a tester's report is due: a day of theirs, with the days that they asked for, ending where they live."""

from __future__ import annotations

import functools
from datetime import UTC, date, datetime, time, timedelta, tzinfo
from zoneinfo import ZoneInfo, ZoneInfoNotFoundError, available_timezones

from django.conf import settings

from testing_rounds.models import Place, Stage


@functools.cache
def zone_names() -> tuple[str, ...]:
    """The names of time zones as people know them: a region and a place, and UTC."""
    regions = (
        "Africa/",
        "America/",
        "Antarctica/",
        "Arctic/",
        "Asia/",
        "Atlantic/",
        "Australia/",
        "Europe/",
        "Indian/",
    )
    named = {name for name in available_timezones() if name.startswith((*regions, "Pacific/"))}
    return ("UTC", *sorted(named))


def zone_of(place: Place) -> tzinfo:
    """The tester's own zone; UTC until it is known."""
    try:
        return ZoneInfo(place.timezone) if place.timezone else UTC
    except (ZoneInfoNotFoundError, ValueError):
        return UTC


def today_of(place: Place, now: datetime) -> date:
    """The day that it is where the tester lives."""
    return now.astimezone(zone_of(place)).date()


def due_day(place: Place) -> date | None:
    """The last day for the report of this visit, never after the round has closed."""
    day = place.round.finished_due if place.stage == Stage.FINISHED else place.round.report_due
    if day is None:
        return None
    later = day + timedelta(days=place.more_days) if place.stage == Stage.TOILE else day
    closes = place.round.closes
    return max(day, min(later, closes)) if closes else later


def days_left(place: Place, now: datetime) -> int | None:
    """Days from the tester's today to the last one: 0 on it, negative after it."""
    day = due_day(place)
    return (day - today_of(place, now)).days if day else None


def zone_name_of(place: Place) -> str:
    """The tester's zone as it is named to them; "" until it is known."""
    return place.timezone.replace("_", " ") if zone_of(place) is not UTC or place.timezone == "UTC" else ""


def due_moment(place: Place) -> datetime | None:
    """The end of the last day where the tester lives, in UTC."""
    day = due_day(place)
    if day is None:
        return None
    return datetime.combine(day + timedelta(days=1), time(0), zone_of(place)).astimezone(UTC)


def may_ask_for_days(place: Place) -> int:
    """How many more days may still be asked for: a few at a time, while the round is open that long."""
    day = due_day(place)
    if day is None or place.stage != Stage.TOILE or place.more_days >= settings.MORE_DAYS_AT_MOST:
        return 0
    left = (place.round.closes - day).days if place.round.closes else settings.MORE_DAYS
    return max(0, min(settings.MORE_DAYS, left))
