"""A round of testing: places, what testers said, and what the studio made of it."""

from __future__ import annotations

from django.db import models
from django.db.models import Q
from django.utils.translation import gettext_lazy as _

from measurements.models import BodyRecord, LengthField
from people.models import Person, Referenced, SecretLink, Units
from people.refs import new_ref
from releases.models import FileKind, Version


class RoundState(models.TextChoices):
    PLANNED = "planned", _("planned")
    CALL_OPEN = "call_open", _("call open")
    SEWING = "sewing", _("sewing")
    CLOSED = "closed", _("closed")


class Round(Referenced):
    """A version sewn by volunteers between two dates.

    `zones` holds the zones asked, each {key, label, low, high, body_point, scale_cm, ...} as in a round file;
    `views` the photo views asked; `revision` counts every change that a reading can see.
    """

    version = models.ForeignKey(Version, on_delete=models.CASCADE, related_name="rounds")
    name = models.CharField(_("name"), max_length=80)
    state = models.CharField(max_length=10, choices=RoundState, default=RoundState.PLANNED)
    call_ref = models.CharField(max_length=10, unique=True, default=new_ref, editable=False)
    call_closes = models.DateField(_("call closes"), null=True, blank=True)
    starts = models.DateField(_("sewing starts"), null=True, blank=True)
    report_due = models.DateField(_("reports due"), null=True, blank=True)
    closes = models.DateField(_("round closes"), null=True, blank=True)
    per_size = models.PositiveSmallIntegerField(_("testers a size"), default=3)
    gives = models.TextField(_("what testers get"), blank=True)
    asks = models.TextField(_("what testers do"), blank=True)
    zones = models.JSONField(default=list)
    views = models.JSONField(default=list)
    revision = models.PositiveIntegerField(default=0)
    carried = models.JSONField(default=dict, blank=True)
    created = models.DateTimeField(auto_now_add=True)

    class Meta:
        ordering = ["-created", "-id"]

    def __str__(self) -> str:
        return f"{self.version}, {self.name}"


class PlaceState(models.TextChoices):
    APPLIED = "applied", _("applied")
    RESERVE = "reserve", _("reserve")
    INVITED = "invited", _("invited")
    ACCEPTED = "accepted", _("accepted")
    DROPPED_OUT = "dropped_out", _("dropped out")
    FINISHED = "finished", _("finished")


class Wish(models.TextChoices):
    CLOSER = "closer", _("closer")
    AS_MEANT = "", _("as the pattern means it")
    ROOMIER = "roomier", _("roomier")


class Experience(models.TextChoices):
    NEW = "new", _("I have sewn a few things")
    SOME = "some", _("I sew clothes now and then")
    MUCH = "much", _("I sew clothes often")


class Place(Referenced):
    """One volunteer in one round, from application to thank-you.

    `alias` stands for the tester wherever a name must not go (round files). `size` is the size to sew,
    `advised_size` what the size advice said, `sizes` the zones cut in another size (a blend). `pending` holds
    what was typed into a field and cannot be used yet: kept word for word, counted nowhere.
    """

    round = models.ForeignKey(Round, on_delete=models.CASCADE, related_name="places")
    state = models.CharField(max_length=12, choices=PlaceState, default=PlaceState.APPLIED)
    alias = models.CharField(max_length=80)
    name = models.CharField(_("your name"), max_length=120, blank=True)
    email = models.EmailField(_("e-mail"), blank=True)
    units = models.CharField(_("units"), max_length=2, choices=Units, default=Units.CM)
    wanted_size = models.CharField(_("size you would pick"), max_length=20, blank=True)
    experience = models.CharField(max_length=8, choices=Experience, blank=True)
    paper = models.CharField(_("paper"), max_length=10, choices=FileKind, blank=True)
    rounds_before = models.PositiveSmallIntegerField(null=True, blank=True)
    note = models.TextField(blank=True)
    adult_at = models.DateTimeField(null=True, blank=True)
    wish = models.CharField(_("how close it should fit"), max_length=8, choices=Wish, blank=True)
    pending = models.JSONField(default=dict, blank=True)
    advised_size = models.CharField(max_length=20, blank=True)
    size = models.CharField(max_length=20, blank=True)
    sizes = models.JSONField(default=dict, blank=True)
    body = models.OneToOneField(BodyRecord, null=True, blank=True, on_delete=models.SET_NULL, related_name="place")
    applied_at = models.DateTimeField(auto_now_add=True)
    invited_at = models.DateTimeField(null=True, blank=True)
    accepted_at = models.DateTimeField(null=True, blank=True)
    dropped_at = models.DateTimeField(null=True, blank=True)
    finished_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["id"]
        constraints = [
            models.UniqueConstraint(fields=["round", "alias"], name="one_alias_a_round"),
            models.UniqueConstraint(fields=["round", "email"], condition=~Q(email=""), name="one_place_an_address"),
        ]

    def __str__(self) -> str:
        return self.name or self.alias


class TesterLink(SecretLink):
    """The link that signs one tester in, without a password. Opening it shows a button; only the button signs in."""

    place = models.ForeignKey(Place, on_delete=models.CASCADE, related_name="links")
    first_used_at = models.DateTimeField(null=True, blank=True)

    def __str__(self) -> str:
        return f"{self.place}"


