"""What a change to a version leaves behind: the things made before it, in which sizes, and why.

Plain values in, sentences out; method, limits and a worked example: docs/algorithms/stale.md. Which measurement moves
what is common practice, no source.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Literal

from measurements.finished_measures import FINISHED_MEASURES
from measurements.sentences import Sentence, Term, gettext_noop, sentence

ChangeKind = Literal["finished", "chart", "steps", "materials", "pieces", "notions", "file"]
What = Literal["pages", "fabric", "lining", "opening", "tables", "text", "zones", "files"]
Deed = Literal["files", "booklet", "pieces", "layouts", "tables", "steps", "opening", "compared", "looked"]

NAMES: dict[str, str] = {
    "pages": gettext_noop("Pages of the files"),
    "fabric": gettext_noop("Fabric requirement"),
    "lining": gettext_noop("Lining"),
    "opening": gettext_noop("Opening"),
    "tables": gettext_noop("Measurement tables"),
    "text": gettext_noop("Text"),
    "zones": gettext_noop("Linked zones"),
    "files": gettext_noop("Replaced file"),
}
# Which deed settles a sentence; "looked" is a person's word that it was looked at.
SETTLES: dict[str, Deed] = {
    "pages": "files",
    "box": "pieces",
    "layout": "layouts",
    "lining": "pieces",
    "opening": "opening",
    "tables": "tables",
    "step": "steps",
    "booklet": "booklet",
    "linked": "looked",
    "replaced": "compared",
}
# Measurements that are looked at together.
LINKED = (
    ("bust", "front_length", "armhole"),
    ("armhole", "cap_seam", "upper_arm"),
    ("back_length", "waist", "opening"),
    ("waist", "hip", "front_rise", "back_rise"),
)
# A zip or placket begins and ends where these do.
MOVES_OPENING = {"back_length", "front_length", "side_length", "length", "waist", "hip"}
# These change no piece's length or width by enough to be cut from other cloth.
SAME_CLOTH = {"opening", "dart_point", "neck_edge", "neck_opening"}
# What a lining follows.
LINED = {"bust", "waist", "high_hip", "hip", "sweep", "back_length", "front_length", "length", "side_length"} | {
    "across_back", "armhole", "upper_arm", "sleeve_length"
}  # fmt: skip
# A sign-off on a size is about its fit: words and cloth leave it standing.
UNSIGNS: frozenset[ChangeKind] = frozenset({"finished", "chart", "pieces", "file"})


@dataclass(frozen=True)
class Touched:
    """One row, piece, step or file that changed: its key, the name that people read, the sizes that it touches."""

    key: str
    name: str
    sizes: tuple[str, ...] = ()


@dataclass(frozen=True)
class Change:
    """One act on a version and what it touched."""

    kind: ChangeKind
    touched: tuple[Touched, ...]

    @property
    def sizes(self) -> tuple[str, ...]:
        return tuple(dict.fromkeys(size for one in self.touched for size in one.sizes))

    @property
    def unsigns(self) -> tuple[str, ...]:
        """The sizes that lose their sign-off."""
        return self.sizes if self.kind in UNSIGNS else ()


@dataclass(frozen=True)
class Has:
    """What the version, or the one that it comes from, has: only that can be left behind."""

    sizes: tuple[str, ...] = ()
    measures: tuple[str, ...] = ()
    files: bool = False
    booklet: bool = False
    pieces: bool = False
    lining: bool = False
    steps: tuple[tuple[int, str], ...] = ()


@dataclass(frozen=True)
class Mark:
    """One thing left behind: `what` (a key of NAMES), in which sizes (none: it knows no sizes), and why."""

    what: What
    sizes: tuple[str, ...]
    why: Sentence


def made_stale(change: Change, has: Has) -> list[Mark]:
    """The marks of a change, in the order of the things touched."""
    rules = {"finished": _finished, "pieces": _pieces, "chart": _chart, "file": _file}
    rule = rules.get(change.kind, _words)
    return [mark for one in change.touched for mark in rule(change, one, has)]


def _finished(change: Change, row: Touched, has: Has) -> Iterator[Mark]:
    values = {"measure": Term(row.name), "sizes": span(row.sizes, has.sizes)}
    if has.files:
        why = gettext_noop("The files are drawn with the %(measure)s as it was in %(sizes)s.")
        yield Mark("pages", row.sizes, sentence("pages", why, **values))
    if has.pieces and row.key not in SAME_CLOTH:
        why = gettext_noop("A piece may need other cloth: the %(measure)s changed in %(sizes)s.")
        yield Mark("fabric", row.sizes, sentence("box", why, **values))
    if has.lining and row.key in LINED:
        why = gettext_noop("The lining goes with the %(measure)s, which changed in %(sizes)s.")
        yield Mark("lining", row.sizes, sentence("lining", why, **values))
    if "opening" in has.measures and row.key in MOVES_OPENING and not _also(change, "opening", row.sizes):
        why = gettext_noop("The opening lies along the %(measure)s, which changed in %(sizes)s.")
        yield Mark("opening", row.sizes, sentence("opening", why, **values))
    why = gettext_noop("Tables made before show the %(measure)s as it was in %(sizes)s.")
    yield Mark("tables", row.sizes, sentence("tables", why, **values))
    yield from _steps_that_name(row, has, values)
    yield from _linked(change, row, has, values)


def _steps_that_name(row: Touched, has: Has, values: dict[str, Term | str]) -> Iterator[Mark]:
    known = FINISHED_MEASURES[row.key].aliases if row.key in FINISHED_MEASURES else ()
    names = "|".join(re.escape(name) for name in {row.name.lower(), row.key.replace("_", " "), *known} if len(name) > 2)
    for number, text in has.steps:
        if re.search(rf"\b(?:{names})\b", text.lower()):
            why = gettext_noop("Step %(step)s names the %(measure)s, which changed in %(sizes)s.")
            yield Mark("text", row.sizes, sentence("step", why, step=number, **values))


def _linked(change: Change, row: Touched, has: Has, values: dict[str, Term | str]) -> Iterator[Mark]:
    others = dict.fromkeys(key for group in LINKED if row.key in group for key in group)
    for key in others:
        if key in has.measures and key != row.key and not _also(change, key, row.sizes):
            why = gettext_noop("The %(other)s goes with the %(measure)s, which changed in %(sizes)s.")
            name = Term(FINISHED_MEASURES[key].name)
            yield Mark("zones", row.sizes, sentence("linked", why, other=name, **values))


def _also(change: Change, key: str, sizes: Sequence[str]) -> bool:
    """Whether the same act changed that row in all these sizes too."""
    return any(one.key == key and set(sizes) <= set(one.sizes) for one in change.touched)


def _pieces(_change: Change, piece: Touched, has: Has) -> Iterator[Mark]:
    why = gettext_noop("%(piece)s changed: its layouts in %(sizes)s are made anew.")
    sizes = span(piece.sizes, has.sizes)
    yield Mark("fabric", piece.sizes, sentence("layout", why, piece=piece.name, sizes=sizes))
    if has.booklet:
        why = gettext_noop("The booklet lists %(piece)s as it was in %(sizes)s.")
        yield Mark("text", piece.sizes, sentence("booklet", why, piece=piece.name, sizes=sizes))


def _chart(_change: Change, row: Touched, has: Has) -> Iterator[Mark]:
    values = {"measure": Term(row.name), "sizes": span(row.sizes, has.sizes)}
    why = gettext_noop("Tables made before show the body’s %(measure)s as it was in %(sizes)s.")
    yield Mark("tables", row.sizes, sentence("tables", why, **values))
    if has.booklet:
        why = gettext_noop("The booklet shows the body’s %(measure)s as it was in %(sizes)s.")
        yield Mark("text", row.sizes, sentence("booklet", why, **values))


def _file(_change: Change, file: Touched, has: Has) -> Iterator[Mark]:
    why = gettext_noop("%(file)s was replaced after sizes were signed; which of them it touches is being looked at.")
    yield Mark("files", file.sizes, sentence("replaced", why, file=file.name, ref=file.key))


def _words(change: Change, one: Touched, has: Has) -> Iterator[Mark]:
    """Steps, materials, notions: the booklet repeats them; new cloth is laid anew too."""
    if change.kind == "materials" and has.pieces:
        why = gettext_noop("%(thing)s changed: its layouts are made anew.")
        yield Mark("fabric", one.sizes, sentence("layout", why, thing=one.name))
    if has.booklet:
        why = gettext_noop("The booklet still has %(thing)s as it was.")
        yield Mark("text", one.sizes, sentence("booklet", why, thing=one.name))


def span(sizes: Sequence[str], every: Sequence[str]) -> str:
    """ "18", "16–20", "10, 14": sizes in the order of the range, neighbours together."""
    runs: list[list[str]] = []
    last = -2
    for place in sorted(every.index(size) for size in sizes if size in every):
        if place == last + 1:
            runs[-1].append(every[place])
        else:
            runs.append([every[place]])
        last = place
    return ", ".join(run[0] if len(run) == 1 else f"{run[0]}–{run[-1]}" for run in runs) or ", ".join(sizes)
