"""The files of a version, how they come, what they are compared with, and the documents made of it."""

from __future__ import annotations

from django.db import models
from django.utils.translation import gettext_lazy as _

from people.models import Arriving, LanguageField, Person, Referenced, Studio
from releases.models.patterns import Version


class FileKind(models.TextChoices):
    A4 = "a4", _("A4 pages")
    LETTER = "letter", _("Letter pages")
    LARGE = "large", _("large-format sheet")
    PROJECTOR = "projector", _("projector file")
    BOOKLET = "booklet", _("instruction booklet")


class PatternFile(Referenced):
    """A file of a version. The content lies once in the store under its digest."""

    version = models.ForeignKey(Version, on_delete=models.CASCADE, related_name="files")
    kind = models.CharField(_("what it is"), max_length=10, choices=FileKind)
    name = models.CharField(_("name"), max_length=160)
    digest = models.CharField(max_length=64, db_index=True)
    stored = models.CharField(max_length=120)
    size_bytes = models.PositiveBigIntegerField()
    pages = models.PositiveIntegerField(null=True, blank=True)
    page_mm = models.JSONField(default=list, blank=True)
    # What a worker found in it (releases.pdf.inspection), or {"refused": why}; nothing until it was looked at.
    found = models.JSONField(null=True, blank=True)
    replaced_at = models.DateTimeField(null=True, blank=True)
    added = models.DateTimeField(auto_now_add=True)
    by = models.ForeignKey(Person, null=True, on_delete=models.SET_NULL, related_name="+")

    class Meta:
        ordering = ["kind", "-added"]

    def __str__(self) -> str:
        return self.name


class MadeState(models.TextChoices):
    WAITING = "waiting", _("being made")
    READY = "ready", _("ready")
    FAILED = "failed", _("could not be made")


class MadeTables(Referenced):
    """A long document of a version that a worker makes; `content` tells what it shows from what came later.

    `pages_done` counts the pages that are laid out while it is being made.
    """

    class What(models.TextChoices):
        TABLES = "tables", _("measurement tables")
        LAYOUTS = "layouts", _("fabric and layouts")
        BOOKLET = "booklet", _("booklet")

    what = models.CharField(max_length=8, choices=What, default=What.TABLES)
    version = models.ForeignKey(Version, on_delete=models.CASCADE, related_name="made_tables")
    paper = models.CharField(max_length=6, choices=[("a4", "A4"), ("letter", "Letter")])
    language = LanguageField()
    content = models.CharField(max_length=64)
    state = models.CharField(max_length=8, choices=MadeState, default=MadeState.WAITING)
    stored = models.CharField(max_length=120, blank=True)
    pages_done = models.PositiveIntegerField(default=0)
    asked = models.DateTimeField(auto_now_add=True)

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["version", "what", "paper", "language", "content"], name="one_document_a_content_and_paper"
            )
        ]

    def __str__(self) -> str:
        return f"{self.version}, {self.paper}"


class FileComparison(Referenced):
    """What differs between two contents of a studio: made once by a worker, whatever versions hold them.

    `result` is releases.pdf.compare.Comparison as a dict; `pictures` names each drawn page with its stored content.
    """

    studio = models.ForeignKey(Studio, on_delete=models.CASCADE, related_name="file_comparisons")
    old_digest = models.CharField(max_length=64)
    new_digest = models.CharField(max_length=64)
    method = models.PositiveSmallIntegerField()
    state = models.CharField(max_length=8, choices=MadeState, default=MadeState.WAITING)
    pages_done = models.PositiveIntegerField(default=0)
    pages_all = models.PositiveIntegerField(default=0)
    result = models.JSONField(null=True, blank=True)
    pictures = models.JSONField(default=dict, blank=True)
    asked = models.DateTimeField(auto_now_add=True)

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["studio", "old_digest", "new_digest", "method"], name="one_comparison_of_two_contents"
            )
        ]

    def __str__(self) -> str:
        return f"{self.old_digest[:8]}, {self.new_digest[:8]}"


class ArrivingFile(Arriving):
    """A pattern file that comes in parts.

    `mark` tells the same file again after the page was opened anew: its name, length and time of change.
    """

    version = models.ForeignKey(Version, on_delete=models.CASCADE, related_name="arriving")
    by = models.ForeignKey(Person, on_delete=models.CASCADE, related_name="+")
    kind = models.CharField(max_length=10, choices=FileKind)
    name = models.CharField(max_length=160)
    mark = models.CharField(max_length=64)
    replaces = models.ForeignKey(PatternFile, null=True, on_delete=models.SET_NULL, related_name="+")

    class Meta:
        constraints = [models.UniqueConstraint(fields=["version", "by", "mark"], name="one_arrival_a_file")]

    def __str__(self) -> str:
        return self.name

    @property
    def part_of(self) -> str:
        return self.version.pattern.studio.ref
