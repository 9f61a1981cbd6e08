"""On the way to the shop: what a change made stale, sizes signed off, an owner's word."""

from __future__ import annotations

from django.db import models
from django.utils.translation import gettext as translate
from django.utils.translation import gettext_lazy as _

from people.models import Person, Referenced, Studio
from releases.models.patterns import Version
from releases.stale import NAMES


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
