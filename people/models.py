"""Who there is: people, studios, roles, consents, and the trail of what was done."""

from __future__ import annotations

from datetime import datetime
from typing import Any

from django.contrib.auth.base_user import AbstractBaseUser, BaseUserManager
from django.db import models
from django.db.models import Q
from django.utils.translation import gettext_lazy as _

from people.refs import new_ref


class Referenced(models.Model):
    """A thing with an address: known outside by its opaque `ref`, never by its primary key."""

    ref = models.CharField(max_length=10, unique=True, default=new_ref, editable=False)

    class Meta:
        abstract = True


class Arriving(Referenced):
    """A file that comes in parts over a line that may drop; the parts lie in the store until all are there."""

    size_bytes = models.PositiveBigIntegerField()
    received = models.PositiveBigIntegerField(default=0)
    parts = models.JSONField(default=list, blank=True)
    begun = models.DateTimeField(auto_now_add=True)

    class Meta:
        abstract = True

    @property
    def part_of(self) -> str:
        """The folder of the parts: the ref of whose files these are, or its own."""
        return self.ref


class LanguageField(models.CharField):
    """A language of settings.LANGUAGES, which settles the sewing words too; empty: what the browser asks for."""

    def __init__(self, **options: Any) -> None:
        super().__init__(_("language"), **{"max_length": 8, "blank": True, "default": "", **options})

    def deconstruct(self) -> Any:
        name, path, _args, options = super().deconstruct()
        options.pop("verbose_name", None)
        return name, path, [], options


class Units(models.TextChoices):
    CM = "cm", _("centimetres")
    IN = "in", _("inches")


class PersonManager(BaseUserManager["Person"]):
    def create_user(self, email: str, password: str | None = None, **fields: object) -> Person:
        """A person who may sign in; without a password only a reset makes one."""
        person = self.model(email=self.normalize_email(email).lower(), **fields)
        person.set_password(password)
        person.save(using=self._db)
        return person

    def get_by_natural_key(self, email: str | None) -> Person:
        return self.get(email__iexact=email)


class Person(Referenced, AbstractBaseUser):
    """Someone who signs in with a password: owner, designer, reviewer."""

    email = models.EmailField(_("e-mail"), unique=True)
    name = models.CharField(_("name"), max_length=120)
    units = models.CharField(_("units"), max_length=2, choices=Units, default=Units.CM)
    language = LanguageField()
    is_active = models.BooleanField(default=True)
    joined = models.DateTimeField(auto_now_add=True)

    objects = PersonManager()
    USERNAME_FIELD = "email"
    REQUIRED_FIELDS = ["name"]

    def __str__(self) -> str:
        return self.name or self.email


class Studio(Referenced):
    """A designer, or two to five, and all that they keep."""

    name = models.CharField(_("studio's name"), max_length=120)
    created = models.DateTimeField(auto_now_add=True)

    def __str__(self) -> str:
        return self.name


class Role(models.TextChoices):
    OWNER = "owner", _("owner")
    DESIGNER = "designer", _("designer")
    REVIEWER = "reviewer", _("reviewer")


class Membership(models.Model):
    """A person's role in a studio."""

    studio = models.ForeignKey(Studio, on_delete=models.CASCADE, related_name="memberships")
    person = models.ForeignKey(Person, on_delete=models.CASCADE, related_name="memberships")
    role = models.CharField(_("role"), max_length=8, choices=Role)
    since = models.DateTimeField(auto_now_add=True)

    class Meta:
        constraints = [models.UniqueConstraint(fields=["studio", "person"], name="one_role_a_studio")]

    def __str__(self) -> str:
        return f"{self.person}, {self.get_role_display()}"


class LinkQuerySet(models.QuerySet):
    def live(self, at: datetime) -> LinkQuerySet:
        """Links that still open something at that time."""
        return self.filter(revoked_at=None, expires_at__gt=at)


class SecretLink(Referenced):
    """A link sent by mail. Only the token's hash is kept; it can be revoked and it expires."""

    token_hash = models.CharField(max_length=64, unique=True, editable=False)
    created = models.DateTimeField(auto_now_add=True)
    expires_at = models.DateTimeField()
    revoked_at = models.DateTimeField(null=True, blank=True)

    objects = LinkQuerySet.as_manager()

    class Meta:
        abstract = True

    def is_live(self, at: datetime) -> bool:
        return self.revoked_at is None and self.expires_at > at


class Invitation(SecretLink):
    """An invitation into a studio as designer or reviewer."""

    studio = models.ForeignKey(Studio, on_delete=models.CASCADE, related_name="invitations")
    email = models.EmailField(_("e-mail"))
    role = models.CharField(_("role"), max_length=8, choices=Role)
    invited_by = models.ForeignKey(Person, null=True, on_delete=models.SET_NULL, related_name="+")
    accepted_at = models.DateTimeField(null=True, blank=True)

    def __str__(self) -> str:
        return f"{self.email}, {self.get_role_display()}"


class ConsentKind(models.TextChoices):
    MEASUREMENTS = "measurements", _("my measurements, for this round")
    PHOTOS = "photos", _("my photos, to judge the fit")
    PROMOTION = "promotion", _("my photos, to show the pattern")
    NAME = "name", _("my name, in the thanks")
    QUOTE = "quote", _("my words, quoted")


class Consent(models.Model):
    """One permission of one tester in one round, dated, in the wording that was shown.

    `subject` is the ref of the tester's place: the trail stays whole when the person goes.
    """

    subject = models.CharField(max_length=10, db_index=True)
    kind = models.CharField(max_length=16, choices=ConsentKind)
    wording = models.CharField(max_length=16)
    given_at = models.DateTimeField()
    withdrawn_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["subject", "kind"], condition=Q(withdrawn_at=None), name="one_standing_consent_a_kind"
            )
        ]

    def __str__(self) -> str:
        return f"{self.kind}, {self.given_at:%Y-%m-%d}"


class AuditEntry(models.Model):
    """What was done, by whom, to what: refs, a verb and a digest. No name, mail, text or measure.

    Rows are never changed or deleted: the database refuses both.
    """

    at = models.DateTimeField(auto_now_add=True, db_index=True)
    studio_ref = models.CharField(max_length=10, db_index=True)
    actor_ref = models.CharField(max_length=10)
    verb = models.CharField(max_length=40)
    object_ref = models.CharField(max_length=40)
    digest = models.CharField(max_length=64, blank=True)

    class Meta:
        ordering = ["-id"]

    def __str__(self) -> str:
        return f"{self.verb} {self.object_ref}"


class WorkerSign(models.Model):
    """A sign of life of a worker: while it is fresh, the worker's running job is its own."""

    worker = models.CharField(max_length=64, unique=True)
    at = models.DateTimeField()

    def __str__(self) -> str:
        return f"{self.worker}, {self.at:%H:%M:%S}"


class NightlySlot(models.Model):
    """One nightly job on one day: whichever worker writes the row enqueues the job, and no other."""

    job = models.CharField(max_length=120)
    day = models.DateField()

    class Meta:
        constraints = [models.UniqueConstraint(fields=["job", "day"], name="one_nightly_job_a_day")]

    def __str__(self) -> str:
        return f"{self.job}, {self.day}"
