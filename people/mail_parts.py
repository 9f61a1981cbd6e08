"""The parts of a mail, read from its plain text: one text makes both forms, so that they cannot say different things.

Paragraphs are parted by an empty line. An address alone on its line is something to do: the sentence before it,
which ends in a colon, names it; so does "Name: address" on one line.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass

ADDRESS = re.compile(r"https?://\S+")
NAMED = re.compile(r"(?P<name>[^:]{1,80}): (?P<address>https?://\S+)")


@dataclass(frozen=True)
class Words:
    """A paragraph, line by line."""

    lines: tuple[str, ...]


@dataclass(frozen=True)
class Doing:
    """Something to do: its name and the address of the page; `main` for the first of a mail."""

    name: str
    address: str
    main: bool


def mail_parts(body: str) -> list[Words | Doing]:
    """The paragraphs and the things to do of a mail, in their order."""
    parts: list[Words | Doing] = []
    for block in re.split(r"\n\s*\n", body.strip()):
        for piece in _pieces(block):
            if isinstance(piece, str):
                name = _take_name(parts)
                parts.append(_doing(parts, name or piece, piece))
            elif len(piece) == 1 and (named := NAMED.fullmatch(piece[0])):
                parts.append(_doing(parts, named["name"], named["address"]))
            else:
                parts.append(Words(piece))
    return parts


def _doing(parts: list[Words | Doing], name: str, address: str) -> Doing:
    return Doing(name, address, main=not any(isinstance(part, Doing) for part in parts))


def _pieces(block: str) -> Iterator[str | tuple[str, ...]]:
    """The addresses that stand alone in a paragraph, lines that name one, and the lines between them."""
    lines: list[str] = []
    for line in (line.strip() for line in block.splitlines()):
        alone, named = ADDRESS.fullmatch(line), NAMED.fullmatch(line)
        if (alone or named) and lines:
            yield tuple(lines)
            lines = []
        if alone:
            yield line
        elif named:
            yield (line,)
        elif line:
            lines.append(line)
    if lines:
        yield tuple(lines)


def _take_name(parts: list[Words | Doing]) -> str:
    """The sentence that leads to an address names it; what stands before it in the paragraph stays words."""
    if not parts or not isinstance(parts[-1], Words) or not parts[-1].lines[-1].endswith(":"):
        return ""
    *lines, last = parts.pop().lines  # type: ignore[union-attr]
    before, _, name = last.removesuffix(":").rpartition(". ")
    lines += [f"{before}."] if before else []
    if lines:
        parts.append(Words(tuple(lines)))
    return name
