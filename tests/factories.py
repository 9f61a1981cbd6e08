"""The cast and the things of tests, each made by one small function."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from itertools import count
from typing import Any

from django.test import Client

from measurements.chart_store import add_revision
from measurements.charts import ChartCell, ChartLine, ChartTable
from measurements.models import SizeChart
from people.models import Membership, Person, Role, Studio

PASSWORD = "three toiles and a half"
_numbers = count(1)


def make_person(name: str = "Kwabena Lissak", **fields: Any) -> Person:
    """A person who can sign in with PASSWORD."""
    address = fields.pop("email", f"{name.partition(' ')[0].lower()}{next(_numbers)}@saltmarsh.example")
    return Person.objects.create_user(address, fields.pop("password", PASSWORD), name=name, **fields)


def make_studio(name: str = "Saltmarsh Row") -> Studio:
    return Studio.objects.create(name=name)


def join(studio: Studio, person: Person, role: str) -> Membership:
    return Membership.objects.create(studio=studio, person=person, role=role)


@dataclass(frozen=True)
class Cast:
    """A studio with one person a role, and someone who owns another studio."""

    studio: Studio
    owner: Person
    designer: Person
    reviewer: Person
    outsider: Person
    other_studio: Studio


def make_cast() -> Cast:
    cast = Cast(
        studio=make_studio(),
        owner=make_person("Imelda Tarrowby"),
        designer=make_person("Kwabena Lissak"),
        reviewer=make_person("Haruka Velloso"),
        outsider=make_person("Odile Sorrento"),
        other_studio=make_studio("Quillpoint"),
    )
    join(cast.studio, cast.owner, Role.OWNER)
    join(cast.studio, cast.designer, Role.DESIGNER)
    join(cast.studio, cast.reviewer, Role.REVIEWER)
    join(cast.other_studio, cast.outsider, Role.OWNER)
    return cast


def signed_in(person: Person) -> Client:
    """A browser in which the person is signed in."""
    client = Client()
    client.force_login(person)
    return client


def chart_table(
    lines: dict[str, tuple[str, ...]] | None = None,
    sizes: tuple[str, ...] = ("10", "12", "14"),
    base: str | None = "12",
    unit: str = "cm",
) -> ChartTable:
    """A chart typed in cm (or in): {key: values by size}; an empty text is an empty cell."""
    lines = lines or {"bust": ("88", "92", "96"), "waist": ("70", "74", "78"), "hip": ("94", "98", "102")}
    per = Decimal(10) if unit == "cm" else Decimal("25.4")
    return ChartTable(
        sizes=sizes,
        base=base,
        lines=tuple(
            ChartLine(
                key,
                key.replace("_", " ").capitalize(),
                tuple(ChartCell(Decimal(value) * per, value, unit) if value else None for value in values),
            )
            for key, values in lines.items()
        ),
    )


def make_chart(
    studio: Studio, table: ChartTable | None = None, *, by: Person | None = None, **fields: Any
) -> SizeChart:
    """A chart with its first revision."""
    chart = SizeChart.objects.create(studio=studio, **{"name": "Saltmarsh women's chart", **fields})
    add_revision(chart, table or chart_table(), by=by)
    return chart
