"""Addresses that hold a secret: no log line repeats them."""

from __future__ import annotations

import logging
import re

# A tester's link, an invitation, a sign-in of the demo, a new password: what follows is as good as a password.
SECRET = re.compile(r"/(t|invitations|demo|confirm|password)/[^/\s\"'>]{8,}")


class HideSecrets(logging.Filter):
    """Puts dots for the secret part of an address, in the message and in what is filled into it."""

    def filter(self, record: logging.LogRecord) -> bool:
        message = record.getMessage()
        hidden = SECRET.sub(r"/\1/...", message)
        if hidden != message:
            record.msg, record.args = hidden, ()
        return True
