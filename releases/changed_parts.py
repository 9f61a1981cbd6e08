"""What later apps compare between two versions on the page of what changed, without this app knowing them."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass

from releases.models import Version


@dataclass(frozen=True)
class ChangedPart:
    """A sort of thing: its heading, and each thing of a version by name with what is said of it in words."""

    key: str
    title: str
    said: Callable[[Version], Mapping[str, str]]


_parts: dict[str, ChangedPart] = {}


def add_changed_part(part: ChangedPart) -> None:
    """Compare a further sort of thing; a key registers once."""
    _parts[part.key] = part


def changed_parts() -> tuple[ChangedPart, ...]:
    return tuple(_parts.values())
