"""What later apps contribute to the pages of a version, without this app knowing them.

Each registers in its AppConfig.ready():

    registry.add_version_part(VersionPart(key="rounds", template="...", context=function))
    registry.add_next_step(function)
    registry.add_size_condition(SizeCondition("counted", "Two counted reports", look))
    registry.add_launch_check(LaunchCheck("squares", "Squares read on paper", run))
    registry.add_stale_rule(function)
    registry.add_step_notes(function)
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from django.http import HttpRequest
from django.template.loader import render_to_string
from django.utils.functional import Promise

from releases.models import Version
from releases.stale import Change, Mark


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


@dataclass(frozen=True)
class StepNote:
    """What somebody who sewed it noted at a step, and the page where it stands."""

    who: str
    size: str
    kind: str
    text: str
    url: str


_step_notes: list[Callable[[Version], Mapping[int, Sequence[StepNote]]]] = []


def add_step_notes(notes: Callable[[Version], Mapping[int, Sequence[StepNote]]]) -> None:
    """Tell, for a version, {number of a step: what was noted at it}."""
    if notes not in _step_notes:
        _step_notes.append(notes)


def step_notes(version: Version) -> dict[int, list[StepNote]]:
    """What later apps know to have been noted at each step."""
    found: dict[int, list[StepNote]] = {}
    for notes in _step_notes:
        for number, some in notes(version).items():
            found.setdefault(number, []).extend(some)
    return found


@dataclass(frozen=True)
class Condition:
    """Whether one size meets one condition of its sign-off, in a few words, and the page that shows it."""

    met: bool
    says: str
    url: str = ""


@dataclass(frozen=True)
class SizeCondition:
    """A condition that every size is put to. `look` answers for all sizes at once; a size that is missing is not met.

    `order` is its place among those of all apps.
    """

    key: str
    title: str | Promise
    look: Callable[[Version], Mapping[str, Condition]]
    order: int = 0


@dataclass(frozen=True)
class Standing:
    """One thing that stands between a version and the shop, and the page where it is put right.

    `edits`: only those who may edit can open that page.
    """

    says: str
    url: str
    action: str
    edits: bool = False


@dataclass(frozen=True)
class LaunchCheck:
    """A check before launch: `run` tells what still stands in the way, nothing when it passes.

    `confirm` is the label of a button that a person presses where only a person can know (with what it is about as
    the content of the word); `order` its place among those of all apps.
    """

    key: str
    title: str | Promise
    run: Callable[[Version], Iterable[Standing]]
    order: int = 0
    confirm: str | Promise = ""
    about: Callable[[Version], str] | None = None


_size_conditions: dict[str, SizeCondition] = {}
_launch_checks: dict[str, LaunchCheck] = {}


def add_size_condition(condition: SizeCondition) -> None:
    """Ask it of every size before it is signed; a key registers once."""
    _size_conditions[condition.key] = condition


def size_conditions() -> tuple[SizeCondition, ...]:
    return tuple(sorted(_size_conditions.values(), key=lambda one: one.order))


def add_launch_check(check: LaunchCheck) -> None:
    """Run it before a version is cleared for sale; a key registers once."""
    _launch_checks[check.key] = check


def launch_checks() -> tuple[LaunchCheck, ...]:
    return tuple(sorted(_launch_checks.values(), key=lambda one: one.order))


_stale_rules: list[Callable[[Version, Change], Iterable[Mark]]] = []


def add_stale_rule(rule: Callable[[Version, Change], Iterable[Mark]]) -> None:
    """Tell what else a change to a version leaves behind, besides what releases.stale knows."""
    if rule not in _stale_rules:
        _stale_rules.append(rule)


def stale_rules() -> tuple[Callable[[Version, Change], Iterable[Mark]], ...]:
    return tuple(_stale_rules)
