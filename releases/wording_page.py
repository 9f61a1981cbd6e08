"""The wording check of a version: its words, its facts, the findings at each step, what is kept as it is."""

from __future__ import annotations

import re
from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from people.audit import digest
from releases.models import SilencedWording, Step, Version
from releases.registry import StepNote, step_notes
from releases.steps_text import steps_as_text
from releases.wording.check import check_wording
from releases.wording.facts import read_facts
from releases.wording.found import Found
from releases.wording_facts import version_facts

# A sentence is proposed for these as an addition to the step, not in place of its words.
_ADDED = frozenset({"caution"})


@dataclass(frozen=True)
class WordingLine:
    """A finding with its key on the page, and the line of its step (1 is the first); None outside the steps."""

    key: str
    found: Found
    line: int | None
    can_take: bool

    @property
    def adds(self) -> bool:
        return self.found.kind in _ADDED

    @property
    def quotes(self) -> bool:
        """Whether the words are to be shown ahead of the sentence: one that begins with them does so itself."""
        return not str(self.found.says).lower().startswith(self.found.text.lower())


@dataclass(frozen=True)
class StepWords:
    """A step with its findings and what testers noted at it."""

    number: int
    text: str
    found: tuple[WordingLine, ...]
    notes: tuple[StepNote, ...]


@dataclass(frozen=True)
class WordingPage:
    """`elsewhere` are the findings at no step: before the steps, or of the booklet as a whole."""

    steps: tuple[StepWords, ...]
    elsewhere: tuple[WordingLine, ...]
    silenced: tuple[SilencedWording, ...]

    @property
    def open(self) -> tuple[WordingLine, ...]:
        return (*self.elsewhere, *(one for step in self.steps for one in step.found))

    @property
    def noted(self) -> int:
        return sum(bool(step.notes) for step in self.steps)


def wording_page(version: Version) -> WordingPage:
    """All that the page shows, in a handful of queries."""
    steps = list(version.steps.all())
    silenced = tuple(version.silenced_wording.filter(lifted=None).select_related("by"))
    lines = _open_lines(version, steps, {one.mark for one in silenced})
    at: dict[int | None, list[WordingLine]] = defaultdict(list)
    for one in lines:
        at[one.found.step].append(one)
    notes = step_notes(version)
    shown = tuple(
        StepWords(step.number, step.text, tuple(at.pop(step.number, ())), tuple(notes.get(step.number, ())))
        for step in steps
    )
    return WordingPage(shown, tuple(one for some in at.values() for one in some), silenced)


def open_findings(version: Version) -> int:
    """How many findings are neither put right nor silenced."""
    silent = set(version.silenced_wording.filter(lifted=None).values_list("mark", flat=True))
    return len(_open_lines(version, list(version.steps.all()), silent))


def _open_lines(version: Version, steps: Sequence[Step], silent: set[str]) -> list[WordingLine]:
    if not steps:
        return []
    before = _before(version)
    text = "\n\n".join([*before, steps_as_text((step.number, step.text) for step in steps)])
    begins = _first_lines(steps, sum(part.count("\n") + 2 for part in before) + 1)
    texts = {step.number: step.text for step in steps}
    found = check_wording(text, read_facts(version_facts(version)))
    return [line for line in _lines(found, begins, texts) if line.key not in silent]


def _before(version: Version) -> list[str]:
    """What the booklet says ahead of its steps; it is checked too."""
    parts = (version.suits, version.unsuited, version.printing)
    return [re.sub(r"\s*\n\s*", "\n", part.strip()) for part in parts if part.strip()]


def _first_lines(steps: Iterable[Step], line: int) -> dict[int, int]:
    begins = {}
    for step in steps:
        begins[step.number] = line
        line += step.text.count("\n") + 2
    return begins


def _lines(found: Iterable[Found], begins: Mapping[int, int], texts: Mapping[int, str]) -> Iterable[WordingLine]:
    """Each finding under a key that stays while its words do; the same words twice in a step are told apart."""
    seen: dict[tuple[Any, ...], int] = defaultdict(int)
    for one in found:
        name = (one.kind, one.step, one.text, str(one.says))
        key = digest([*map(str, name), seen[name]])
        seen[name] += 1
        begin = begins.get(one.step or 0)
        line = None if one.line is None or begin is None else one.line - begin + 1
        text = texts.get(one.step or 0)
        yield WordingLine(key, one, line, text is not None and taken(text, one, line) is not None)


def taken(text: str, found: Found, line: int | None) -> str | None:
    """A step's text with the proposed words in their place; None where nothing is proposed or the place is gone."""
    if not found.proposed:
        return None
    if found.kind in _ADDED:
        return f"{text.rstrip()} {found.proposed}"
    words = r"\s+".join(map(re.escape, found.text.split()))
    places = list(re.finditer(words, text)) if words else []
    if not places:
        return None
    right = next((place for place in places if text.count("\n", 0, place.start()) + 1 == line), places[0])
    return text[: right.start()] + found.proposed + text[right.end() :]


def wording_headline(version: Version, page: WordingPage) -> str:
    """The situation in a sentence."""
    n = len(page.open)
    if not page.steps:
        return _("Version %(number)s has no steps to read yet.") % {"number": version.number}
    if not n:
        return _("The words of version %(number)s agree with its numbers.") % {"number": version.number}
    said = ngettext(
        "One place in the words of version %(number)s wants a look.",
        "%(n)s places in the words of version %(number)s want a look.",
        n,
    )
    return said % {"n": n, "number": version.number}
