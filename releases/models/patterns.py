"""A pattern, its versions, and how a version is meant to sit and how long it is."""

from __future__ import annotations

from typing import TYPE_CHECKING

from django.db import models
from django.db.models.functions import Lower
from django.utils.translation import gettext_lazy as _

from measurements.models import ChartRevision, LengthField, SizeChart
from people.models import Referenced, Studio

if TYPE_CHECKING:
    from releases.models.files import PatternFile


class GarmentKind(models.TextChoices):
    BODICE = "bodice", _("bodice")
    SHIRT = "shirt", _("shirt")
    DRESS = "dress", _("dress")
    SKIRT = "skirt", _("skirt")
    TROUSERS = "trousers", _("trousers")
    JACKET = "jacket", _("jacket")
    KNIT = "knit", _("knit top")


class Fabric(models.TextChoices):
    WOVEN = "woven", _("woven")
    KNIT = "knit", _("knit, or stretch")
    BIAS = "bias", _("woven, cut on the bias")


class Pattern(Referenced):
    """A design: what it is, what it is sewn in, whom it is drafted for."""

    studio = models.ForeignKey(Studio, on_delete=models.CASCADE, related_name="patterns")
    name = models.CharField(_("name"), max_length=120)
    kind = models.CharField(_("kind of garment"), max_length=10, choices=GarmentKind)
    fabric = models.CharField(_("fabric"), max_length=8, choices=Fabric, default=Fabric.WOVEN)
    chart = models.ForeignKey(
        SizeChart, null=True, blank=True, on_delete=models.RESTRICT, related_name="+", verbose_name=_("size chart")
    )
    height_mm = LengthField(_("drafted for a height of"), null=True, blank=True)
    height_typed = models.CharField(max_length=40, blank=True)
    cup_mm = LengthField(_("drafted cup difference"), null=True, blank=True)
    cup_typed = models.CharField(max_length=40, blank=True)
    free_at = models.JSONField(_("loose at"), default=list, blank=True)
    for_children = models.BooleanField(_("for children"), default=False)
    about = models.TextField(_("about it"), blank=True)
    carried = models.JSONField(default=dict, blank=True)
    created = models.DateTimeField(auto_now_add=True)

    class Meta:
        ordering = ["name"]

    def __str__(self) -> str:
        return self.name


class VersionState(models.TextChoices):
    DRAFT = "draft", _("draft")
    IN_TESTING = "in_testing", _("in testing")
    CLEARED = "cleared", _("cleared")
    ON_SALE = "on_sale", _("on sale")
    WITHDRAWN = "withdrawn", _("withdrawn")


class Version(Referenced):
    """One state of a pattern that can be sewn: it pins the charts that it was drafted to."""

    pattern = models.ForeignKey(Pattern, on_delete=models.CASCADE, related_name="versions")
    number = models.CharField(_("version"), max_length=40)
    state = models.CharField(max_length=12, choices=VersionState, default=VersionState.DRAFT)
    body_chart = models.ForeignKey(ChartRevision, null=True, on_delete=models.RESTRICT, related_name="+")
    finished_chart = models.ForeignKey(
        ChartRevision, null=True, blank=True, on_delete=models.RESTRICT, related_name="+"
    )
    sizes = models.JSONField(_("sizes"), default=list)
    base_size = models.CharField(_("base size"), max_length=20, blank=True)
    what_changed = models.TextField(_("what changed"), blank=True)
    test_square_mm = LengthField(_("test square"), null=True, blank=True)
    test_square_typed = models.CharField(max_length=40, blank=True)
    # What the booklet says before the steps; the allowances are what its words are held against.
    suits = models.TextField(_("fabrics that suit"), blank=True)
    unsuited = models.TextField(_("fabrics that do not"), blank=True)
    printing = models.TextField(_("how to print"), blank=True)
    seam_allowance_mm = LengthField(_("seam allowance"), null=True, blank=True)
    seam_allowance_typed = models.CharField(max_length=40, blank=True)
    hem_mm = LengthField(_("hem"), null=True, blank=True)
    hem_typed = models.CharField(max_length=40, blank=True)
    notch_mm = LengthField(_("notch length"), null=True, blank=True)
    notch_typed = models.CharField(max_length=40, blank=True)
    lining_offset_mm = LengthField(_("lining shorter by"), null=True, blank=True)
    lining_offset_typed = models.CharField(max_length=40, blank=True)
    # What the grade check is told beside the charts: seam pairs, gathers, the opening, the base as sewn.
    grade_facts = models.JSONField(default=dict, blank=True)
    created = models.DateTimeField(auto_now_add=True)

    class Meta:
        ordering = ["-created", "-id"]
        constraints = [models.UniqueConstraint(fields=["pattern", "number"], name="one_number_a_pattern")]

    def __str__(self) -> str:
        return f"{self.pattern} {self.number}"

    @property
    def is_draft(self) -> bool:
        """Whether its charts, sizes, steps and numbers may still change: nobody has sewn from it."""
        return self.state == VersionState.DRAFT

    def current_files(self) -> models.QuerySet[PatternFile]:
        """Its files in use; those that were replaced stay in the history."""
        return self.files.filter(replaced_at=None)

    def newer_chart(self) -> ChartRevision | None:
        """The chart's newest revision where this draft still stands on an older one; nothing once it is tested."""
        if not self.is_draft or self.body_chart is None:
            return None
        newest = self.body_chart.chart.latest()
        return newest if newest and newest.pk != self.body_chart_id else None


class DeclaredEase(models.Model):
    """The ease that a version is meant to have at one finished measurement, in every size, and its tolerance."""

    version = models.ForeignKey(Version, on_delete=models.CASCADE, related_name="declared_ease")
    key = models.CharField(max_length=60)
    mm = LengthField()
    typed = models.CharField(max_length=40)
    tolerance_mm = LengthField()
    tolerance_typed = models.CharField(max_length=40)

    class Meta:
        ordering = ["id"]
        constraints = [models.UniqueConstraint(fields=["version", "key"], name="one_ease_a_measure")]

    def __str__(self) -> str:
        return f"{self.key} {self.typed}"


class FinishedLength(Referenced):
    """One of several lengths that are cut from the same pieces: what it adds to (or, below 0, takes from) the printed.

    `along` is the key of the finished measurement that it changes, `laps` how often that length lies along the
    fabric, `lining_mm` how much shorter the lining is. Without a height of its own it has the pattern's.
    """

    version = models.ForeignKey(Version, on_delete=models.CASCADE, related_name="lengths")
    name = models.CharField(_("name"), max_length=40)
    along = models.CharField(max_length=60)
    change_mm = LengthField()
    change_typed = models.CharField(max_length=40)
    height_mm = LengthField(null=True, blank=True)
    height_typed = models.CharField(max_length=40, blank=True)
    laps = models.PositiveSmallIntegerField(default=1)
    lining_mm = LengthField(null=True, blank=True)
    lining_typed = models.CharField(max_length=40, blank=True)

    class Meta:
        ordering = ["change_mm", "id"]
        constraints = [
            models.UniqueConstraint(models.F("version"), Lower("name"), name="one_name_one_length"),
        ]

    def __str__(self) -> str:
        return self.name
