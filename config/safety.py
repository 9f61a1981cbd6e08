"""What a production server must not start with, said by the setting's name."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from django.core.exceptions import ImproperlyConfigured


def unsafe_settings(settings: Mapping[str, Any]) -> list[str]:
    """One sentence for each setting that is unsafe in production; empty when all is well."""
    if not settings["PRODUCTION"]:
        return []
    hosts = settings["ALLOWED_HOSTS"]
    checks = [
        (len(settings["SECRET_KEY"]) < 50, "SECRET_KEY must be set, 50 characters or more."),
        (settings["DEBUG"], "DEBUG must be off."),
        (not hosts or "*" in hosts, "ALLOWED_HOSTS must name the hosts that are served."),
        (settings["DEMO_SIGN_IN"], "DEMO_SIGN_IN must be off: its links sign anyone in."),
        (not settings["SITE_ADDRESS"].startswith("https://"), "SITE_ADDRESS must start with https://."),
        (not settings["EMAIL_HOST"], "EMAIL_HOST must be set: invitations and resets go by mail."),
        (settings["FILE_STORE"] not in {"disk", "s3"}, "FILE_STORE must be disk or s3."),
    ]
    return [sentence for wrong, sentence in checks if wrong]


def refuse_unsafe(settings: Mapping[str, Any]) -> None:
    """Stop the start of an unsafe production server, naming every setting at once."""
    found = unsafe_settings(settings)
    if found:
        raise ImproperlyConfigured("Not started. " + " ".join(found))
