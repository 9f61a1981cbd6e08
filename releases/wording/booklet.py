"""A booklet's text as blocks: the paragraphs, each with its step and its lines, and their sentences."""

from __future__ import annotations

import re
from bisect import bisect_right
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property
from itertools import pairwise

_MARK = re.compile(r"^\s*(?:(?:step|Step|STEP)\s+(\d{1,3})\s*[.:)\u2013-]?|(\d{1,3})\s*[.):])(?:\s+|$)")
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
        return tuple(Sentence(self.text[a:b].rstrip(), a) for a, b in pairwise(cuts) if self.text[a:b].strip())


@dataclass(frozen=True)
class Booklet:
    """All blocks in order, and the numbers of the steps as printed with their lines."""

    blocks: tuple[Block, ...]
    numbers: tuple[tuple[int, int], ...]

    @property
    def steps(self) -> tuple[Block, ...]:
        return tuple(block for block in self.blocks if block.step is not None)

    @cached_property
    def text(self) -> str:
        return "\n".join(block.text for block in self.blocks)


def read_booklet(text: str) -> Booklet:
    """A text split at its blank lines and at the numbers that begin its steps."""
    lines = text.replace("\r\n", "\n").replace("\r", "\n").replace("\f", "\n").split("\n")
    marks = [_MARK.match(line) for line in lines]
    numbers = tuple((int(mark[1] or mark[2]), number) for number, mark in enumerate(marks, start=1) if mark is not None)
    return Booklet(tuple(_blocks(lines, marks)), numbers)


def _blocks(lines: list[str], marks: list[re.Match[str] | None]) -> Iterator[Block]:
    step: int | None = None
    held: list[str] = []
    first = 1
    for number, (line, mark) in enumerate(zip(lines, marks, strict=True), start=1):
        if held and (mark or not line.strip()):
            yield _block(step, held, first)
            held = []
        if mark:
            step = int(mark[1] or mark[2])
        if line.strip():
            first = first if held else number
            held.append(" " * mark.end() + line[mark.end() :] if mark else line)
    if held:
        yield _block(step, held, first)


def _block(step: int | None, lines: list[str], first: int) -> Block:
    starts, at = [], 0
    for line in lines:
        starts.append(at)
        at += len(line) + 1
    return Block(step, " ".join(lines), first, tuple(starts))
