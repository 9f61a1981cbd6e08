"""Who re-sews what, to prove a change: as little as tells, of testers who can tell it.

By kind of decision (common practice, no source): docs/algorithms/next-version.md.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Literal

from measurements.sentences import Sentence, gettext_noop, sentence

Kind = Literal["draft", "grade", "one_size", "advice", "wording", "print", "leave"]

_ = gettext_noop


@dataclass(frozen=True)
class Sewer:
    """A tester of this round: the size sewn, the file printed, and what makes the tester's word tell.

    `near`: the body lies near the chart; `complains`: a counted complaint about what was changed; `lost`: noted
    something at the step. `fits_size` is the size that the advice names now.
    """

    name: str
    size: str
    file: str = ""
    near: bool = True
    complains: bool = False
    lost: bool = False
    fits_size: str = ""


@dataclass(frozen=True)
class Task:
    """One thing to sew, lay on paper, read or print again; `who` are names, `short` by how many too few there are.

    `fresh`: somebody who has not seen it yet is wanted besides.
    """

    what: Sentence
    why: Sentence
    size: str = ""
    who: tuple[str, ...] = ()
    short: int = 0
    fresh: bool = False
    sewn: bool = True


@dataclass(frozen=True)
class Change:
    """A decision as far as re-sewing goes: its kind, the sizes it touches, the base size and the range."""

    kind: Kind
    touched: tuple[str, ...]
    sizes: tuple[str, ...]
    base: str = ""
    step: int | None = None
    file: str = ""
    untouched: tuple[str, ...] = field(default=())


def resew(change: Change, sewers: Sequence[Sewer]) -> tuple[Task, ...]:
    """What to do again after a change, with the testers of the round who can do it."""
    return tuple(_TASKS[change.kind](change, sewers))


def _draft(change: Change, sewers: Sequence[Sewer]) -> Iterator[Task]:
    ends = [change.sizes[0], change.sizes[-1]] if change.sizes else []
    middle = change.base if change.base in change.sizes else _middle(change.sizes)
    for size in _in_order([middle, *ends], change.sizes):
        why = _BASE if size == middle else _END
        yield _sewn(sentence("half_toile", _HALF_TOILE, size=size), sentence("draft_why", why), size, sewers, 1)


def _grade(change: Change, sewers: Sequence[Sewer]) -> Iterator[Task]:
    if not change.touched:
        return
    first, last = change.touched[0], change.touched[-1]
    end = last if last == change.sizes[-1] or first != change.sizes[0] else first
    for size in _in_order([end, _middle(change.touched)], change.sizes):
        why = _END_OF_RUN if size == end else _MIDDLE
        yield _sewn(sentence("half_toile", _HALF_TOILE, size=size), sentence("grade_why", why), size, sewers, 1)
    control = _nearest_untouched(change)
    if control:
        what = sentence("half_toile", _HALF_TOILE, size=control)
        yield _sewn(what, sentence("untouched_why", _UNTOUCHED), control, sewers, 1)


def _one_size(change: Change, sewers: Sequence[Sewer]) -> Iterator[Task]:
    for size in change.touched:
        yield _sewn(sentence("toile", _TOILE, size=size), sentence("one_size_why", _TWO), size, sewers, 2)
    for size in _neighbours(change):
        yield Task(sentence("paper", _PAPER, size=size), sentence("paper_why", _PAPER_WHY), size, sewn=False)


def _wording(change: Change, sewers: Sequence[Sewer]) -> Iterator[Task]:
    lost = tuple(sewer.name for sewer in sewers if sewer.lost)[:1]
    what = sentence("read", _READ, step=change.step) if change.step else sentence("read_it", _READ_IT)
    yield Task(what, sentence("read_why", _READ_WHY), who=lost, short=1 - len(lost), fresh=True, sewn=False)


def _print(change: Change, sewers: Sequence[Sewer]) -> Iterator[Task]:
    users = tuple(sewer.name for sewer in sewers if sewer.file == change.file)[:3]
    what = sentence("square", _SQUARE)
    yield Task(what, sentence("square_why", _SQUARE_WHY), who=users, short=3 - len(users), sewn=False)


def _advice(change: Change, sewers: Sequence[Sewer]) -> Iterator[Task]:
    moves = [sewer for sewer in sewers if sewer.fits_size and sewer.fits_size != sewer.size]
    for sewer in moves:
        what = sentence("moves", _MOVES, size=sewer.size, other=sewer.fits_size)
        yield Task(what, sentence("moves_why", _MOVES_WHY), sewer.size, (sewer.name,), sewn=False)
    if not moves:
        yield Task(sentence("nobody", _NOBODY), sentence("moves_why", _MOVES_WHY), sewn=False)


def _leave(change: Change, sewers: Sequence[Sewer]) -> Iterator[Task]:
    return iter(())


_TASKS = {
    "draft": _draft,
    "grade": _grade,
    "one_size": _one_size,
    "wording": _wording,
    "print": _print,
    "advice": _advice,
    "leave": _leave,
}


def _sewn(what: Sentence, why: Sentence, size: str, sewers: Sequence[Sewer], wanted: int) -> Task:
    """A toile of this size by testers of it: near the chart first, then those who complained, for they can compare."""
    there = sorted((s for s in sewers if s.size == size), key=lambda s: (not s.near, not s.complains))
    who = tuple(sewer.name for sewer in there)[:wanted]
    return Task(what, why, size, who, wanted - len(who))


def _in_order(wanted: Iterable[str], sizes: Sequence[str]) -> list[str]:
    return sorted(set(wanted), key=list(sizes).index)


def _middle(sizes: Sequence[str]) -> str:
    return sizes[len(sizes) // 2] if sizes else ""


def _nearest_untouched(change: Change) -> str:
    """The untouched size nearest to those that are touched: the grade must leave it as it was."""
    places: Mapping[str, int] = {size: at for at, size in enumerate(change.sizes)}
    rest = [size for size in change.sizes if size not in change.touched]
    return min(rest, key=lambda size: min(abs(places[size] - places[one]) for one in change.touched), default="")


def _neighbours(change: Change) -> list[str]:
    places = [change.sizes.index(size) for size in change.touched]
    around = {at + by for at in places for by in (-1, 1)} - set(places)
    return [change.sizes[at] for at in sorted(around) if 0 <= at < len(change.sizes)]


_HALF_TOILE = _("Half a toile in size %(size)s")
_TOILE = _("A toile in size %(size)s")
_PAPER = _("Size %(size)s on paper: lay its lines beside the new ones")
_READ = _("Read the new step %(step)s aloud and sew it on scraps")
_READ_IT = _("Read the new words aloud and sew them on scraps")
_SQUARE = _("Print the page with the square from the new file and read it")
_MOVES = _("Sewed %(size)s, and would be advised %(other)s now: tell them, nothing is sewn again")
_NOBODY = _("Nobody sews again")
_BASE = _("The draft changes alike in every size: the base size shows it.")
_END = _("An end of the range shows whether the change suits it too.")
_END_OF_RUN = _("The end of the run has the largest change.")
_MIDDLE = _("The middle of the run shows whether the steps between are right.")
_UNTOUCHED = _("This size did not change: it must fit as before.")
_TWO = _("Two reports from bodies near the chart are the least that can confirm.")
_PAPER_WHY = _("The neighbours stay: their lines must nest with the new one.")
_READ_WHY = _("One who got lost tells whether it is clear now, one who reads it for the first time whether it ever is.")
_SQUARE_WHY = _("Three squares of the new file, alike and true, prove the file.")
_MOVES_WHY = _("The garment stays as it is; the advice or the chart changes.")
