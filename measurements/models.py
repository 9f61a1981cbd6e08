"""Size charts with their history, and people's own measures."""

from __future__ import annotations

from typing import Any

from django.db import models
from django.utils.translation import gettext_lazy as _

from people.models import Person, Referenced, Studio, Units


class LengthField(models.DecimalField):
    """A length in millimetres, six places: 1/64 in is 0.396875 mm exactly."""

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **{"max_digits": 12, "decimal_places": 6, **kwargs})


class ChartAbout(models.TextChoices):
    BODY = "body", _("body measurements")
    FINISHED = "finished", _("finished garment measurements")


class SizeChart(Referenced):
    """A table of measurements by size; what it says is in its revisions."""

    studio = models.ForeignKey(Studio, on_delete=models.CASCADE, related_name="charts")
    name = models.CharField(_("name"), max_length=120)
    about = models.CharField(max_length=8, choices=ChartAbout, default=ChartAbout.BODY)
    unit = models.CharField(_("typed in"), max_length=2, choices=Units, default=Units.CM)
    cm_step = models.DecimalField(
        _("centimetres shown to"),
        max_digits=2,
        decimal_places=1,
        default="0.5",
        choices=[("0.1", _("0.1 cm")), ("0.5", _("0.5 cm"))],
    )
    inch_parts = models.PositiveSmallIntegerField(
        _("inches shown to"), default=8, choices=[(8, _("1/8 in")), (16, _("1/16 in"))]
    )
    created = models.DateTimeField(auto_now_add=True)

    class Meta:
        ordering = ["name"]

    def __str__(self) -> str:
        return self.name

    def latest(self) -> ChartRevision | None:
        return self.revisions.order_by("-number").first()


class ChartRevision(Referenced):
    """A chart as it stood: never changed once written, so that a version drafted to it stays true."""

    chart = models.ForeignKey(SizeChart, on_delete=models.CASCADE, related_name="revisions")
    number = models.PositiveIntegerField()
    created = models.DateTimeField(auto_now_add=True)
    by = models.ForeignKey(Person, null=True, on_delete=models.SET_NULL, related_name="+")
    note = models.CharField(_("what changed"), max_length=300, blank=True)

    class Meta:
        ordering = ["-number"]
        constraints = [models.UniqueConstraint(fields=["chart", "number"], name="one_number_a_chart")]

    def __str__(self) -> str:
        return f"{self.chart}, {self.number}"


class Size(models.Model):
    """A size is a label in an order, never a number to compute with."""

    revision = models.ForeignKey(ChartRevision, on_delete=models.CASCADE, related_name="sizes")
    position = models.PositiveSmallIntegerField()
    label = models.CharField(max_length=20)
    is_base = models.BooleanField(default=False)

    class Meta:
        ordering = ["position"]
        constraints = [
            models.UniqueConstraint(fields=["revision", "position"], name="one_size_a_position"),
            models.UniqueConstraint(fields=["revision", "label"], name="one_size_a_label"),
        ]

    def __str__(self) -> str:
        return self.label


class ChartRow(models.Model):
    """One measurement over all sizes; `breaks` are the labels of the sizes at which its step changes on purpose."""

    revision = models.ForeignKey(ChartRevision, on_delete=models.CASCADE, related_name="rows")
    position = models.PositiveSmallIntegerField()
    key = models.CharField(max_length=60)
    label = models.CharField(max_length=120)
    breaks = models.JSONField(default=list, blank=True)

    class Meta:
        ordering = ["position"]
        constraints = [models.UniqueConstraint(fields=["revision", "key"], name="one_row_a_measurement")]

    def __str__(self) -> str:
        return self.label


class ChartValue(models.Model):
    """One cell: the exact length, what was typed, and the unit in which it was typed."""

    row = models.ForeignKey(ChartRow, on_delete=models.CASCADE, related_name="values")
    size = models.ForeignKey(Size, on_delete=models.CASCADE, related_name="+")
    mm = LengthField()
    typed = models.CharField(max_length=40)
    unit = models.CharField(max_length=2, choices=[*Units.choices, ("mm", "mm")])

    class Meta:
        constraints = [models.UniqueConstraint(fields=["row", "size"], name="one_value_a_cell")]

    def __str__(self) -> str:
        return self.typed


class SilencedFinding(Referenced):
    """A finding of the grade check that somebody looked at and means to keep, with the reason. Lifting keeps the row.

    `mark` tells the finding from every other of the chart: its measurement, kind and sizes.
    """

    chart = models.ForeignKey(SizeChart, on_delete=models.CASCADE, related_name="silenced")
    mark = models.CharField(max_length=64)
    measure = models.CharField(max_length=60)
    kind = models.CharField(max_length=10)
    sizes = models.JSONField(default=list)
    reason = models.TextField(_("reason"))
    by = models.ForeignKey(Person, null=True, on_delete=models.SET_NULL, related_name="+")
    at = models.DateTimeField(auto_now_add=True)
    lifted = models.DateTimeField(null=True, blank=True)
    lifted_by = models.ForeignKey(Person, null=True, blank=True, on_delete=models.SET_NULL, related_name="+")

    class Meta:
        ordering = ["-at", "-id"]
        constraints = [
            models.UniqueConstraint(
                fields=["chart", "mark"], condition=models.Q(lifted__isnull=True), name="one_silence_a_finding"
            )
        ]

    def __str__(self) -> str:
        return f"{self.kind}, {self.measure}"


