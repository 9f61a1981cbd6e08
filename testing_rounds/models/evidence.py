"""What the studio makes of it: answers weighed by hand, readings, issues, decisions, summaries."""

from __future__ import annotations

from django.db import models
from django.utils.translation import gettext_lazy as _

from people.models import LanguageField, Person, Referenced, Studio
from releases.models import Version
from testing_rounds.models.reports import FitReport, PhotoState
from testing_rounds.models.rounds import Round


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
        constraints = [models.UniqueConstraint(fields=["round", "revision", "method"], name="one_reading_a_revision")]

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


class IssueAbout(models.TextChoices):
    ZONE = "zone", _("a zone")
    STEP = "step", _("a step of the instructions")
    FILE = "file", _("a file")


class FitIssue(Referenced):
    """Something in a round that needs, or had, a decision. `fixed_in` is the version that carries the change.

    `zone` is the key of the zone; of an issue about a step or a file it is the number of the step (direction 0) or
    the kind of file (direction -1: it prints small, +1: large).
    """

    round = models.ForeignKey(Round, on_delete=models.CASCADE, related_name="issues")
    about = models.CharField(max_length=4, choices=IssueAbout, default=IssueAbout.ZONE)
    zone = models.CharField(max_length=60)
    direction = models.SmallIntegerField()
    sizes = models.JSONField(default=list)
    state = models.CharField(max_length=10, choices=IssueState, default=IssueState.OPEN)
    fixed_in = models.ForeignKey(Version, null=True, blank=True, on_delete=models.SET_NULL, related_name="+")
    opened = models.DateTimeField(auto_now_add=True)

    class Meta:
        constraints = [models.UniqueConstraint(fields=["round", "about", "zone", "direction"], name="one_issue_a_side")]

    def __str__(self) -> str:
        return f"{self.zone} {self.direction:+}"


class Decision(models.Model):
    """What was decided about a fit issue, by whom, in their words.

    `changes` holds the numbers that were accepted: {"measure": key of the finished chart, "source": where they come
    from, "by_size": {label: {"mm": change, + is bigger, "typed": text}}}; of a step {"text": the words it shall have}.
    """

    issue = models.ForeignKey(FitIssue, on_delete=models.CASCADE, related_name="decisions")
    kind = models.CharField(_("what is wrong"), max_length=10, choices=DecisionKind)
    words = models.TextField(_("why, in your words"))
    changes = models.JSONField(default=dict, blank=True)
    by = models.ForeignKey(Person, null=True, on_delete=models.SET_NULL, related_name="+")
    at = models.DateTimeField(auto_now_add=True)

    class Meta:
        ordering = ["id"]

    def __str__(self) -> str:
        return self.get_kind_display()


class ZoneScales(Referenced):
    """A studio's own misfit that a tester just calls slight, zone by zone; a zone that is missing has the usual one.

    `scales` is {zone: {"mm": "12", "typed": "1.2 cm"}}.
    """

    studio = models.OneToOneField(Studio, on_delete=models.CASCADE, related_name="zone_scales")
    scales = models.JSONField(default=dict, blank=True)
    changed = models.DateTimeField(auto_now=True)

    def __str__(self) -> str:
        return f"{self.studio}: {len(self.scales)}"


class Summary(Referenced):
    """A fit-issue summary made in the background: its state, its file, the revision it shows."""

    round = models.ForeignKey(Round, on_delete=models.CASCADE, related_name="summaries")
    revision = models.PositiveIntegerField()
    paper = models.CharField(max_length=6, choices=[("a4", "A4"), ("letter", "Letter")])
    language = LanguageField()
    asked_by = models.ForeignKey(Person, null=True, on_delete=models.SET_NULL, related_name="+")
    state = models.CharField(max_length=8, choices=PhotoState, default=PhotoState.WAITING)
    done = models.PositiveSmallIntegerField(default=0)
    stored = models.CharField(max_length=120, blank=True)
    made = models.DateTimeField(auto_now_add=True)

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["round", "revision", "paper", "language"], name="one_summary_a_revision_and_paper"
            )
        ]

    def __str__(self) -> str:
        return f"{self.round}, {self.revision}, {self.paper}"
