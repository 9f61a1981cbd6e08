"""A panel, size by size: who is asked for, who is there, and what would make its reports tell more.

Method and limits: docs/algorithms/panel-coverage.md. All figures are common practice, no source.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from itertools import pairwise
from math import ceil

from measurements.sentences import Sentence, Term, gettext_noop, sentence

# A length that is drafted wrong shows on those who are not as tall as it was drafted for.
OFF_HEIGHT_MM = Decimal(80)
OFF_HEIGHT_SHARE = 4
# Someone who has sewn little reads the instructions as a buyer will.
SIZES_A_BEGINNER = 3
# One print alone cannot tell a wrong file from a wrong printer.
PRINTS_A_FILE = 2
# People who test again and again sew past what stops a buyer.
RETURNING_SHARE = 3

ON_PANEL = frozenset({"invited", "accepted", "finished"})


@dataclass(frozen=True)
class Seat:
    """One person of a round. `size` is the size to sew, once chosen; `height_off_mm` own height minus drafted-for."""

    state: str
    size: str = ""
    advised: str = ""
    wanted: str = ""
    experience: str = ""
    paper: str = ""
    rounds_before: int | None = None
    height_off_mm: Decimal | None = None

    @property
    def on_panel(self) -> bool:
        """Chosen, with or without an invitation, and not gone."""
        return self.state in ON_PANEL or (self.state == "applied" and bool(self.size))

    @property
    def waiting(self) -> bool:
        """Applied, and not answered yet."""
        return self.state == "applied" and not self.size

    @property
    def group(self) -> str:
        """The size under which a person is listed: the one to sew, else the advised one, else their own guess."""
        return self.size or self.advised or self.wanted


@dataclass(frozen=True)
class SizeCover:
    """One size: how many are asked for, on the panel, in reserve, and waiting for an answer."""

    size: str
    asked: int
    on_panel: int
    reserves: int
    waiting: int

    @property
    def needed(self) -> int:
        return max(0, self.asked - self.on_panel)


def cover(
    sizes: Sequence[str], per_size: int, seats: Iterable[Seat], more: Collection[str] = ()
) -> tuple[SizeCover, ...]:
    """Every size of the version in its order, one tester more asked in those of `more`; a seat in another size is
    counted nowhere."""
    by_size: dict[str, list[Seat]] = {size: [] for size in sizes}
    for seat in seats:
        if seat.group in by_size:
            by_size[seat.group].append(seat)
    return tuple(_size_cover(size, per_size + (size in more), there) for size, there in by_size.items())


def _size_cover(size: str, per_size: int, there: Sequence[Seat]) -> SizeCover:
    on_panel = sum(seat.on_panel for seat in there)
    reserves = sum(seat.state == "reserve" for seat in there)
    waiting = sum(seat.waiting for seat in there)
    return SizeCover(size, per_size, on_panel, reserves, waiting)


def one_more(sizes: Sequence[str], breaks: Collection[str]) -> tuple[str, ...]:
    """Sizes where one tester more is asked, for it tells most: both ends, and both sides of each declared break."""
    marked = {sizes[0], sizes[-1]} if sizes else set()
    for before, after in pairwise(sizes):
        if after in breaks:
            marked |= {before, after}
    return tuple(size for size in sizes if size in marked)


def hints(
    sizes: Sequence[str],
    seats: Collection[Seat],
    *,
    papers: Mapping[str, str],
    breaks: Collection[str] = (),
) -> tuple[Sentence, ...]:
    """What the panel lacks besides numbers; nothing while nobody is chosen.

    `papers` are the kinds of file that the version has, each with its name.
    """
    panel = [seat for seat in seats if seat.on_panel]
    if not panel:
        return ()
    return (*_reserves(sizes, seats, breaks), *_heights(panel), *_beginners(sizes, panel), *_papers(panel, papers),
            *_returning(panel))  # fmt: skip


def _reserves(sizes: Sequence[str], seats: Iterable[Seat], breaks: Collection[str]) -> Iterator[Sentence]:
    reserves = [seat.group for seat in seats if seat.state == "reserve"]
    ends = {sizes[0], sizes[-1]} if sizes else set()
    bare = [size for size in sizes if reserves.count(size) < (2 if size in ends else 1)]
    if bare and len(bare) < len(sizes):
        said = gettext_noop("A reserve is missing in %(sizes)s; one tester in four drops out.")
        yield sentence("reserve", said, sizes=", ".join(bare))
    elif bare:
        yield sentence("no_reserve", gettext_noop("Nobody is in reserve yet; one tester in four drops out."))


def _heights(panel: Sequence[Seat]) -> Iterator[Sentence]:
    known = [abs(seat.height_off_mm) for seat in panel if seat.height_off_mm is not None]
    off = sum(value >= OFF_HEIGHT_MM for value in known)
    if known and off < ceil(len(panel) / OFF_HEIGHT_SHARE):
        said = gettext_noop(
            "%(off)s of %(all)s are %(by)s or more from the height drafted for. "
            "With %(want)s, a wrong length would show itself."
        )
        want = ceil(len(panel) / OFF_HEIGHT_SHARE)
        yield sentence("heights", said, off=off, all=len(panel), by=OFF_HEIGHT_MM, want=want)


def _beginners(sizes: Sequence[str], panel: Sequence[Seat]) -> Iterator[Sentence]:
    want, there = ceil(len(sizes) / SIZES_A_BEGINNER), sum(seat.experience == "new" for seat in panel)
    if there < want and any(seat.experience for seat in panel):
        said = gettext_noop("%(new)s of %(all)s have sewn only a few things. %(want)s would test the instructions.")
        yield sentence("beginners", said, new=there, all=len(panel), want=want)


def _papers(panel: Sequence[Seat], papers: Mapping[str, str]) -> Iterator[Sentence]:
    for kind, name in papers.items():
        there = sum(seat.paper == kind for seat in panel)
        if there < PRINTS_A_FILE:
            said = gettext_noop("Printed by %(count)s so far: %(file)s. Two prints tell a file from a printer.")
            yield sentence("paper", said, count=there, file=Term(name))


def _returning(panel: Sequence[Seat]) -> Iterator[Sentence]:
    again = sum(bool(seat.rounds_before) for seat in panel)
    if again * RETURNING_SHARE > len(panel):
        said = gettext_noop("%(again)s of %(all)s have tested before. New eyes see what others sew past.")
        yield sentence("returning", said, again=again, all=len(panel))
