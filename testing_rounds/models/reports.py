"""What a tester says: the test square, the fit report with its verdicts, measures, notes and photos."""

from __future__ import annotations

from django.db import models
from django.db.models import Q
from django.utils.translation import gettext_lazy as _

from measurements.models import LengthField
from people.models import Arriving, Person, Referenced
from releases.models import FileKind, PatternFile, Version
from testing_rounds.models.rounds import Place, Round


class Stage(models.TextChoices):
    TOILE = "toile", _("toile")
    FINISHED = "finished", _("finished garment")


class PrintCheck(models.Model):
    """A test square read off a print; the newest one of a place and a garment counts."""

    place = models.ForeignKey(Place, on_delete=models.CASCADE, related_name="print_checks")
    stage = models.CharField(max_length=8, choices=Stage, default=Stage.TOILE)
    file_kind = models.CharField(_("printed from"), max_length=10, choices=FileKind, blank=True)
    across_mm = LengthField(null=True, blank=True)
    across_typed = models.CharField(max_length=40, blank=True)
    down_mm = LengthField(null=True, blank=True)
    down_typed = models.CharField(max_length=40, blank=True)
    cut_anyway = models.BooleanField(default=False)
    note = models.CharField(max_length=300, blank=True)
    at = models.DateTimeField(auto_now_add=True)

    class Meta:
        ordering = ["id"]

    def __str__(self) -> str:
        return f"{self.across_typed} x {self.down_typed}"


class FileTaken(models.Model):
    """A file that a tester downloaded: what they print from, also after a newer one took its place."""

    place = models.ForeignKey(Place, on_delete=models.CASCADE, related_name="files_taken")
    file = models.ForeignKey(PatternFile, on_delete=models.CASCADE, related_name="+")
    at = models.DateTimeField(auto_now=True)

    class Meta:
        ordering = ["at", "id"]
        constraints = [models.UniqueConstraint(fields=["place", "file"], name="one_row_a_file_taken")]

    def __str__(self) -> str:
        return f"{self.file}"


class Hours(models.TextChoices):
    TO_3 = "to_3", _("up to 3 hours")
    TO_6 = "to_6", _("3 to 6 hours")
    TO_10 = "to_10", _("6 to 10 hours")
    TO_20 = "to_20", _("10 to 20 hours")
    OVER_20 = "over_20", _("more than 20 hours")


class Shoes(models.TextChoices):
    NONE = "none", _("none")
    FLAT = "flat", _("flat")
    LOW = "low", _("a low heel")
    HIGH = "high", _("a high heel")


class FitReport(Referenced):
    """What one tester says of one garment: a draft until it is sent, then still open to the tester's corrections.

    `stretch` is per cent over 10 cm; `carried` keeps what a round file said that the app has no field for.
    """

    place = models.ForeignKey(Place, on_delete=models.CASCADE, related_name="reports")
    stage = models.CharField(max_length=40, default=Stage.TOILE)
    version = models.ForeignKey(Version, on_delete=models.RESTRICT, related_name="+")
    version_said = models.CharField(max_length=40, blank=True)
    size = models.CharField(max_length=20, blank=True)
    sizes = models.JSONField(default=dict, blank=True)
    file_kind = models.CharField(max_length=40, blank=True)
    test_square_mm = LengthField(null=True, blank=True)
    fabric_used = models.CharField(_("fabric"), max_length=200, blank=True)
    stretch = models.FloatField(_("stretch, per cent"), null=True, blank=True)
    fabric_width_mm = LengthField(null=True, blank=True)
    fabric_width_typed = models.CharField(max_length=40, blank=True)
    fabric_length_mm = LengthField(null=True, blank=True)
    fabric_length_typed = models.CharField(max_length=40, blank=True)
    changes_before = models.TextField(_("changed before cutting"), blank=True)
    difficulty = models.PositiveSmallIntegerField(_("difficulty"), null=True, blank=True)
    hours = models.CharField(_("time"), max_length=8, choices=Hours, blank=True)
    underneath = models.CharField(_("worn underneath"), max_length=120, blank=True)
    shoes = models.CharField(_("shoes"), max_length=4, choices=Shoes, blank=True)
    seam_mm = LengthField(null=True, blank=True)
    seam_typed = models.CharField(max_length=40, blank=True)
    notions = models.TextField(_("notions"), blank=True)
    same_size_again = models.BooleanField(null=True, blank=True)
    words = models.TextField(_("in your words"), blank=True)
    rest_fits = models.BooleanField(default=False)
    started = models.DateTimeField(auto_now_add=True)
    saved = models.DateTimeField(auto_now=True)
    submitted_at = models.DateTimeField(null=True, blank=True)
    submitted_said = models.CharField(max_length=60, blank=True)
    carried = models.JSONField(default=dict, blank=True)

    class Meta:
        ordering = ["id"]
        constraints = [models.UniqueConstraint(fields=["place", "stage"], name="one_report_a_stage")]

    def __str__(self) -> str:
        return f"{self.place}, {self.stage}"