class WorkingCopy(Referenced):
    """A chart while it is being edited, shared by all who edit it: its next revision before it is saved.

    `state` is what measurements.working_state makes of it; `seq` goes up by one with every change, so that a page can
    ask what came after the one it has seen.
    """

    chart = models.ForeignKey(SizeChart, on_delete=models.CASCADE, related_name="copies")
    opened = models.ForeignKey(ChartRevision, on_delete=models.CASCADE, related_name="+")
    state = models.JSONField()
    seq = models.PositiveIntegerField(default=0)
    begun = models.DateTimeField(auto_now_add=True)
    by = models.ForeignKey(Person, null=True, on_delete=models.SET_NULL, related_name="+")
    closed = models.DateTimeField(null=True, blank=True)
    closed_by = models.ForeignKey(Person, null=True, blank=True, on_delete=models.SET_NULL, related_name="+")
    saved_as = models.ForeignKey(ChartRevision, null=True, blank=True, on_delete=models.SET_NULL, related_name="+")

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["chart"], condition=models.Q(closed__isnull=True), name="one_open_copy_a_chart"
            )
        ]

    def __str__(self) -> str:
        return f"{self.chart}, {self.seq}"


class EditKind(models.TextChoices):
    """`held` is a text that met another person's in the same cell and waits for a choice; `settled`, one that did."""

    CELL = "cell", _("cell")
    HELD = "held", _("waits for a choice")
    SETTLED = "settled", _("chosen")
    SHAPE = "shape", _("sizes and measurements")


class ChartEdit(models.Model):
    """One change of a working copy: who, when, the cell with its text before and after, or the change of shape."""

    copy = models.ForeignKey(WorkingCopy, on_delete=models.CASCADE, related_name="edits")
    seq = models.PositiveIntegerField()
    kind = models.CharField(max_length=8, choices=EditKind, default=EditKind.CELL)
    by = models.ForeignKey(Person, null=True, on_delete=models.SET_NULL, related_name="+")
    at = models.DateTimeField(auto_now_add=True)
    row = models.CharField(max_length=120, blank=True)
    size = models.CharField(max_length=120, blank=True)
    before = models.CharField(max_length=120, blank=True)
    after = models.CharField(max_length=120, blank=True)
    shape = models.JSONField(null=True, blank=True)

    class Meta:
        ordering = ["seq"]
        constraints = [models.UniqueConstraint(fields=["copy", "seq"], name="one_edit_a_number")]

    def __str__(self) -> str:
        return f"{self.seq}. {self.kind} {self.row} {self.size}".strip()


class BodySample(Referenced):
    """Measurements of many bodies without names, that charts are held against.

    `columns` holds a list of millimetres, as text, a measurement; None where a body was not measured there.
    """

    studio = models.ForeignKey(Studio, on_delete=models.CASCADE, related_name="body_samples")
    name = models.CharField(_("whose bodies these are"), max_length=120)
    source = models.CharField(_("where they come from"), max_length=300, blank=True)
    columns = models.JSONField(default=dict)
    bodies = models.PositiveIntegerField()
    created = models.DateTimeField(auto_now_add=True)
    by = models.ForeignKey(Person, null=True, on_delete=models.SET_NULL, related_name="+")

    class Meta:
        ordering = ["name"]

    def __str__(self) -> str:
        return self.name


class BodyRecord(Referenced):
    """A tester's measures on a day, and the day on which they go. Who it is, the place that uses it knows."""

    studio = models.ForeignKey(Studio, on_delete=models.CASCADE, related_name="+")
    taken_on = models.DateField(_("measured on"), null=True, blank=True)
    helped = models.BooleanField(_("someone helped"), null=True, blank=True)
    unit = models.CharField(max_length=2, choices=Units, default=Units.CM)
    keep_until = models.DateField(null=True, blank=True)

    def __str__(self) -> str:
        return self.ref


class BodyValue(models.Model):
    record = models.ForeignKey(BodyRecord, on_delete=models.CASCADE, related_name="values")
    key = models.CharField(max_length=60)
    mm = LengthField()
    typed = models.CharField(max_length=40)
    unit = models.CharField(max_length=2, choices=[*Units.choices, ("mm", "mm")])

    class Meta:
        constraints = [models.UniqueConstraint(fields=["record", "key"], name="one_value_a_measure")]

    def __str__(self) -> str:
        return f"{self.key} {self.typed}"


class AdviceRules(Referenced):
    """A studio's own rules for size advice: how close its garments fit and what they must keep.

    `least` holds the least ease a place, {place: {"mm": "40", "typed": "4 cm"}}; a place that is missing has the
    usual one. The empty texts are the usual rules too.
    """

    studio = models.OneToOneField(Studio, on_delete=models.CASCADE, related_name="advice_rules")
    preference = models.CharField(
        _("fit"),
        max_length=8,
        choices=[("closer", _("closer")), ("usual", _("as it is meant")), ("roomier", _("roomier"))],
        default="usual",
    )
    least = models.JSONField(default=dict, blank=True)
    comfort_mm = LengthField(null=True, blank=True)
    comfort_typed = models.CharField(max_length=40, blank=True)
    roomy_mm = LengthField(null=True, blank=True)
    roomy_typed = models.CharField(max_length=40, blank=True)
    cup_mm = LengthField(null=True, blank=True)
    cup_typed = models.CharField(max_length=40, blank=True)
    blend_sizes = models.PositiveSmallIntegerField(null=True, blank=True)
    changed = models.DateTimeField(auto_now=True)

    def __str__(self) -> str:
        return f"{self.studio}, {self.preference}"
