"""Patterns, their versions, and what belongs to a version: finished chart, files, steps."""

from __future__ import annotations

from django.db import models
from django.db.models.functions import Lower
from django.utils.translation import gettext as translate
from django.utils.translation import gettext_lazy as _

from measurements.models import ChartRevision, LengthField, SizeChart
from people.models import Arriving, LanguageField, Person, Referenced, Studio
from releases.stale import NAMES


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


class MaterialKind(models.TextChoices):
    SHELL = "shell", _("shell")
    LINING = "lining", _("lining")
    INTERFACING = "interfacing", _("interfacing")
    OTHER = "other", _("other")


class Material(Referenced):
    """A cloth that a version is cut from: the widths that are offered, and what the cloth asks of a layout.

    `widths` is a list of {mm, typed}. `cut_from`: its pieces are laid on that material's cloth, together with them.
    """

    version = models.ForeignKey(Version, on_delete=models.CASCADE, related_name="materials")
    number = models.PositiveSmallIntegerField()
    kind = models.CharField(_("what it is"), max_length=12, choices=MaterialKind, default=MaterialKind.SHELL)
    name = models.CharField(_("name"), max_length=40)
    widths = models.JSONField(default=list)
    selvedge_mm = LengthField(default=30)
    selvedge_typed = models.CharField(max_length=40, blank=True)
    nap = models.BooleanField(_("all pieces point one way"), default=False)
    shrinkage = models.DecimalField(_("shrinkage, per cent"), max_digits=4, decimal_places=1, default=0)
    repeat_mm = LengthField(default=0)
    repeat_typed = models.CharField(max_length=40, blank=True)
    gap_mm = LengthField(default=0)
    gap_typed = models.CharField(max_length=40, blank=True)
    cut_from = models.ForeignKey("self", null=True, blank=True, on_delete=models.SET_NULL, related_name="shared_by")

    class Meta:
        ordering = ["number"]
        constraints = [models.UniqueConstraint(fields=["version", "name"], name="one_material_a_name")]

    def __str__(self) -> str:
        return self.name


class Piece(models.Model):
    """A line of the cutting list: how many are cut of which material, and how."""

    class Cut(models.TextChoices):
        FOLD = "fold", _("on the fold")
        PAIR = "pair", _("in pairs")
        SINGLE = "single", _("singly")

    class Grain(models.TextChoices):
        LENGTH = "length", _("lengthwise")
        CROSS = "cross", _("crosswise")
        BIAS = "bias", _("bias")
        ANY = "any", _("any")

    material = models.ForeignKey(Material, on_delete=models.CASCADE, related_name="pieces")
    number = models.PositiveSmallIntegerField()
    name = models.CharField(_("piece"), max_length=60)
    count = models.PositiveSmallIntegerField(_("cut"), default=1)
    cut = models.CharField(max_length=6, choices=Cut, default=Cut.PAIR)
    grain = models.CharField(max_length=6, choices=Grain, default=Grain.LENGTH)

    class Meta:
        ordering = ["number"]

    def __str__(self) -> str:
        return self.name


class PieceSize(models.Model):
    """The box of a piece in one size, with its seam allowances: its own length and width, the half of a fold piece."""

    piece = models.ForeignKey(Piece, on_delete=models.CASCADE, related_name="boxes")
    size = models.CharField(max_length=20)
    length_mm = LengthField()
    length_typed = models.CharField(max_length=40)
    width_mm = LengthField()
    width_typed = models.CharField(max_length=40)

    class Meta:
        ordering = ["id"]
        constraints = [models.UniqueConstraint(fields=["piece", "size"], name="one_box_a_piece_and_size")]

    def __str__(self) -> str:
        return f"{self.piece} {self.size}"


class FabricRequirement(Referenced):
    """What one size needs of a material at one width, from its full layout; `content` tells what it was laid from.

    `placements` hold piece, x, y, length, width in thousandths of a millimetre, turned, opened. A size that does not
    go on this width has sentences in `refused` (code, template, values) and no length.
    """

    material = models.ForeignKey(Material, on_delete=models.CASCADE, related_name="requirements")
    size = models.CharField(max_length=20)
    width_mm = LengthField()
    content = models.CharField(max_length=64)
    way = models.CharField(max_length=6, blank=True)
    length_mm = LengthField(null=True, blank=True)
    tenths_of_metre = models.PositiveIntegerField(null=True, blank=True)
    eighths_of_yard = models.PositiveIntegerField(null=True, blank=True)
    placements = models.JSONField(default=list)
    refused = models.JSONField(default=list)

    class Meta:
        ordering = ["id"]
        constraints = [
            models.UniqueConstraint(fields=["material", "size", "width_mm"], name="one_layout_a_size_and_width")
        ]

    def __str__(self) -> str:
        return f"{self.material} {self.size}"


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


