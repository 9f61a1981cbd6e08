"""`manage.py advise_size --chart FILE --body bust=98,waist=80`: which size to sew, and why."""

from __future__ import annotations

import json
from argparse import ArgumentParser
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any, TypeVar

from django.core.management.base import CommandError

from config.limits import CHART_FILE_BYTES
from measurements.advice_answer import as_dict, nothing, says
from measurements.advice_bodies import LIMITS, BodyRow, read_bodies
from measurements.advice_facts import Asked, facts_for
from measurements.advice_text import (
    AdviceError,
    body_unit,
    is_negative,
    read_body,
    read_ease,
    read_lengths,
    read_places,
)
from measurements.body_measures import BODY_MEASURES
from measurements.chart_draft import ChartDraft
from measurements.chart_reading import read_chart_file, turn_sizes
from measurements.charts import ChartTable
from measurements.finished_measures import FINISHED_MEASURES
from measurements.lengths import Unit
from measurements.measures import Catalogue
from measurements.sentences import gettext_noop, sentence
from measurements.size_advice import advise
from measurements.size_advice_types import PatternFacts, SizeAdvice
from people.commands import PlainCommand

Read = TypeVar("Read")
_OTHER_UNIT = gettext_noop("The numbers fit no unit but %(unit)s, and were read so.")
UNITS, FABRICS, PREFERENCES = ("cm", "in", "mm"), ("woven", "knit"), ("usual", "closer", "roomier")


class Command(PlainCommand):
    help = "Advise the size to sew for a body, or for each body of a table (docs/algorithms/size-advice.md)."
    requires_system_checks: list[str] = []

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("--chart", help="the body chart, CSV or XLSX: a measurement a row, a size a column")
        parser.add_argument("--unit", help="cm, in or mm: the unit of the chart where it names none")
        parser.add_argument("--body", help="the measurements, in the chart's unit: bust=98,high_bust=93,waist=34 1/2")
        parser.add_argument("--bodies", help="a CSV or XLSX of bodies, a measurement a column; one answer a row")
        parser.add_argument(
            "--ease", default="", help="what the garment has over the chart: bust=6,waist=4 or bust=-4%%"
        )
        parser.add_argument("--finished", help="the finished chart, CSV or XLSX: gives the ease of each size")
        parser.add_argument("--least", default="", help="the least ease: bust=4,waist=2,hip=5 (these where not given)")
        parser.add_argument("--free", action="append", default=[], help="places that hang free: hip")
        parser.add_argument("--fabric", help="woven (the usual) or knit; where the ease is negative, knit")
        parser.add_argument("--prefer", default="usual", help="closer or roomier")
        parser.add_argument("--json", action="store_true", help="print JSON alone: an object, or an object a row")

    def handle(self, *args: Any, **options: Any) -> None:
        try:
            for line in _answers(options):
                self.stdout.write(line)
        except AdviceError as wrong:
            raise CommandError(str(wrong), returncode=2) from None


def _answers(options: dict[str, Any]) -> Iterator[str]:
    _check(options)
    chart, unit = _chart(options["chart"], options["unit"], BODY_MEASURES)
    finished = _chart(options["finished"], None, FINISHED_MEASURES)[0] if options["finished"] else None
    told = body_unit(options["body"], unit) if options["body"] else unit
    ease = read_ease(options["ease"], told)
    asked = Asked(
        ease,
        finished,
        read_lengths(options["least"], told),
        read_places(options["free"]),
        options["fabric"] or ("knit" if any(map(is_negative, ease.values())) else "woven"),
    )
    advisor = _Advisor(chart, asked, options["prefer"])
    if options["bodies"]:
        rows = read_bodies(_bytes(options["bodies"], LIMITS.most_bytes), unit)
        yield from map(advisor.row_as_json if options["json"] else advisor.row_as_text, rows)
    else:
        answer = advisor.advice(read_body(options["body"], told))
        more = () if told == unit else (str(sentence("body_unit", _OTHER_UNIT, unit=told)),)
        yield _json(as_dict(answer, *more)) if options["json"] else _text(answer, unit, *more)


class _Advisor:
    """Advice of one garment for many bodies; the facts are made once for those of which the same places are known."""

    def __init__(self, chart: ChartTable, asked: Asked, preference: Any) -> None:
        self.chart, self.asked, self.preference = chart, asked, preference
        self.facts: dict[frozenset[str], PatternFacts] = {}

    def advice(self, body: dict[str, Any]) -> SizeAdvice:
        places = frozenset(body)
        if places not in self.facts:
            self.facts[places] = facts_for(self.chart, self.asked, places)
        return advise(body, self.facts[places], self.preference)

    def row_as_json(self, row: BodyRow) -> str:
        return _json(nothing(str(row.trouble)) if row.trouble else as_dict(self.advice(row.body)))

    def row_as_text(self, row: BodyRow) -> str:
        if row.trouble:
            return "\t".join(filter(None, (row.name, "-", str(row.trouble))))
        answer = self.advice(row.body)
        return "\t".join(filter(None, (row.name, answer.size or "-", says(answer))))


def _json(answer: dict[str, Any]) -> str:
    return json.dumps(answer, ensure_ascii=False, allow_nan=False)


def _text(answer: SizeAdvice, unit: Unit, *more: str) -> str:
    head = f"Size {answer.size}." if answer.size else "Outside the range." if answer.outside else "No size."
    return f"{head} {says(answer, *more, first='in' if unit == 'in' else 'cm')}"


def _check(options: dict[str, Any]) -> None:
    """What argparse would answer with its usage, in a sentence."""
    if not options["chart"]:
        raise CommandError("Name the chart: --chart FILE.", returncode=2)
    if bool(options["body"]) == bool(options["bodies"]):
        raise CommandError("Give one body with --body bust=98,waist=80, or a table with --bodies FILE.", returncode=2)
    for name, allowed in (("unit", (None, *UNITS)), ("fabric", (None, *FABRICS)), ("prefer", PREFERENCES)):
        if options[name] not in allowed:
            words = " or ".join(word for word in allowed if word)
            raise CommandError(f"--{name} is {words}, not {options[name]}.", returncode=2)


def _chart(name: str, unit: Unit | None, catalogue: Catalogue) -> tuple[ChartTable, Unit]:
    """The chart of a file and the unit that holds for bare numbers beside it; sizes run from small to large."""
    draft = read_chart_file(_bytes(name, CHART_FILE_BYTES), unit=unit, catalogue=catalogue)
    if any(doubt.code == "sizes_turned" for doubt in draft.doubts):
        draft = turn_sizes(draft, catalogue=catalogue)
    return _read(name, lambda: _table(draft)), draft.unit


def _table(draft: ChartDraft) -> ChartTable:
    return draft.table()


def _read(name: str, read: Callable[[], Read]) -> Read:
    try:
        return read()
    except ValueError as wrong:
        raise CommandError(f"{name}: {wrong}", returncode=2) from None


def _bytes(name: str, most: int) -> bytes:
    try:
        with Path(name).open("rb") as file:
            return file.read(most + 1)
    except OSError as error:
        raise CommandError(f"{name} cannot be read: {error.strerror}.", returncode=2) from None
