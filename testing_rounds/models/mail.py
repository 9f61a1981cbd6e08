"""What passed between a studio and its testers: mails that went out once, and messages."""

from __future__ import annotations

from django.db import models
from django.utils.translation import gettext_lazy as _

from people.models import Person, Referenced
from testing_rounds.models.reports import FitReport
from testing_rounds.models.rounds import Place


class MailKind(models.TextChoices):
    BEFORE = "before", _("reminder, some days before the report is due")
    ON_THE_DAY = "day", _("reminder, on the day")
    AFTER = "after", _("reminder, after the day")
    RESERVE = "reserve", _("kept in reserve")
    DECLINED = "declined", _("no place this time")
    REPORT = "report", _("a report has come in")
    STOPPED = "stopped", _("a tester has stopped")
    MESSAGE = "message", _("a message")


class MailSent(models.Model):
    """One mail to one reader about one thing. The row is written before the mail leaves, so that none leaves twice:
    where a worker dies in between, `sent_at` stays empty and the mail is not tried again.

    `about` names the thing (a stage and its day, a report, a message), `reader` is the ref of a place or a person.
    """

    place = models.ForeignKey(Place, on_delete=models.CASCADE, related_name="mails")
    kind = models.CharField(max_length=10, choices=MailKind)
    about = models.CharField(max_length=60)
    reader = models.CharField(max_length=10)
    claimed_at = models.DateTimeField(auto_now_add=True)
    sent_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["id"]
        constraints = [
            models.UniqueConstraint(fields=["place", "kind", "about", "reader"], name="one_mail_a_thing_and_reader")
        ]

    def __str__(self) -> str:
        return f"{self.kind}, {self.about}"


class Message(Referenced):
    """A word from the studio to a tester or back, perhaps about a report. `writer` is None for the tester's.

    `sent_key` comes from the form that it was written in, so that a double tap is one message.
    """

    place = models.ForeignKey(Place, on_delete=models.CASCADE, related_name="messages")
    report = models.ForeignKey(FitReport, null=True, blank=True, on_delete=models.SET_NULL, related_name="messages")
    from_tester = models.BooleanField()
    writer = models.ForeignKey(Person, null=True, blank=True, on_delete=models.SET_NULL, related_name="+")
    text = models.TextField()
    sent_key = models.CharField(max_length=40)
    at = models.DateTimeField(auto_now_add=True)
    read_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["id"]
        constraints = [models.UniqueConstraint(fields=["place", "sent_key"], name="one_message_a_sending")]

    def __str__(self) -> str:
        return f"{self.at:%Y-%m-%d}"
