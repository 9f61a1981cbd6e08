"""What the tests of releases work on, each made by one small function, through the real actions."""

from __future__ import annotations

import io
from typing import Any

import pikepdf
from django.core.files.uploadedfile import SimpleUploadedFile
from django.utils.module_loading import import_string
from django_tasks_db.models import DBTaskResult

from measurements.chart_reading import read_chart_text
from measurements.charts import ChartTable
from measurements.finished_measures import FINISHED_MEASURES
from measurements.lengths import Length, read_length
from measurements.models import SizeChart
from people.models import Person, Studio
from releases.actions import add_file, create_pattern, create_version, write_finished
from releases.models import Pattern, PatternFile, Version
from releases.pdf_facts import PdfFacts

A4 = (595.276, 841.89)
LETTER = (612, 792)
FINISHED = "cm\t10\t12\t14\nBust\t94\t98\t102\nWaist\t74\t78\t82\nLength\t64\t64.5\t65"


def cm(text: str) -> Length:
    return read_length(text, "cm")


def make_pattern(studio: Studio, by: Person, **fields: Any) -> Pattern:
    given: dict[str, Any] = {
        "name": "Pebblewick shirt",
        "kind": "shirt",
        "fabric": "woven",
        "chart": None,
        "height": cm("163"),
        "cup": cm("5"),
        "free_at": [],
        "about": "",
    }
    return create_pattern(studio=studio, fields={**given, **fields}, by=by)


def make_version(
    pattern: Pattern, chart: SizeChart, by: Person, *, copied: Version | None = None, **fields: Any
) -> Version:
    revision = chart.latest()
    assert revision is not None
    given: dict[str, Any] = {
        "number": "0.9",
        "sizes": [size.label for size in revision.sizes.all()],
        "base_size": next((size.label for size in revision.sizes.all() if size.is_base), ""),
        "what_changed": "",
        "test_square": cm("10"),
        "copy_finished": False,
        "copy_steps": False,
    }
    return create_version(pattern=pattern, body_chart=revision, fields={**given, **fields}, copied=copied, by=by)


def finished_table(text: str = FINISHED) -> ChartTable:
    return read_chart_text(text, catalogue=FINISHED_MEASURES).table("12")


def with_finished(version: Version, by: Person, text: str = FINISHED, unit: str = "cm") -> Version:
    write_finished(version=version, table=finished_table(text), unit=unit, by=by)
    return version


def pdf_bytes(*sizes: tuple[float, float], **save: Any) -> bytes:
    """A PDF with a blank page of each size, in points."""
    with pikepdf.new() as pdf:
        for size in sizes:
            pdf.add_blank_page(page_size=size)
        out = io.BytesIO()
        pdf.save(out, **save)
    return out.getvalue()


def upload(content: bytes, name: str = "pebblewick.pdf") -> SimpleUploadedFile:
    return SimpleUploadedFile(name, content, content_type="application/pdf")


def make_file(version: Version, by: Person, content: bytes | None = None, **fields: Any) -> PatternFile:
    given: dict[str, Any] = {"name": "pebblewick.pdf", "kind": "a4", "replaces": None}
    facts = PdfFacts(((210.0, 297.0),))
    return add_file(version=version, upload=upload(content or pdf_bytes(A4)), facts=facts, by=by, **{**given, **fields})


def run_jobs() -> None:
    """What a worker would do until no job is left, within the test's own transaction."""
    while jobs := list(DBTaskResult.objects.filter(status="READY")):
        for job in jobs:
            import_string(job.task_path).call(*job.args_kwargs["args"])
            DBTaskResult.objects.filter(pk=job.pk).update(status="SUCCESSFUL")
