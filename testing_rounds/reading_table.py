"""Readings as plain text in columns, for a terminal."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator, Sequence

from measurements.sentences import listed
from testing_rounds.reading import Reading
from testing_rounds.round_data import RoundData
from testing_rounds.say import clear_needs

_HEAD = ("zone", "reading", "word", "sizes", "level", "counted")


def as_table(data: RoundData, readings: Sequence[Reading], stage: str | None = None) -> str:
    """The round in a line, a line for each zone, and the sizes that need more reports. `stage` is the one read."""
    rows = [_HEAD, *(_row(data, reading) for reading in readings)]
    lines = [_about(data, data.at_stage(stage)), "", *_aligned(rows), *_thin(readings), *_open(readings)]
    return "\n".join(map(_printable, lines)) + "\n"


def _about(data: RoundData, read: RoundData) -> str:
    span = f"sizes {data.sizes[0]} to {data.sizes[-1]}" if len(data.sizes) > 1 else f"size {data.sizes[0]}"
    return f"{data.pattern} {data.version}, {span}: {_reports(read)}" + (
        f" (not read: {_reports(data, read.stages)})" if len(data.reports) > len(read.reports) else ""
    )


def _reports(data: RoundData, but: Sequence[str] = ()) -> str:
    numbers = Counter(report.stage for report in data.reports if report.stage not in but)
    counted = [f"{number} {stage} {_plural('report', number)}" for stage, number in numbers.items()]
    return ", ".join(counted) or "no reports"


def _row(data: RoundData, reading: Reading) -> tuple[str, ...]:
    zone = next(zone for zone in data.zones if zone.key == reading.zone)
    word = "" if reading.reading == "none" else zone.low if reading.direction < 0 else zone.high
    claimed = reading.strength is not None and reading.level in ("repeated", "watch")
    strength = f" {reading.strength:.0%}" if claimed else ""
    shape = reading.reading.replace("_", " ")
    return (reading.zone, shape, word, " ".join(reading.sizes), reading.level.replace("_", " ") + strength, reading.why)


def _aligned(rows: Sequence[Sequence[str]]) -> Iterator[str]:
    widths = [max(len(row[column]) for row in rows) for column in range(len(_HEAD) - 1)]
    for row in rows:
        yield "  ".join([*(cell.ljust(width) for cell, width in zip(row, widths, strict=False)), row[-1]]).rstrip()


def _thin(readings: Iterable[Reading]) -> Iterator[str]:
    """The sizes that need more reports, zones with the same sizes together."""
    zones_by_sizes: dict[tuple[str, ...], list[str]] = {}
    for reading in readings:
        if reading.thin_sizes:
            zones_by_sizes.setdefault(reading.thin_sizes, []).append(reading.zone)
    if zones_by_sizes:
        yield ""
    for sizes, zones in zones_by_sizes.items():
        needs = "needs" if len(sizes) == 1 else "need"
        yield f"{listed(zones)}: {_plural('size', len(sizes))} {listed(sizes)} {needs} more reports"


def _open(readings: Iterable[Reading]) -> Iterator[str]:
    """The sizes that are not cleared and how many more reports would do, zones with the same ones together."""
    zones_by_sentence: dict[str, list[str]] = {}
    for reading in readings:
        for sentence in clear_needs(reading):
            zones_by_sentence.setdefault(str(sentence), []).append(reading.zone)
    if zones_by_sentence:
        yield ""
    for text, zones in zones_by_sentence.items():
        yield f"{listed(zones)}: {text[:1].lower()}{text[1:].rstrip('.')}"


def _plural(noun: str, number: int) -> str:
    return noun if number == 1 else f"{noun}s"


def _printable(line: str) -> str:
    """A line without the signs that would steer a terminal."""
    return "".join(char for char in line if char.isprintable())
