"""The launch check: what every app finds standing between a version and the shop, and which of it was overridden."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from people.audit import digest
from releases.launch_checks import forget
from releases.models import LaunchWord, Version, VersionState
from releases.registry import LaunchCheck, Standing, launch_checks

READY_FOR = frozenset({VersionState.DRAFT, VersionState.IN_TESTING})


@dataclass(frozen=True)
class Checked:
    """A check with what it found. `content` tells the findings: an override holds while they are the same."""

    check: LaunchCheck
    standing: tuple[Standing, ...]
    content: str
    override: LaunchWord | None
    word: LaunchWord | None

    @property
    def passes(self) -> bool:
        return not self.standing

    @property
    def lets(self) -> bool:
        """Whether it stands in nobody's way: it passes, or its owner lets it go."""
        return self.passes or self.override is not None


@dataclass(frozen=True)
class Gate:
    """All checks of a version."""

    version: Version
    checks: tuple[Checked, ...]

    @property
    def open(self) -> bool:
        return all(one.lets for one in self.checks)

    @property
    def in_the_way(self) -> tuple[Checked, ...]:
        return tuple(one for one in self.checks if not one.lets)

    @property
    def overridden(self) -> tuple[Checked, ...]:
        return tuple(one for one in self.checks if one.override and not one.passes)

    @property
    def passed(self) -> tuple[Checked, ...]:
        return tuple(one for one in self.checks if one.passes)

    def check(self, key: str) -> Checked | None:
        return next((one for one in self.checks if one.check.key == key), None)


def gate_of(version: Version) -> Gate:
    """Run every check of every app."""
    words = list(version.launch_words.select_related("by"))
    forget(version)
    return Gate(version, tuple(_checked(version, check, words) for check in launch_checks()))


def _checked(version: Version, check: LaunchCheck, words: Sequence[LaunchWord]) -> Checked:
    standing, read = list(check.run(version)), None
    if check.about:
        about = check.about(version)
        read = _newest(words, LaunchWord.Kind.READ, check.key, about)
        if read:
            standing = []
    content = digest([one.says for one in standing])
    override = _newest(words, LaunchWord.Kind.OVERRIDE, check.key, content) if standing else None
    return Checked(check, tuple(standing), content, override, read)


def _newest(words: Sequence[LaunchWord], kind: str, key: str, content: str) -> LaunchWord | None:
    """The newest word on a check, where it was said about what still stands."""
    said = [word for word in words if word.kind == kind and word.check_key == key]
    return said[-1] if said and said[-1].content == content else None


def headline(gate: Gate) -> str:
    """Where the version stands, in a sentence."""
    version, left = gate.version, len(gate.in_the_way)
    told = {"number": version.number, "n": left}
    if version.state == VersionState.WITHDRAWN:
        return _("Version %(number)s is withdrawn.") % told
    if version.state == VersionState.ON_SALE:
        if not left:
            return _("Version %(number)s is on sale.") % told
        said = ngettext(
            "Version %(number)s is on sale, and %(n)s check no longer passes.",
            "Version %(number)s is on sale, and %(n)s checks no longer pass.",
            left,
        )
        return said % told
    if left:
        said = ngettext(
            "%(n)s thing stands between %(number)s and the shop.",
            "%(n)s things stand between %(number)s and the shop.",
            left,
        )
        return said % told
    if version.state == VersionState.CLEARED:
        return _("Version %(number)s is cleared: it may go on sale.") % told
    return _("Nothing stands between %(number)s and the shop.") % told
