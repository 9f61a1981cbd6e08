"""The trail of what was done."""

from __future__ import annotations

import hashlib
import json
from typing import Any

from people.models import AuditEntry, Referenced, Studio


def digest(content: Any) -> str:
    """A fingerprint of what was written, so that a later change can be told without keeping the words."""
    return hashlib.sha256(json.dumps(content, sort_keys=True, default=str).encode()).hexdigest()


def record(*, studio: Studio, by: Referenced | None, verb: str, thing: Referenced | str, content: Any = None) -> None:
    """Add one entry. `by` is a person, a tester's place, or None for the app itself."""
    AuditEntry.objects.create(
        studio_ref=studio.ref,
        actor_ref=by.ref if by else "",
        verb=verb,
        object_ref=thing if isinstance(thing, str) else thing.ref,
        digest=digest(content) if content is not None else "",
    )
