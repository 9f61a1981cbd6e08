"""What a version declares, as the checks of its wording see it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from decimal import Decimal


class FactsError(ValueError):
    """Facts that cannot be read. Its text is one sentence that names the place."""


@dataclass(frozen=True)
class PieceFact:
    """One line of the cutting list; `fold` is None where the list does not say how it is cut."""

    name: str
    count: int | None = None
    fold: bool | None = None
    material: str = ""
    letter: str = ""


@dataclass(frozen=True)
class NotionFact:
    """A notion or a tool, with its length where it has one."""

    name: str
    mm: Decimal | None = None
    optional: bool = False


@dataclass(frozen=True)
class Facts:
    """What the words are held against; what is None or empty is not checked.

    `lengths` are in mm by name: "seam allowance", "notch", "hem", "lining offset", "zip", "opening", or the name of
    one seam or hem ("side seam", "sleeve hem").
    """

    lengths: Mapping[str, Decimal] = field(default_factory=dict)
    sizes: tuple[str, ...] = ()
    cover: tuple[str, ...] = ()
    layers: tuple[str, ...] = ()
    pieces: tuple[PieceFact, ...] = ()
    notions: tuple[NotionFact, ...] | None = None
    tools: tuple[NotionFact, ...] | None = None
    materials: tuple[str, ...] = ()
    square_page: int | None = None
    abbreviations: frozenset[str] = frozenset()
    dialect: str = ""
    both_units: bool | None = None
    steps: int | None = None
    for_children: bool = False