class Stale(Referenced):
    """Something of a version that a later change left behind: what, in which sizes, why, and how it was cleared.

    `what` is a key of releases.stale.NAMES; a thing has one open row, which further changes add to.
    """

    class Cleared(models.TextChoices):
        DONE = "done", _("done")
        REASON = "reason", _("with a reason")

    version = models.ForeignKey(Version, on_delete=models.CASCADE, related_name="stale_marks")
    what = models.CharField(max_length=16)
    sizes = models.JSONField(default=list)
    # Sentences of releases.stale, each as {code, template, values}: one for each change that left it behind.
    why = models.JSONField(default=list)
    since = models.DateTimeField()
    cleared = models.CharField(max_length=6, choices=Cleared, blank=True)
    reason = models.CharField(max_length=300, blank=True)
    cleared_by = models.ForeignKey(Person, null=True, on_delete=models.SET_NULL, related_name="+")
    cleared_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["id"]
        constraints = [
            models.UniqueConstraint(
                fields=["version", "what"], condition=models.Q(cleared_at=None), name="one_open_mark_a_thing"
            )
        ]

    def __str__(self) -> str:
        return self.what

    @property
    def name(self) -> str:
        return translate(NAMES[self.what])


class SignOffState(models.TextChoices):
    SIGNED = "signed", _("signed")
    NOTED = "noted", _("signed with a note")
    HELD = "held", _("held")
    LAPSED = "lapsed", _("lapsed")
    WITHDRAWN = "withdrawn", _("withdrawn")


class SizeSignOff(Referenced):
    """A word on one size of a version. Rows are only added: the newest of a size tells its state, none is *unread*.

    `number` counts the rows of a studio from 1. `saw` is what the page showed when it was signed: digests of the
    evidence, the finished measurements and the files, and the conditions. `before` is the seal of the row before,
    `seal` closes over all columns (releases.seals). `by_ref` keeps who it was when the person is gone; "" is the app.
    """

    studio = models.ForeignKey(Studio, on_delete=models.CASCADE, related_name="sign_offs")
    number = models.PositiveIntegerField()
    version = models.ForeignKey(Version, on_delete=models.RESTRICT, related_name="sign_offs")
    version_number = models.CharField(max_length=40)
    size = models.CharField(max_length=20)
    state = models.CharField(max_length=10, choices=SignOffState)
    note = models.TextField(blank=True)
    saw = models.JSONField(default=dict)
    by = models.ForeignKey(Person, null=True, on_delete=models.SET_NULL, related_name="+")
    by_ref = models.CharField(max_length=10, blank=True)
    at = models.DateTimeField()
    before = models.CharField(max_length=64, blank=True)
    seal = models.CharField(max_length=64)

    class Meta:
        ordering = ["number"]
        constraints = [models.UniqueConstraint(fields=["studio", "number"], name="one_sign_off_a_number")]
        indexes = [models.Index(fields=["version", "size"])]

    def __str__(self) -> str:
        return f"{self.version_number}, {self.size}: {self.state}"


class LaunchWord(models.Model):
    """A person's word at the launch check: a check overridden, the permissions of photos read again, a version
    withdrawn. `content` tells what it was said about: where that changes, the word no longer holds."""

    class Kind(models.TextChoices):
        OVERRIDE = "override", _("overridden")
        READ = "read", _("read again")
        WITHDRAWN = "withdrawn", _("withdrawn")

    version = models.ForeignKey(Version, on_delete=models.CASCADE, related_name="launch_words")
    kind = models.CharField(max_length=9, choices=Kind)
    check_key = models.CharField(max_length=40, blank=True)
    content = models.CharField(max_length=64, blank=True)
    reason = models.CharField(max_length=300, blank=True)
    by = models.ForeignKey(Person, null=True, on_delete=models.SET_NULL, related_name="+")
    at = models.DateTimeField(auto_now_add=True)

    class Meta:
        ordering = ["id"]

    def __str__(self) -> str:
        return f"{self.kind} {self.check_key}"


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
