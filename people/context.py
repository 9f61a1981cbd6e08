"""What every page knows: the studio that it belongs to, and the role of the reader."""

from __future__ import annotations

from typing import Any

from django.conf import settings
from django.http import HttpRequest

from people.access import EDITORS


def studio_place(request: HttpRequest) -> dict[str, Any]:
    """`studio`, `role` and `may_edit` of the page, set by the gatekeeper that let the reader in."""
    membership = getattr(request, "membership", None)
    return {
        "studio": getattr(request, "studio", None),
        "role": membership.role if membership else "",
        "may_edit": bool(membership and membership.role in EDITORS),
        "backup_days": settings.BACKUP_DAYS,
    }
