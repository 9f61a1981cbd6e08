"""All that one tester has said in one round, read when it is needed and written field by field."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from decimal import Decimal
from functools import cached_property
from typing import Any

from django.utils import timezone

from measurements.lengths import Length
from measurements.models import BodyRecord, BodyValue, ChartValue
from people.models import Consent
from releases.models import PatternFile
from testing_rounds.consents import day_they_go, standing
from testing_rounds.models import FitReport, Place, PrintCheck, Stage, StepNote, ToileMeasure, ZoneVerdict
from testing_rounds.print_check import judge
from testing_rounds.tester_tally import Tally, tally

FINISHED_SLOT = "@finished"
BODY = ("body.", "body_")


class Book:
    """One place with its measures, print checks and the report of the garment in hand (the place's stage).
    `unit` is the unit of the lengths on the page.

    Reading makes no rows. The writing methods keep what was read in step with the rows, and tell by `changed`
    whether anything did change.
    """

    def __init__(self, place: Place, *, unit: str = "") -> None:
        self.place = place
        self.stage = place.stage
        self.round = place.round
        self.version = place.round.version
        self.pattern = place.round.version.pattern
        self.unit = unit if unit in {"cm", "in"} else place.units
        self.changed = False

    @cached_property
    def consents(self) -> dict[str, Consent]:
        return standing([self.place])[self.place.ref]

    @cached_property
    def reports(self) -> dict[str, FitReport]:
        """Both reports of the place, by stage, as far as they are begun."""
        return {row.stage: row for row in self.place.reports.order_by()}

    @cached_property
    def report(self) -> FitReport | None:
        return self.reports.get(self.stage)

    @cached_property
    def files(self) -> list[PatternFile]:
        """The version's files in use."""
        return list(self.version.current_files())

    @property
    def finished(self) -> bool:
        return self.stage == Stage.FINISHED

    @property
    def size(self) -> str:
        """The size that was cut; a finished garment may be cut in another than the toile."""
        return self.report.size if self.finished and self.report else self.place.size

    @property
    def sizes(self) -> dict[str, str]:
        """The zones that were cut in another size."""
        return self.report.sizes if self.finished and self.report else self.place.sizes

    def set_size(self, size: str) -> None:
        if not self.finished:
            self.set_place(size=size)
        if self.finished or self.report is not None:
            self.set_report(size=size)

    def set_sizes(self, sizes: dict[str, str]) -> None:
        if not self.finished:
            self.set_place(sizes=sizes)
        if self.finished or self.report is not None:
            self.set_report(sizes=sizes)

    @cached_property
    def verdicts(self) -> dict[str, ZoneVerdict]:
        return {row.zone: row for row in self.report.verdicts.order_by()} if self.report else {}

    @cached_property
    def toile(self) -> dict[str, ToileMeasure]:
        return {row.key: row for row in self.report.toile.all()} if self.report else {}

    @cached_property
    def notes(self) -> dict[tuple[int | None, str], StepNote]:
        if self.report is None:
            return {}
        return {
            (row.step, row.kind): row for row in self.report.step_notes.filter(carried__isnull=True).exclude(kind="")
        }

    @cached_property
    def body(self) -> dict[str, BodyValue]:
        if self.place.body_id is None:
            return {}
        return {row.key: row for row in BodyValue.objects.filter(record=self.place.body_id)}

    @cached_property
    def check(self) -> PrintCheck | None:
        """The newest reading of the test square for this garment; it alone counts."""
        return self.checks[-1] if self.checks else None

    @cached_property
    def checks(self) -> list[PrintCheck]:
        """Every reading of the test square for this garment, the newest last."""
        return [one for one in self._all_checks if one.stage == self.stage]

    @cached_property
    def _all_checks(self) -> list[PrintCheck]:
        return list(self.place.print_checks.all())

    @property
    def as_the_toile(self) -> bool:
        """A finished garment whose own print was not read, after a toile whose print was good to cut from."""
        if not self.finished or self.checks:
            return False
        before = [one for one in self._all_checks if one.stage == Stage.TOILE]
        return bool(before) and judge(before[-1], self.version.test_square_mm).may_cut

    @cached_property
    def tally(self) -> Tally:
        """How far the parts of the report are, in one statement; what is read in full is counted there."""
        return tally(self.report.pk if self.report else None, self.place.body_id)

    @property
    def fits(self) -> list[int]:
        """Every answer on the form."""
        return [row.fit for row in self.verdicts.values()] if "verdicts" in self.__dict__ else self.tally.fits

    @property
    def measured(self) -> Collection[str]:
        """The body measurements that are there."""
        return self.body if "body" in self.__dict__ else self.tally.measured

    @property
    def note_count(self) -> int:
        return len(self.notes) if "notes" in self.__dict__ else self.tally.notes

    @property
    def photo_count(self) -> int:
        """Photos that are there or on their way."""
        return self.tally.photos

    @property
    def zone_keys(self) -> list[str]:
        return [entry["key"] for entry in self.round.zones]

    def finished_mm(self, keys: Sequence[str]) -> dict[str, Decimal]:
        """What the finished chart says at these places, each in the size that was cut there."""
        if self.version.finished_chart_id is None:
            return {}
        sizes = {key: self.sizes.get(key, self.size) for key in keys}
        values = ChartValue.objects.filter(
            row__revision_id=self.version.finished_chart_id, row__key__in=keys, size__label__in=set(sizes.values())
        )
        found = {(key, size): mm for key, size, mm in values.values_list("row__key", "size__label", "mm")}
        return {key: found[key, size] for key, size in sizes.items() if (key, size) in found}

    @property
    def body_mm(self) -> dict[str, Decimal]:
        return {key: row.mm for key, row in self.body.items()}

    # what waits: typed, and not to be counted yet

    def held_back(self, name: str) -> str:
        """What waits beside a field, in the page's unit or with its own behind it."""
        held = self.held(name)
        if held is None:
            return ""
        return held["text"] if held["unit"] == self.unit or not held.get("length") else f"{held['text']} {held['unit']}"

    def held(self, name: str) -> dict[str, Any] | None:
        """What waits for a field of this garment: {"text", "unit", "length"}."""
        found: dict[str, Any] | None = self.place.pending.get(self._slot(name))
        return found

    def held_names(self, prefix: str = "") -> list[str]:
        """The fields of this garment for which something waits."""
        slots = [self._named(slot) for slot in self.place.pending]
        return [name for name in slots if name is not None and name.startswith(prefix)]

    def hold_back(self, name: str, text: str, *, length: bool = False) -> None:
        """Keep a text word for word until it can be used; "" forgets it."""
        slot = self._slot(name)
        pending = {key: held for key, held in self.place.pending.items() if key != slot}
        if text:
            pending[slot] = {"text": text, "unit": self.unit, "length": length}
        self.set_place(pending=pending)

    def _slot(self, name: str) -> str:
        """Where a field's text waits: that of the body is one for both garments."""
        return f"{name}{FINISHED_SLOT}" if self.finished and not name.startswith(BODY) else name

    def _named(self, slot: str) -> str | None:
        name = slot.removesuffix(FINISHED_SLOT)
        return name if self._slot(name) == slot else None

    # writing

    def keep_report(self) -> FitReport:
        """The report, made when the first word of it is said."""
        if self.report is None:
            self.report, _ = FitReport.objects.get_or_create(
                place=self.place,
                stage=self.stage,
                defaults={
                    "version": self.version,
                    "size": self.place.size,
                    "sizes": self.place.sizes,
                    "file_kind": self.place.paper,
                    "test_square_mm": worst_reading(self),
                },
            )
            self.changed = True
        return self.report

    def set_place(self, **fields: Any) -> None:
        self._set(self.place, fields)

    def set_report(self, **fields: Any) -> None:
        self._set(self.keep_report(), fields)

    def new_check(self) -> None:
        """A new print: its square is not read yet."""
        self._begin_check()
        for name in self.held_names("print."):
            self.hold_back(name, "")
        self.changed = True
        self.tell_report_of_print()

    def set_check(self, **fields: Any) -> None:
        """Write on the newest print check, and let the report know what its square reads."""
        self._set(self.check or self._begin_check(), fields)
        self.tell_report_of_print()

    def _begin_check(self) -> PrintCheck:
        self.check = PrintCheck.objects.create(place=self.place, stage=self.stage, file_kind=self.place.paper)
        self.checks = [*self.checks, self.check]
        return self.check

    def tell_report_of_print(self) -> None:
        if self.report is not None:
            kind = (self.check.file_kind if self.check else "") or self.place.paper
            self.set_report(test_square_mm=worst_reading(self), file_kind=kind)

    def set_body(self, key: str, length: Length | None) -> None:
        self._set_row(self.body, BodyValue, {"record": self.body_record(), "key": key}, key, _length_fields(length))

    def body_record(self) -> BodyRecord:
        if self.place.body is None:
            given = self.consents["measurements"].given_at if "measurements" in self.consents else timezone.now()
            record = BodyRecord.objects.create(
                studio=self.pattern.studio,
                unit=self.unit,
                keep_until=day_they_go(given),
                taken_on=timezone.now().date(),
            )
            self.set_place(body=record)
            return record
        return self.place.body

    def set_toile(self, key: str, length: Length | None) -> None:
        """A flat measure, kept as typed and doubled to the full girth."""
        fields = {"mm": length.mm * 2, "typed": length.typed} if length else None
        self._set_row(self.toile, ToileMeasure, {"report": self.keep_report(), "key": key}, key, fields)

    def set_note(self, step: int | None, kind: str, fields: dict[str, Any] | None) -> None:
        where = {"report": self.keep_report(), "step": step, "kind": kind, "position": step or 0}
        self._set_row(self.notes, StepNote, where, (step, kind), fields)

    def set_verdict(self, zone: str, fields: dict[str, Any] | None) -> None:
        self._set_row(self.verdicts, ZoneVerdict, {"report": self.keep_report(), "zone": zone}, zone, fields)

    def _set(self, row: Any, fields: dict[str, Any]) -> None:
        new = {name: value for name, value in fields.items() if getattr(row, name) != value}
        if not new:
            return
        for name, value in new.items():
            setattr(row, name, value)
        row.save(update_fields=[*new, *(["saved"] if isinstance(row, FitReport) else [])])
        self.changed = True

    def _set_row(
        self, rows: dict[Any, Any], model: Any, where: dict[str, Any], key: Any, fields: dict[str, Any] | None
    ) -> None:
        """Make, change or (None) remove one row of a field."""
        row = rows.get(key)
        if fields is None:
            if row is not None:
                row.delete()
                del rows[key]
                self.changed = True
        elif row is None:
            rows[key] = model.objects.create(**where, **fields)
            self.changed = True
        else:
            self._set(row, fields)


def _length_fields(length: Length | None) -> dict[str, Any] | None:
    return {"mm": length.mm, "typed": length.typed, "unit": length.unit} if length else None


def worst_reading(book: Book) -> Decimal | None:
    """Of the square across and down, the reading that is further off: a girth or a length, one of them is wrong."""
    worst = judge(book.check, book.version.test_square_mm).worst
    return worst.read_mm if worst else None