class ZoneVerdict(models.Model):
    """One tester's word on one zone. No row: not looked at. fit 0: looked at, fine.

    `by_rest`: the 0 comes from "all these I looked at, fine", and goes when that is taken back.
    """

    report = models.ForeignKey(FitReport, on_delete=models.CASCADE, related_name="verdicts")
    zone = models.CharField(max_length=60)
    fit = models.SmallIntegerField()
    altered = models.BooleanField(default=False)
    by_rest = models.BooleanField(default=False)
    change_mm = LengthField(null=True, blank=True)
    change_typed = models.CharField(max_length=40, blank=True)
    words = models.TextField(blank=True)
    carried = models.JSONField(default=dict, blank=True)

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["report", "zone"], name="one_verdict_a_zone"),
            models.CheckConstraint(condition=Q(fit__gte=-2, fit__lte=2), name="fit_from_minus_2_to_2"),
        ]

    def __str__(self) -> str:
        return f"{self.zone} {self.fit:+}"


class ToileMeasure(models.Model):
    """The toile itself, measured flat and doubled to the full girth."""

    report = models.ForeignKey(FitReport, on_delete=models.CASCADE, related_name="toile")
    key = models.CharField(max_length=60)
    mm = LengthField()
    typed = models.CharField(max_length=40)

    class Meta:
        constraints = [models.UniqueConstraint(fields=["report", "key"], name="one_toile_measure_a_place")]

    def __str__(self) -> str:
        return f"{self.key} {self.typed}"


class NoteKind(models.TextChoices):
    LOST = "lost", _("I got lost here")
    MISSING = "missing", _("something is missing")
    TYPO = "typo", _("a typing error")
    DISAGREES = "disagrees", _("the measurements disagree")
    INSTEAD = "instead", _("I did it another way")


class StepNote(models.Model):
    """A tester's note at one step; `carried` is a note of a round file, kept as it came."""

    report = models.ForeignKey(FitReport, on_delete=models.CASCADE, related_name="step_notes")
    step = models.PositiveSmallIntegerField(null=True, blank=True)
    kind = models.CharField(max_length=10, choices=NoteKind, blank=True)
    text = models.TextField(blank=True)
    position = models.PositiveSmallIntegerField(default=0)
    carried = models.JSONField(default=None, null=True, blank=True)

    class Meta:
        ordering = ["position", "id"]

    def __str__(self) -> str:
        return f"{self.step}: {self.text[:40]}"


class PhotoState(models.TextChoices):
    WAITING = "waiting", _("being prepared")
    READY = "ready", _("ready")
    FAILED = "failed", _("could not be read")


class Photo(Referenced):
    """A photo of a toile: two re-encoded sizes and nothing else; the upload itself is not kept.

    `upload_key` is made by the phone, so that a photo sent twice is one photo. `trouble` tells, by code, why it failed.
    `edits` waits to be applied: how it is turned, cropped, covered (testing_rounds.photo_edits); until then nobody
    sees the photo.
    """

    report = models.ForeignKey(FitReport, on_delete=models.CASCADE, related_name="photos")
    view = models.CharField(max_length=40, blank=True)
    upload_key = models.CharField(max_length=64)
    state = models.CharField(max_length=8, choices=PhotoState, default=PhotoState.WAITING)
    trouble = models.CharField(max_length=20, blank=True)
    incoming = models.CharField(max_length=120, blank=True)
    large = models.CharField(max_length=120, blank=True)
    small = models.CharField(max_length=120, blank=True)
    width = models.PositiveIntegerField(null=True)
    height = models.PositiveIntegerField(null=True)
    edits = models.JSONField(null=True, blank=True)
    added = models.DateTimeField(auto_now_add=True)

    class Meta:
        ordering = ["id"]
        constraints = [models.UniqueConstraint(fields=["report", "upload_key"], name="one_photo_an_upload")]

    def __str__(self) -> str:
        return f"{self.view} {self.ref}"


class ArrivingPhoto(Arriving):
    """A photo that comes in parts. `mark` tells the same photo again after the page was opened anew."""

    place = models.ForeignKey(Place, on_delete=models.CASCADE, related_name="arriving")
    stage = models.CharField(max_length=8, choices=Stage, default=Stage.TOILE)
    view = models.CharField(max_length=40, blank=True)
    mark = models.CharField(max_length=64)

    class Meta:
        ordering = ["id"]
        constraints = [models.UniqueConstraint(fields=["place", "mark"], name="one_arrival_a_photo")]

    def __str__(self) -> str:
        return f"{self.view} {self.ref}"

    @property
    def part_of(self) -> str:
        return self.place.ref


class PhotoUse(Referenced):
    """Where a studio shows a photo to others: a pack or a page, in its own words. `over` is the day on which it was
    taken down; `recalled` the day on which the tester took the permission back, so that it must be.
    """

    class What(models.TextChoices):
        PACK = "pack", _("a pack")
        PAGE = "page", _("a page")
        POST = "post", _("a post or a letter")

    photo = models.ForeignKey(Photo, null=True, on_delete=models.SET_NULL, related_name="uses")
    round = models.ForeignKey(Round, on_delete=models.CASCADE, related_name="photo_uses")
    photo_ref = models.CharField(max_length=10)
    what = models.CharField(_("what it is"), max_length=4, choices=What, default=What.PAGE)
    where = models.CharField(_("where it is shown"), max_length=300)
    since = models.DateTimeField(auto_now_add=True)
    by = models.ForeignKey(Person, null=True, on_delete=models.SET_NULL, related_name="+")
    recalled = models.DateTimeField(null=True, blank=True)
    over = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["id"]
        constraints = [models.UniqueConstraint(fields=["photo", "where"], name="one_use_a_photo_and_place")]

    def __str__(self) -> str:
        return self.where
