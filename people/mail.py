"""Mail: text and HTML made from one text, sent once the change it speaks of is safely written."""

from __future__ import annotations

import base64
import hashlib
import logging
from collections.abc import Mapping
from contextlib import nullcontext
from typing import Any

from django.conf import settings
from django.core.mail import EmailMessage, EmailMultiAlternatives
from django.core.mail.backends.base import BaseEmailBackend
from django.db import transaction
from django.template.loader import render_to_string
from django.utils import translation

from people.mail_parts import mail_parts

log = logging.getLogger(__name__)


class MailNotSent(Exception):  # noqa: N818  (it reads as what happened)
    """The change is written, but its mail did not leave; the log has the cause."""


def site_address(path: str) -> str:
    """The full address of a page, for a mail that is read far from the site."""
    return f"{settings.SITE_ADDRESS}{path}"


def written(
    *,
    to: str,
    template: str,
    context: dict[str, Any],
    headers: Mapping[str, str] | None = None,
    language: str = "",
) -> EmailMultiAlternatives:
    """A mail from a template, in text and in HTML, in the reader's language; empty: in that of who causes it.

    The template's first line is the subject, the rest after an empty line the body.
    """
    with translation.override(language) if language else nullcontext():
        subject, _, body = render_to_string(template, context).strip().partition("\n\n")
        return in_both_forms(" ".join(subject.split()), body.strip() + "\n", to, headers)


def in_both_forms(subject: str, body: str, to: str, headers: Mapping[str, str] | None = None) -> EmailMultiAlternatives:
    """The text as it is, and the same words as HTML."""
    # RFC 3834: no absence notice answers a mail that a program wrote.
    all_headers = {"Auto-Submitted": "auto-generated", **(headers or {})}
    message = EmailMultiAlternatives(subject, body, settings.DEFAULT_FROM_EMAIL, [to], headers=all_headers)
    message.attach_alternative(as_html(subject, body), "text/html")
    return message


def as_html(subject: str, body: str) -> str:
    """A whole page for a mail reader: its look stands inside, and nothing is fetched from anywhere."""
    context = {"subject": subject, "parts": mail_parts(body), "look": look()}
    return render_to_string("people/mail/frame.html", context)


def look() -> str:
    return render_to_string("people/mail/look.css").strip()


def look_source() -> str:
    """How the content security policy of a page names the look of a mail that it shows."""
    return f"'sha256-{base64.b64encode(hashlib.sha256(look().encode()).digest()).decode()}'"


def send_after_commit(*, to: str, template: str, context: dict[str, Any], language: str = "") -> None:
    """Send a mail when the transaction has ended well; raises MailNotSent out of it if that fails."""
    message = written(to=to, template=template, context=context, language=language)
    transaction.on_commit(lambda: send(message))


def send(message: EmailMessage, connection: BaseEmailBackend | None = None) -> None:
    """Send now, over this connection if there is one. Raises MailNotSent where the mail server does not take it."""
    message.connection = connection
    try:
        message.send()
    except OSError as cause:  # SMTP's own errors are OSErrors too
        log.exception("A mail did not leave.")
        raise MailNotSent from cause
