"""The demo's studio, charts, pattern and version, made through the app's own actions."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from tempfile import TemporaryDirectory

from django.core.files.base import ContentFile

from measurements.actions import make_chart
from measurements.body_measures import BODY_MEASURES
from measurements.charts import ChartCell, ChartLine, ChartTable
from measurements.finished_measures import FINISHED_MEASURES
from measurements.lengths import read_length
from measurements.models import SizeChart
from people.actions import accept_invitation, create_studio, invite
from people.models import Person, Role, Studio
from releases.actions.ease import declare_ease, write_length
from releases.actions.fabric import write_materials, write_pieces
from releases.actions.files import add_file
from releases.actions.finished import write_finished
from releases.actions.patterns import create_pattern
from releases.actions.steps import write_steps
from releases.actions.versions import create_version
from releases.cutting_list import PieceBoxes
from releases.models import FileKind, GarmentKind, Pattern, PatternFile, Version
from releases.pdf_facts import read_facts
from releases.steps_text import ReadStep
from testing_rounds.demo import cutting, scenario
from testing_rounds.demo.booklet import make_booklet
from testing_rounds.demo.files import Sheet, pattern_pdf

FILES = {
    FileKind.A4: Sheet("Pebblewick, A4", 210, 297, 12, scenario.A4_SCALE),
    FileKind.LETTER: Sheet("Pebblewick, Letter", 215.9, 279.4, 12),
    FileKind.LARGE: Sheet("Pebblewick, large format", 841, 1189, 1),
    FileKind.PROJECTOR: Sheet("Pebblewick, projector", 1000, 1400, 1),
}


def make_people() -> dict[str, Person]:
    """The three of the studio; they sign in by the demo's links alone."""
    people = {Role.OWNER: scenario.OWNER, Role.DESIGNER: scenario.DESIGNER, Role.REVIEWER: scenario.REVIEWER}
    return {role: Person.objects.create_user(email, name=name) for role, (name, email) in people.items()}


def make_studio(people: dict[str, Person]) -> Studio:
    owner = people[Role.OWNER]
    studio = create_studio(name=scenario.STUDIO, by=owner)
    for role in (Role.DESIGNER, Role.REVIEWER):
        invitation = invite(studio=studio, email=people[role].email, role=role, by=owner)
        accept_invitation(invitation=invitation, by=people[role])
    return studio


def make_body_chart(studio: Studio, by: Person) -> SizeChart:
    names = {key: str(BODY_MEASURES[key].name) for key in scenario.BODY}
    made = table(scenario.BODY, names, scenario.BREAKS)
    name = f"{scenario.STUDIO}, women"
    return make_chart(studio=studio, name=name, table=made, unit="cm", cm_step="0.1", inch_parts=8, by=by)


def make_version(studio: Studio, chart: SizeChart, by: Person) -> Version:
    """Version 0.9 as a draft: finished measurements, steps, files. The A4 file is the faulty one."""
    pattern = _pattern(studio, chart, by)
    fields = {
        "number": scenario.VERSION,
        "sizes": list(scenario.SIZES),
        "base_size": scenario.BASE,
        "what_changed": "The first version for testers: everything that was agreed on the base toile.",
        "test_square": read_length(f"{scenario.SQUARE:g}", "cm"),
    }
    revision = chart.revisions.get()
    version = create_version(pattern=pattern, body_chart=revision, fields=fields, copied=None, by=by)
    names = {key: str(FINISHED_MEASURES[key].name) for key in scenario.FINISHED}
    write_finished(version=version, table=table(scenario.FINISHED, names, {}), unit="cm", by=by)
    meant = {key: (read_length(f"{cm:g}", "cm"), None) for key, cm in scenario.MEANT.items()}
    declare_ease(version=version, declared=meant, stretch=None, by=by)
    _add_length(version, by)
    _cut_from(version, by)
    write_steps(version=version, steps=[ReadStep(i, text) for i, text in enumerate(scenario.STEPS, start=1)], by=by)
    make_booklet(version, by)
    for kind in FILES:
        put_file(version, kind, by)
    return version


def _add_length(version: Version, by: Person) -> None:
    """The one further length that the shirt is cut to."""
    name, cm = scenario.LONGER
    change = read_length(f"{cm:g}", "cm")
    fields = {"name": name, "along": "length", "laps": 2, "change": change, "height": None, "lining": None}
    write_length(version=version, of=None, change_mm=change.mm, fields=fields, by=by)


def _cut_from(version: Version, by: Person) -> None:
    """Its materials and its cutting list; the layouts follow in a worker."""
    materials = [
        {
            **fields,
            "widths": [read_length(width, "cm") for width in fields["widths"]],
            "selvedge": read_length(fields["selvedge"], "cm"),
            "repeat": None,
            "gap": None,
            "nap": False,
        }
        for fields in cutting.MATERIALS
    ]
    write_materials(version=version, materials=materials, by=by)
    pieces = []
    for piece in cutting.PIECES:
        name, material, count, cut, *_ = piece
        sides = [[read_length(f"{side:g}", "cm") for side in cutting.box(piece, size)] for size in scenario.SIZES]
        pieces.append(PieceBoxes(name, material, count, cut, "length", tuple((a, b) for a, b in sides)))
    write_pieces(version=version, pieces=pieces, sizes=scenario.SIZES, by=by)


def put_file(version: Version, kind: FileKind, by: Person, *, replaces: PatternFile | None = None) -> PatternFile:
    """Add a file of the version; one that replaces another is drawn at its true size."""
    sheet = FILES[kind]
    if replaces:
        sheet = Sheet(sheet.title, sheet.width, sheet.height, sheet.pages)
    return add_sheet(version, kind, sheet, by, replaces=replaces)


def add_sheet(
    version: Version, kind: FileKind, sheet: Sheet, by: Person, *, replaces: PatternFile | None = None
) -> PatternFile:
    """Draw a file of the version and add it."""
    content = pattern_pdf(sheet, version.number, version.sizes)
    with TemporaryDirectory() as folder:
        path = Path(folder) / "file.pdf"
        path.write_bytes(content)
        facts = read_facts(path)
    name = f"{version.pattern.name.lower()}-{version.number}-{kind.value}.pdf"
    upload = ContentFile(content, name=name)
    return add_file(version=version, upload=upload, name=name, kind=kind, facts=facts, replaces=replaces, by=by)


def _pattern(studio: Studio, chart: SizeChart, by: Person) -> Pattern:
    fields = {
        "name": scenario.PATTERN,
        "kind": GarmentKind.SHIRT,
        "fabric": "woven",
        "chart": chart,
        "height": read_length(f"{scenario.DRAFTED_HEIGHT:g}", "cm"),
        "cup": read_length(f"{scenario.CUP_DIFFERENCE:g}", "cm"),
        "free_at": ["hip"],
        "about": scenario.ABOUT,
    }
    return create_pattern(studio=studio, fields=fields, by=by)


def table(
    rows: Mapping[str, tuple[float, ...]],
    names: Mapping[str, str],
    breaks: Mapping[str, tuple[str, ...]],
    sizes: tuple[str, ...] = scenario.SIZES,
) -> ChartTable:
    """Rows in centimetres; `sizes` are the first of the scenario's."""
    return ChartTable(
        sizes=sizes,
        base=scenario.BASE,
        lines=tuple(
            ChartLine(key, names[key], tuple(_cell(value) for value in values[: len(sizes)]), breaks.get(key, ()))
            for key, values in rows.items()
        ),
    )


def _cell(value: float) -> ChartCell:
    length = read_length(f"{value:g}", "cm")
    return ChartCell(length.mm, length.typed, "cm")
