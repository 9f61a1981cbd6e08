"""A booklet's text as blocks: the paragraphs, each with its step and its lines, and their sentences."""

from __future__ import annotations

import re
from bisect import bisect_right
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property
from itertools import pairwise

_MARK = re.compile(
    r"^[\s#*_>]{0,12}(?:(?:step|Step|STEP)\s{1,3}(?:no\.?\s?|number\s)?(\d{1,3})\s?[.:)\u2013\u2014-]?"
    r"|\(?(\d{1,3})\s?(?:[.):]|\s[\u2013\u2014-](?=\s)))[*_]{0,3}(?:\s+|$)"
)
# "6 Sew the hem.": numbers without a mark, taken for steps only where several lines count on.
_BARE_MARK = re.compile(r"^\s{0,8}(\d{1,3})()\s{1,4}(?=[A-Z])")
_BARE_LINES, _BARE_GAP = 3, 3
# No paragraph is longer; what is, is cut, so that the time to read a text grows with its length alone.
_LONGEST, _LONGEST_SENTENCE = 4000, 600
_SENTENCE = re.compile(r"(?<=[.!?;])[\"\u201d')]*\s+(?=[\"\u201c('A-Z0-9])")


@dataclass(frozen=True)
class Sentence:
    """Some words of a block and where they begin in it."""

    text: str
    start: int


@dataclass(frozen=True)
class Block:
    """A paragraph on one line of text, as long as it is printed; `starts` are the offsets of its printed lines."""

    step: int | None
    text: str
    first_line: int
    starts: tuple[int, ...]

    def line(self, offset: int) -> int:
        """The printed line, from 1, of a place in the text."""
        return self.first_line + bisect_right(self.starts, offset) - 1

    @cached_property
    def sentences(self) -> tuple[Sentence, ...]:
        cuts = [0, *(match.end() for match in _SENTENCE.finditer(self.text)), len(self.text)]
        parts = [(a + i, part) for a, b in pairwise(cuts) for i, part in _cut(self.text[a:b], _LONGEST_SENTENCE)]
        return tuple(Sentence(part.rstrip(), at) for at, part in parts if part.strip())


@dataclass(frozen=True)
class Booklet:
    """All blocks in order, and the numbers of the steps as printed with their lines."""

    blocks: tuple[Block, ...]
    numbers: tuple[tuple[int, int], ...]

    @property
    def steps(self) -> tuple[Block, ...]:
        return tuple(block for block in self.blocks if block.step is not None)

    @property
    def is_whole(self) -> bool:
        """Whether it begins with the first step and goes on: of an excerpt it cannot be told what it leaves out."""
        return len(self.numbers) > 1 and self.numbers[0][0] <= 1

    @cached_property
    def text(self) -> str:
        return "\n".join(block.text for block in self.blocks)


def read_booklet(text: str) -> Booklet:
    """A text split at its blank lines and at the numbers that begin its steps."""
    lines = text.replace("\r\n", "\n").replace("\r", "\n").replace("\f", "\n").split("\n")
    marks = _marks(lines)
    numbers = tuple((int(mark[1] or mark[2]), number) for number, mark in enumerate(marks, start=1) if mark is not None)
    return Booklet(tuple(_blocks(lines, marks)), numbers)


def _marks(lines: list[str]) -> list[re.Match[str] | None]:
    """Where a step begins, line by line."""
    marks = [_MARK.match(line) for line in lines]
    if any(marks):
        return marks
    plain = [_BARE_MARK.match(line) for line in lines]
    counted = [int(mark[1]) for mark in plain if mark]
    rises = all(0 < b - a <= _BARE_GAP for a, b in pairwise(counted))
    return plain if rises and len(counted) >= _BARE_LINES else marks


def _blocks(lines: list[str], marks: list[re.Match[str] | None]) -> Iterator[Block]:
    step: int | None = None
    held: list[str] = []
    first, length = 1, 0
    for number, (printed, mark) in enumerate(zip(lines, marks, strict=True), start=1):
        line = " " * mark.end() + printed[mark.end() :] if mark else printed
        if held and (mark or not line.strip() or length > _LONGEST):
            yield _block(step, held, first)
            held, length = [], 0
        if mark:
            step = int(mark[1] or mark[2])
        if not line.strip():
            continue
        if len(line) > 2 * _LONGEST:
            yield from (Block(step, part, number, (0,)) for _, part in _cut(line, _LONGEST))
            continue
        first = first if held else number
        held.append(line)
        length += len(line)
    if held:
        yield _block(step, held, first)


def _cut(text: str, longest: int) -> Iterator[tuple[int, str]]:
    """A text that goes on and on, in parts with their places, cut between words where it has any."""
    at = 0
    while at < len(text):
        end = at + longest
        cut = (text.rfind(" ", at + 1, end) + 1 or end) if end < len(text) else end
        yield at, text[at:cut]
        at = cut


def _block(step: int | None, lines: list[str], first: int) -> Block:
    starts, at = [], 0
    for line in lines:
        starts.append(at)
        at += len(line) + 1
    return Block(step, " ".join(lines), first, tuple(starts))
