"""The words of a version: steps, what stands beside them, notions, notes on pieces."""

from __future__ import annotations

from django.db import models
from django.db.models.functions import Lower
from django.utils.translation import gettext_lazy as _

from people.models import Person, Referenced
from releases.models.patterns import Version


class Step(models.Model):
    """One numbered step of the instructions."""

    version = models.ForeignKey(Version, on_delete=models.CASCADE, related_name="steps")
    number = models.PositiveSmallIntegerField()
    text = models.TextField()

    class Meta:
        ordering = ["number"]
        constraints = [models.UniqueConstraint(fields=["version", "number"], name="one_step_a_number")]

    def __str__(self) -> str:
        return f"{self.number}"


class StepShown(Referenced):
    """What stands beside a step in the booklet: a picture, and a lesson from its time mark on.

    The picture was written anew, so it holds nothing but its pixels. `lesson_seconds` counts from the lesson's start.
    """

    version = models.ForeignKey(Version, on_delete=models.CASCADE, related_name="steps_shown")
    number = models.PositiveSmallIntegerField()
    picture = models.CharField(max_length=120, blank=True)
    small = models.CharField(max_length=120, blank=True)
    width = models.PositiveIntegerField(null=True)
    height = models.PositiveIntegerField(null=True)
    picture_says = models.CharField(_("what the picture shows"), max_length=200, blank=True)
    lesson_url = models.URLField(_("lesson"), max_length=300, blank=True)
    lesson_seconds = models.PositiveIntegerField(_("at"), null=True, blank=True)

    class Meta:
        ordering = ["number"]
        constraints = [models.UniqueConstraint(fields=["version", "number"], name="one_shown_a_step")]

    def __str__(self) -> str:
        return f"{self.number}"


class Notion(models.Model):
    """Something that is sewn in or on, or a tool; `amount` as the booklet says it: "7", "55 cm (21 5/8 in)"."""

    class Kind(models.TextChoices):
        NOTION = "notion", _("notion")
        TOOL = "tool", _("tool")

    version = models.ForeignKey(Version, on_delete=models.CASCADE, related_name="notions")
    number = models.PositiveSmallIntegerField()
    kind = models.CharField(max_length=6, choices=Kind, default=Kind.NOTION)
    name = models.CharField(_("name"), max_length=80)
    amount = models.CharField(_("how much"), max_length=80, blank=True)
    optional = models.BooleanField(_("optional"), default=False)

    class Meta:
        ordering = ["number"]
        constraints = [
            models.UniqueConstraint(
                models.F("version"), models.F("kind"), Lower("name"), name="one_notion_a_kind_and_name"
            )
        ]

    def __str__(self) -> str:
        return self.name


class PieceNote(models.Model):
    """What the booklet says of a line of the cutting list: the drawing that yields it, and where it differs from it.

    It names the piece and its material, since the cutting list is written anew as a whole.
    """

    version = models.ForeignKey(Version, on_delete=models.CASCADE, related_name="piece_notes")
    piece = models.CharField(max_length=60)
    material = models.CharField(max_length=40)
    drawing = models.CharField(_("cut from the drawing of"), max_length=60, blank=True)
    differs = models.CharField(_("where it differs"), max_length=200, blank=True)

    class Meta:
        ordering = ["id"]
        constraints = [
            models.UniqueConstraint(fields=["version", "piece", "material"], name="one_note_a_piece_and_material")
        ]

    def __str__(self) -> str:
        return self.piece


class SilencedWording(Referenced):
    """A finding of the wording check that somebody looked at and means to keep, with the reason. Lifting keeps the row.

    `mark` tells the finding from every other of the version: its kind, step and words.
    """

    version = models.ForeignKey(Version, on_delete=models.CASCADE, related_name="silenced_wording")
    mark = models.CharField(max_length=64)
    kind = models.CharField(max_length=12)
    step = models.PositiveSmallIntegerField(null=True)
    text = models.TextField(blank=True)
    reason = models.CharField(_("reason"), max_length=300)
    by = models.ForeignKey(Person, null=True, on_delete=models.SET_NULL, related_name="+")
    at = models.DateTimeField(auto_now_add=True)
    lifted = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["-at", "-id"]
        constraints = [
            models.UniqueConstraint(
                fields=["version", "mark"], condition=models.Q(lifted=None), name="one_silence_a_wording"
            )
        ]

    def __str__(self) -> str:
        return f"{self.kind} {self.step or ''}"
