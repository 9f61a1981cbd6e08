"""The form in which a message is written, and the messages of a place as a page shows them."""

from __future__ import annotations

from typing import Any

from django import forms
from django.conf import settings
from django.db.models import Count, Q
from django.utils.translation import gettext_lazy as _

from people.refs import new_ref
from testing_rounds.models import Message, Place


class MessageForm(forms.Form):
    """`key` tells one sending from another: a double tap is one message."""

    text = forms.CharField(
        label=_("Your message"),
        max_length=settings.WORDS_CHARS,
        widget=forms.Textarea(attrs={"rows": 4}),
        error_messages={"required": _("Write a word first.")},
    )
    key = forms.RegexField(r"^[a-z0-9]{10}$", required=False, widget=forms.HiddenInput)

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **{"initial": {"key": new_ref()}, **kwargs})

    @property
    def sent_key(self) -> str:
        return self.cleaned_data.get("key") or new_ref()


def thread(place: Place) -> list[Message]:
    return list(place.messages.select_related("writer", "report"))


def unread(place: Place, *, by_tester: bool) -> int:
    """How many messages of the other side wait to be read."""
    return int(talk(place, by_tester=by_tester)["unread"])


def talk(place: Place, *, by_tester: bool) -> dict[str, int]:
    """How many messages there are (`written`), and how many of the other side wait to be read (`unread`); one query."""
    waiting = Count("pk", filter=Q(from_tester=not by_tester, read_at=None))
    return place.messages.aggregate(written=Count("pk"), unread=waiting)
