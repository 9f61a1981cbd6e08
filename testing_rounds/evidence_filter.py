"""What of a round is shown: one stage, and all of it or one size, one zone; and the addresses that keep the stage."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from urllib.parse import urlencode

from django.urls import reverse
from django.utils.text import capfirst
from django.utils.translation import gettext as _

from testing_rounds.decided import file_name
from testing_rounds.evidence import Evidence
from testing_rounds.evidence_words import stage_name, zone_name, zone_title
from testing_rounds.issues import Sibling
from testing_rounds.models import FitReport, Round
from testing_rounds.set_aside import Answer


@dataclass(frozen=True)
class Links:
    """Addresses inside a round. The stage goes along where it is not the one that is shown unasked."""

    round_ref: str
    stage: str = ""

    @classmethod
    def of(cls, evidence: Evidence) -> Links:
        return cls(evidence.found.ref, "" if evidence.stage == evidence.stages[0] else evidence.stage)

    @property
    def query(self) -> str:
        return f"?{urlencode({'stage': self.stage})}" if self.stage else ""

    def overview(self) -> str:
        return reverse("round", args=[self.round_ref]) + self.query

    def zone(self, key: str) -> str:
        return reverse("round_zone", args=[self.round_ref, key]) + self.query

    def cell(self, key: str, position: int) -> str:
        return reverse("round_cell", args=[self.round_ref, key, position]) + self.query

    def cells(self, key: str, count: int) -> list[str]:
        """The addresses of all cells of a zone, by the position of the size."""
        first, last = reverse("round_cell", args=[self.round_ref, key, 0]).rsplit("0", 1)
        return [f"{first}{position}{last}{self.query}" for position in range(count)]

    def size(self, position: int) -> str:
        return reverse("round_size", args=[self.round_ref, position]) + self.query

    def report(self, row: FitReport, anchor: str = "") -> str:
        return reverse("report", args=[row.ref]) + (f"#{anchor}" if anchor else "")


def answer_anchor(evidence: Evidence, zone: str) -> str:
    """Where a zone's answer stands on the page of its report: by its place, for a key may hold anything."""
    return f"answer-{list(evidence.zones).index(zone)}"


def fabric_key(row: FitReport) -> str:
    """The fabric that a tester named, whatever its capitals and spaces."""
    return " ".join(row.fabric_used.split()).casefold()


@dataclass(frozen=True)
class Shown:
    """The sizes and zones that a page shows: all of them, or the one that was asked for."""

    sizes: tuple[str, ...]
    zones: tuple[str, ...]
    size: str = ""
    zone: str = ""
    file: str = ""
    fabric: str = ""

    @property
    def narrowed(self) -> bool:
        return bool(self.size or self.zone or self.some_reports)

    @property
    def some_reports(self) -> bool:
        """Whether only the reports of one file or fabric are shown: what is read stays that of all."""
        return bool(self.file or self.fabric)

    def told_by(self, row: FitReport) -> bool:
        return self.file in {"", row.file_kind} and self.fabric in {"", fabric_key(row)}

    def has_size(self, size: str) -> bool:
        return size in self.sizes

    def has(self, answer: Answer) -> bool:
        return answer.size in self.sizes and answer.zone in self.zones

    def words(self, evidence: Evidence) -> str:
        """ "size 18, the waist": what is shown, for a sentence; "" for all."""
        parts = [_("size %(size)s") % {"size": self.size}] if self.size else []
        if self.zone:
            parts.append(_("the %(zone)s") % {"zone": zone_name(evidence.zones[self.zone])})
        if self.file:
            parts.append(_("prints of the %(file)s") % {"file": file_name(self.file)})
        if self.fabric:
            parts.append(_("sewn of %(fabric)s") % {"fabric": self.fabric})
        return ", ".join(parts)


def shown_of(evidence: Evidence, asked: Mapping[str, str]) -> Shown:
    """What was asked of a round; a size or zone that it does not have shows all."""
    sizes, zones = evidence.data.sizes, tuple(evidence.zones)
    position, zone = asked.get("size", ""), asked.get("zone", "")
    size = sizes[int(position)] if position.isascii() and position.isdigit() and int(position) < len(sizes) else ""
    zone = zone if zone in evidence.zones else ""
    file, fabric = asked.get("file", ""), asked.get("fabric", "")
    return Shown(
        (size,) if size else sizes,
        (zone,) if zone else zones,
        size,
        zone,
        file if any(row.file_kind == file for row in evidence.rows) else "",
        fabric if any(fabric_key(row) == fabric for row in evidence.rows) else "",
    )


@dataclass(frozen=True)
class Choice:
    """One list of the filter: its options as (value, words), and the one that is shown."""

    name: str
    label: str
    options: tuple[tuple[str, str], ...]
    chosen: str


def choices(evidence: Evidence, shown: Shown, rounds: Sequence[Sibling]) -> tuple[Choice, ...]:
    """The plain form that asks for the same page again: version, stage, size, zone, file, fabric."""
    sizes, zones = evidence.data.sizes, evidence.zones
    at = str(sizes.index(shown.size)) if shown.size else ""
    return (
        Choice(
            "version",
            _("Version"),
            tuple((one.ref, f"{one.version}, {one.name}") for one in rounds),
            evidence.found.ref,
        ),
        Choice("stage", _("Stage"), tuple((stage, stage_name(stage)) for stage in evidence.stages), evidence.stage),
        Choice("size", _("Size"), (("", _("all sizes")), *((str(i), size) for i, size in enumerate(sizes))), at),
        Choice(
            "zone",
            _("Zone"),
            (("", _("all zones")), *((key, zone_title(zone)) for key, zone in zones.items())),
            shown.zone,
        ),
        *_of_reports(evidence, shown),
    )


def _of_reports(evidence: Evidence, shown: Shown) -> Iterable[Choice]:
    """File and fabric, where the reports name more than one."""
    files = sorted({row.file_kind for row in evidence.rows if row.file_kind})
    if len(files) > 1 or shown.file:
        options = [(file, capfirst(file_name(file))) for file in files]
        yield Choice("file", _("File printed"), (("", _("all files")), *options), shown.file)
    fabrics = sorted({fabric_key(row) for row in evidence.rows} - {""})
    if len(fabrics) > 1 or shown.fabric:
        named = [(fabric, capfirst(fabric)) for fabric in fabrics]
        yield Choice("fabric", _("Fabric sewn"), (("", _("all fabrics")), *named), shown.fabric)


def another_round(found: Round, asked: Mapping[str, str], rounds: Sequence[Sibling]) -> str:
    """The address of the round of another version, with the rest of what was asked; "" where this one was asked."""
    wanted = asked.get("version", "")
    if wanted == found.ref or all(one.ref != wanted for one in rounds):
        return ""
    rest = {key: value for key, value in asked.items() if key in {"stage", "zone"} and value}
    return reverse("round", args=[wanted]) + (f"?{urlencode(rest)}" if rest else "")
