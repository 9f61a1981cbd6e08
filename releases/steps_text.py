"""Instructions as one text, and as numbered steps.

A text whose lines begin with numbers (`1.`, `1)`, `Step 1:`) is split at them and keeps its numbers, because the
booklet prints them and testers name them. Else a blank line parts two steps; else each line is one.
Method and limits: docs/algorithms/steps.md.
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass
from itertools import pairwise

from measurements.sentences import Sentence, gettext_noop, sentence

_MARK = re.compile(
    r"^\s*(?:step\s+(?P<step>\d{1,3})\s*[.:)–-]?|(?P<number>\d{1,3})\s*[.):])(?:\s+|$)(?P<rest>.*)$", re.IGNORECASE
)


@dataclass(frozen=True)
class ReadStep:
    number: int
    text: str


@dataclass(frozen=True)
class ReadSteps:
    """The steps as they would be saved, and what is odd about their numbers."""

    steps: tuple[ReadStep, ...]
    odd: tuple[Sentence, ...] = ()


def read_steps(text: str) -> ReadSteps:
    """The steps of a text; an empty text has none."""
    lines = text.replace("\r\n", "\n").replace("\r", "\n").strip("\n").split("\n")
    marks = [_MARK.match(line) for line in lines]
    if any(marks):
        return _numbered(lines, marks)
    parts = [part.strip() for part in re.split(r"\n\s*\n", "\n".join(lines)) if part.strip()]
    if len(parts) == 1:
        parts = [line.strip() for line in lines if line.strip()]
    return ReadSteps(tuple(ReadStep(i, part) for i, part in enumerate(parts, start=1)))


def _numbered(lines: list[str], marks: list[re.Match[str] | None]) -> ReadSteps:
    before: list[str] = []
    found: list[tuple[int, list[str]]] = []
    for line, mark in zip(lines, marks, strict=True):
        if mark:
            found.append((int(mark["step"] or mark["number"]), [mark["rest"]]))
        else:
            (found[-1][1] if found else before).append(line)
    odd = []
    if "".join(before).strip():
        said = gettext_noop("Text stands before step %(number)s. It is kept at the beginning of that step.")
        odd.append(sentence("text_before", said, number=found[0][0]))
        found[0][1][:0] = [*before, ""]
    numbers = [number for number, _ in found]
    texts = [re.sub(r"\n\s*\n", "\n\n", "\n".join(part)).strip() for _, part in found]
    kept = _kept_numbers(numbers)
    odd += _odd_numbers(numbers, kept)
    odd += _empty(numbers, texts)
    steps = (ReadStep(number, words) for number, words in zip(kept, texts, strict=True) if words)
    return ReadSteps(tuple(steps), tuple(odd))


def _kept_numbers(numbers: list[int]) -> list[int]:
    """The numbers as typed when they rise; else 1, 2, 3."""
    rising = numbers[0] > 0 and all(a < b for a, b in pairwise(numbers))
    return numbers if rising else list(range(1, len(numbers) + 1))


def _odd_numbers(numbers: list[int], kept: list[int]) -> list[Sentence]:
    if kept != numbers:
        slip = next((b for a, b in pairwise(numbers) if b <= a), numbers[0])
        said = gettext_noop("The numbers do not run on at %(number)s. The steps are numbered afresh from 1.")
        return [sentence("not_rising", said, number=slip)]
    missing = [n for n in range(1, numbers[-1]) if n not in set(numbers)]
    if not missing:
        return []
    if len(missing) == 1:
        return [sentence("missing", gettext_noop("There is no step %(number)s."), number=missing[0])]
    return [sentence("missing", gettext_noop("There are no steps %(numbers)s."), numbers=_listed(missing))]


def _listed(numbers: list[int], most: int = 8) -> str:
    shown = ", ".join(map(str, numbers[:most]))
    return f"{shown}, …" if len(numbers) > most else shown


def _empty(numbers: list[int], texts: list[str]) -> Iterable[Sentence]:
    said = gettext_noop("Step %(number)s has no words and is left out.")
    return [sentence("empty", said, number=number) for number, words in zip(numbers, texts, strict=True) if not words]


def steps_as_text(steps: Iterable[tuple[int, str]]) -> str:
    """Steps back into the text that reads as the same steps."""
    return "\n\n".join(f"{number}. {words}" for number, words in steps)
