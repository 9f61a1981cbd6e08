"""A round, the places of its testers, and the links that sign them in."""

from __future__ import annotations

from django.db import models
from django.db.models import Q
from django.utils.translation import gettext_lazy as _

from measurements.models import BodyRecord
from people.models import LanguageField, Referenced, SecretLink, Units
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
    `views` the photo views asked; `revision` counts every change that a reading can see. `lot` decides between
    equals when the panel is chosen: drawn once, kept, shown.
    """

    version = models.ForeignKey(Version, on_delete=models.CASCADE, related_name="rounds")
    name = models.CharField(_("name"), max_length=80)
    state = models.CharField(max_length=10, choices=RoundState, default=RoundState.PLANNED)
    call_ref = models.CharField(max_length=10, unique=True, default=new_ref, editable=False)
    call_closes = models.DateField(_("call closes"), null=True, blank=True)
    starts = models.DateField(_("sewing starts"), null=True, blank=True)
    report_due = models.DateField(_("reports due"), null=True, blank=True)
    finished_due = models.DateField(_("finished garments due"), null=True, blank=True)
    closes = models.DateField(_("round closes"), null=True, blank=True)
    per_size = models.PositiveSmallIntegerField(_("testers a size"), default=3)
    gives = models.TextField(_("what testers get"), blank=True)
    asks = models.TextField(_("what testers do"), blank=True)
    zones = models.JSONField(default=list)
    views = models.JSONField(default=list)
    revision = models.PositiveIntegerField(default=0)
    closed_on = models.DateField(null=True, blank=True, editable=False)
    carried = models.JSONField(default=dict, blank=True)
    lot = models.CharField(max_length=16, blank=True, editable=False)
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
    what was typed into a field and cannot be used yet: kept word for word, counted nowhere. `timezone` is the
    tester's (an IANA name), in which their days end; `more_days` were asked for beyond the round's day. From
    `reminders_off` on no reminder is sent.

    `child_age` is the age in years of the child who will wear it, where the pattern is for children.

    `stage` is not stored: it says which of the two garments, and so which report, a visit is about.
    """

    stage = "toile"

    round = models.ForeignKey(Round, on_delete=models.CASCADE, related_name="places")
    state = models.CharField(max_length=12, choices=PlaceState, default=PlaceState.APPLIED)
    alias = models.CharField(max_length=80)
    name = models.CharField(_("your name"), max_length=120, blank=True)
    email = models.EmailField(_("e-mail"), blank=True)
    units = models.CharField(_("units"), max_length=2, choices=Units, default=Units.CM)
    language = LanguageField()
    wanted_size = models.CharField(_("size you would pick"), max_length=20, blank=True)
    experience = models.CharField(max_length=8, choices=Experience, blank=True)
    paper = models.CharField(_("paper"), max_length=10, choices=FileKind, blank=True)
    rounds_before = models.PositiveSmallIntegerField(null=True, blank=True)
    note = models.TextField(blank=True)
    child_age = models.PositiveSmallIntegerField(_("the child’s age"), null=True, blank=True)
    adult_at = models.DateTimeField(null=True, blank=True)
    timezone = models.CharField(_("time zone"), max_length=40, blank=True)
    more_days = models.PositiveSmallIntegerField(default=0)
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
    reminders_off = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["id"]
        constraints = [
            models.UniqueConstraint(fields=["round", "alias"], name="one_alias_a_round"),
            models.UniqueConstraint(fields=["round", "email"], condition=~Q(email=""), name="one_place_an_address"),
        ]

    def __str__(self) -> str:
        return self.name or self.alias

    @property
    def visit(self) -> str:
        """The ref in the addresses of the tester's pages: it names the garment too, where that is not the toile."""
        return self.ref if self.stage == "toile" else f"{self.ref}.{self.stage}"


class TesterLink(SecretLink):
    """The link that signs one tester in, without a password. Opening it shows a button; only the button signs in."""

    place = models.ForeignKey(Place, on_delete=models.CASCADE, related_name="links")
    first_used_at = models.DateTimeField(null=True, blank=True)

    def __str__(self) -> str:
        return f"{self.place}"
