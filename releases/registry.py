"""What later apps contribute to the pages of a version, without this app knowing them.

Each registers in its AppConfig.ready():

    registry.add_version_part(VersionPart(key="rounds", template="...", context=function))
    registry.add_next_step(function)
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from django.http import HttpRequest
from django.template.loader import render_to_string

from releases.models import Version


@dataclass(frozen=True)
class VersionPart:
    """A section of a version's page: a template and what it needs besides `version` and `pattern`.

    `page` tells which page shows it: that of the version, or that of its fabric.
    """

    key: str
    template: str
    context: Callable[[HttpRequest, Version], Mapping[str, Any]]
    page: str = "version"


@dataclass(frozen=True)
class NextStep:
    """What a studio does next with a version: where it stands in a sentence, and a link with its words."""

    standing: str
    action: str
    url: str


_parts: dict[str, VersionPart] = {}
_next_steps: list[Callable[[Sequence[Version]], Mapping[int, NextStep]]] = []


def add_version_part(part: VersionPart) -> None:
    """Show a section on every version's page; a key registers once."""
    _parts[part.key] = part


def version_parts(page: str = "version") -> tuple[VersionPart, ...]:
    return tuple(part for part in _parts.values() if part.page == page)


def rendered_parts(request: HttpRequest, version: Version, page: str = "version") -> list[dict[str, str]]:
    """The sections that later apps contribute to a page of this version, each with its key and its HTML."""
    given = {"version": version, "pattern": version.pattern}
    return [
        {"key": part.key, "html": render_to_string(part.template, {**given, **part.context(request, version)}, request)}
        for part in version_parts(page)
    ]


def add_next_step(steps: Callable[[Sequence[Version]], Mapping[int, NextStep]]) -> None:
    """Tell, for all versions of a page at once, {version pk: next step} for those that are in a round."""
    if steps not in _next_steps:
        _next_steps.append(steps)


def next_steps(versions: Sequence[Version]) -> dict[int, NextStep]:
    """What later apps know to come next; a version that none of them knows is missing."""
    return {pk: step for steps in _next_steps for pk, step in steps(versions).items()}
