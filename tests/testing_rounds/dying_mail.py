"""A mail server that takes a mail; the worker that gave it may die before it can note so."""

from __future__ import annotations

import os
from collections.abc import Sequence
from pathlib import Path

from django.core.mail import EmailMessage
from django.core.mail.backends.base import BaseEmailBackend


class Backend(BaseEmailBackend):
    """Adds a line for each mail to the file MAILS; with DIE the process ends there and then."""

    def send_messages(self, email_messages: Sequence[EmailMessage]) -> int:
        with Path(os.environ["MAILS"]).open("a") as out:
            out.writelines(f"{message.to[0]} {message.subject}\n" for message in email_messages)
        if os.environ.get("DIE"):
            os._exit(9)
        return len(email_messages)