class PrintCheck(models.Model):
    """A test square read off a print; the newest one of a place counts."""

    place = models.ForeignKey(Place, on_delete=models.CASCADE, related_name="print_checks")
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


class Stage(models.TextChoices):
    TOILE = "toile", _("toile")
    FINISHED = "finished", _("finished garment")


class Hours(models.TextChoices):
    TO_3 = "to_3", _("up to 3 hours")
    TO_6 = "to_6", _("3 to 6 hours")
    TO_10 = "to_10", _("6 to 10 hours")
    TO_20 = "to_20", _("10 to 20 hours")
    OVER_20 = "over_20", _("more than 20 hours")


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
    added = models.DateTimeField(auto_now_add=True)

    class Meta:
        ordering = ["id"]
        constraints = [models.UniqueConstraint(fields=["report", "upload_key"], name="one_photo_an_upload")]

    def __str__(self) -> str:
        return f"{self.view} {self.ref}"


class Weighing(models.TextChoices):
    ASIDE = "aside", _("set aside")
    BACK = "back", _("put back")


class WeighedByHand(models.Model):
    """A designer's word that a zone's answer does not count, or counts after all; the newest one holds."""

    report = models.ForeignKey(FitReport, on_delete=models.CASCADE, related_name="weighings")
    zone = models.CharField(max_length=60)
    what = models.CharField(max_length=5, choices=Weighing)
    reason = models.CharField(max_length=300)
    by = models.ForeignKey(Person, null=True, on_delete=models.SET_NULL, related_name="+")
    at = models.DateTimeField(auto_now_add=True)
    carried = models.JSONField(default=dict, blank=True)

    class Meta:
        ordering = ["id"]

    def __str__(self) -> str:
        return f"{self.zone} {self.what}"


class StoredReading(models.Model):
    """What a method read in a round at one revision, kept so that an old page or PDF can be explained."""

    round = models.ForeignKey(Round, on_delete=models.CASCADE, related_name="stored_readings")
    revision = models.PositiveIntegerField()
    method = models.CharField(max_length=20)
    readings = models.JSONField()
    made = models.DateTimeField(auto_now_add=True)

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["round", "revision", "method"], name="one_reading_a_revision")
        ]

    def __str__(self) -> str:
        return f"{self.round}, {self.revision}, {self.method}"


class IssueState(models.TextChoices):
    OPEN = "open", _("open")
    DECIDED = "decided", _("decided")
    FIXED = "fixed", _("fixed")
    CONFIRMED = "confirmed", _("confirmed")
    LEFT = "left", _("left as is")


class DecisionKind(models.TextChoices):
    DRAFT = "draft", _("the draft")
    GRADE = "grade", _("the grade")
    ONE_SIZE = "one_size", _("one size")
    ADVICE = "advice", _("the size advice")
    WORDING = "wording", _("the wording")
    PRINT = "print", _("the print")
    LEAVE = "leave", _("nothing: leave as is")


class FitIssue(Referenced):
    """A zone of a round that needs, or had, a decision. `fixed_in` is the version that carries the change."""

    round = models.ForeignKey(Round, on_delete=models.CASCADE, related_name="issues")
    zone = models.CharField(max_length=60)
    direction = models.SmallIntegerField()
    sizes = models.JSONField(default=list)
    state = models.CharField(max_length=10, choices=IssueState, default=IssueState.OPEN)
    fixed_in = models.ForeignKey(Version, null=True, blank=True, on_delete=models.SET_NULL, related_name="+")
    opened = models.DateTimeField(auto_now_add=True)

    class Meta:
        constraints = [models.UniqueConstraint(fields=["round", "zone", "direction"], name="one_issue_a_side")]

    def __str__(self) -> str:
        return f"{self.zone} {self.direction:+}"


class Decision(models.Model):
    """What was decided about a fit issue, by whom, in their words."""

    issue = models.ForeignKey(FitIssue, on_delete=models.CASCADE, related_name="decisions")
    kind = models.CharField(_("what is wrong"), max_length=10, choices=DecisionKind)
    words = models.TextField(_("why, in your words"))
    by = models.ForeignKey(Person, null=True, on_delete=models.SET_NULL, related_name="+")
    at = models.DateTimeField(auto_now_add=True)

    class Meta:
        ordering = ["id"]

    def __str__(self) -> str:
        return self.get_kind_display()


class Summary(Referenced):
    """A fit-issue summary made in the background: its state, its file, the revision it shows."""

    round = models.ForeignKey(Round, on_delete=models.CASCADE, related_name="summaries")
    revision = models.PositiveIntegerField()
    paper = models.CharField(max_length=6, choices=[("a4", "A4"), ("letter", "Letter")])
    asked_by = models.ForeignKey(Person, null=True, on_delete=models.SET_NULL, related_name="+")
    state = models.CharField(max_length=8, choices=PhotoState, default=PhotoState.WAITING)
    done = models.PositiveSmallIntegerField(default=0)
    stored = models.CharField(max_length=120, blank=True)
    made = models.DateTimeField(auto_now_add=True)

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["round", "revision", "paper"], name="one_summary_a_revision_and_paper")
        ]

    def __str__(self) -> str:
        return f"{self.round}, {self.revision}, {self.paper}"
