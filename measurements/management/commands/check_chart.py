"""`manage.py check_chart FILE`: the grade check of a chart, or of a body chart and a finished one."""

from __future__ import annotations

import json
from argparse import ArgumentParser
from collections.abc import Iterator
from decimal import Decimal
from pathlib import Path
from typing import Any

from django.core.management.base import CommandError

from config.limits import CHART_FILE_BYTES
from measurements.grade_check import NO_FACTS, check_grade
from measurements.grade_entry import ChartEntry, ChartFileError, read_chart
from measurements.grade_facts import FactsError, read_facts
from measurements.grade_types import FINE_CM, KIND_NAMES, Finding, GradeFacts, GradeReport, NotRun
from measurements.length_display import MM_PER_INCH, LengthStyle
from measurements.lengths import Unit
from measurements.sentences import Sentence, gettext_noop, sentence
from people.commands import PlainCommand


class Command(PlainCommand):
    help = "Check the grade of a size chart (CSV: measurements down, sizes across); with --finished, on ease per size."
    requires_system_checks: list[str] = []

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("file", help="a chart: of the body where --finished is given")
        parser.add_argument("--finished", metavar="FILE", help="the finished measurements of the garment")
        parser.add_argument("--unit", choices=["cm", "in"], help="what bare numbers are; else as the file says")
        parser.add_argument("--facts", metavar="FILE", help="what is declared, as JSON: docs/algorithms/grade-check.md")
        parser.add_argument("--json", action="store_true", help="print JSON alone")

    def handle(self, *args: Any, **options: Any) -> None:
        unit: Unit | None = options["unit"]
        facts, unknown = _facts(options["facts"])
        first = _chart(options["file"], unit, finished=False if options["finished"] else None)
        second = _chart(options["finished"], unit, finished=True) if options["finished"] else None
        body = None if first.finished else first.table
        garment = first.table if first.finished else second.table if second else None
        report = check_grade(body, garment, facts)
        unread = [*unknown, *first.unread, *(second.unread if second else ())]
        shown: Unit = unit or (second or first).unit
        if options["json"]:
            self.stdout.write(
                json.dumps(_as_dict(report, unread, shown), ensure_ascii=False, indent=1, allow_nan=False)
            )
        else:
            self.stdout.write("\n".join(_as_text(report, unread, shown)))


def _read(name: str) -> bytes:
    try:
        with Path(name).open("rb") as stream:
            return stream.read(CHART_FILE_BYTES + 1)
    except (OSError, ValueError) as error:
        why = getattr(error, "strerror", None) or "it has no such name"
        raise CommandError(f"{name} cannot be read: {why}.", returncode=2) from None


def _chart(name: str, unit: Unit | None, *, finished: bool | None) -> ChartEntry:
    try:
        return read_chart(_read(name), unit=unit, finished=finished)
    except ChartFileError as error:
        raise CommandError(f"{name}: {error}", returncode=2) from None


def _facts(name: str | None) -> tuple[GradeFacts, list[NotRun]]:
    if name is None:
        return NO_FACTS, []
    try:
        facts, unknown = read_facts(_read(name))
    except FactsError as error:
        raise CommandError(f"{name}: {error}", returncode=2) from None
    said = gettext_noop("“%(name)s” is no fact that is known here.")
    return facts, [NotRun("facts", sentence("unknown_fact", said, name=key[:60])) for key in unknown]


def _amount(mm: Decimal, unit: Unit, finding: Finding) -> float:
    """A proposed length in the unit; a proposed size label is a bare number."""
    per = MM_PER_INCH if unit == "in" and finding.measure != "size" else Decimal(10)
    return round(float(mm / per), 4)


def _words(said: Sentence, unit: Unit) -> str:
    style = LengthStyle(16, FINE_CM)
    text = said.text(show=lambda mm: style.text(mm, unit))
    return text[:1].upper() + text[1:]


def _as_dict(report: GradeReport, unread: list[NotRun], unit: Unit) -> dict[str, Any]:
    return {
        "unit": unit,
        "findings": [
            {
                "kind": one.kind,
                "measure": one.measure,
                "sizes": list(one.sizes),
                "proposed": {size: _amount(mm, unit, one) for size, mm in one.proposed} or None,
                "says": _words(one.says, unit),
            }
            for one in report.findings
        ],
        "not_run": [[one.check, _words(one.why, unit)] for one in (*unread, *report.not_run)],
    }


def _as_text(report: GradeReport, unread: list[NotRun], unit: Unit) -> Iterator[str]:
    if not report.findings:
        yield "Nothing was found."
    for one in report.findings:
        yield f"{str(KIND_NAMES[one.kind]).lower():<10} {_words(one.says, unit)}"
        if one.proposed:
            proposed = ", ".join(f"{size} {_amount(mm, unit, one):g}" for size, mm in one.proposed)
            yield f"{'':<10} proposed ({unit}): {proposed}"
    for note in report.notes:
        yield f"note       {_words(note, unit)}"
    for skipped in (*unread, *report.not_run):
        yield f"not run    {skipped.check}: {_words(skipped.why, unit)}"
