"""Mail: plain text, sent once the change it speaks of is safely written."""

from __future__ import annotations

import logging
from typing import Any

from django.conf import settings
from django.core.mail import EmailMessage
from django.db import transaction
from django.template.loader import render_to_string

log = logging.getLogger(__name__)


class MailNotSent(Exception):  # noqa: N818  (it reads as what happened)
    """The change is written, but its mail did not leave; the log has the cause."""


def site_address(path: str) -> str:
    """The full address of a page, for a mail that is read far from the site."""
    return f"{settings.SITE_ADDRESS}{path}"


def send_after_commit(*, to: str, template: str, context: dict[str, Any]) -> None:
    """Send a text mail when the transaction has ended well; raises MailNotSent out of it if that fails.

    The template's first line is the subject, the rest after an empty line the body.
    """
    subject, _, body = render_to_string(template, context).strip().partition("\n\n")
    message = EmailMessage(" ".join(subject.split()), body.strip() + "\n", settings.DEFAULT_FROM_EMAIL, [to])
    transaction.on_commit(lambda: send(message))


def send(message: EmailMessage) -> None:
    """Send now. Raises MailNotSent where the mail server does not take it."""
    try:
        message.send()
    except OSError as cause:  # SMTP's own errors are OSErrors too
        log.exception("A mail did not leave.")
        raise MailNotSent from cause
