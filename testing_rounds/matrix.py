"""Every size and every zone of a round in one table, as pages and papers print it."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass

from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from measurements.translated import in_words
from testing_rounds import say
from testing_rounds.counts import LEAST_ANSWERS, Cell
from testing_rounds.drawings import PanelSize, Stroke
from testing_rounds.evidence import Evidence
from testing_rounds.evidence_drawn import panel_sizes, strokes
from testing_rounds.evidence_filter import Links, Shown
from testing_rounds.evidence_words import cell_words, covered, poles, reading_words, size_span, spelled, zone_title
from testing_rounds.reading import Reading
from testing_rounds.round_data import Zone

LEVEL_CLASS = {"too_few": "few", "repeated": "repeated", "watch": "watch", "quiet": "quiet"}


@dataclass(frozen=True)
class MatrixCell:
    """One size of one zone: its strokes, its words (shown where it complains, else only heard), its address."""

    id: str
    size: str
    css: str
    strokes: tuple[Stroke, ...]
    said: str
    title: str
    loud: bool
    url: str


@dataclass(frozen=True)
class MatrixRow:
    """One zone over the sizes shown, with its reading; `number` where the reading stands in the numbered list."""

    id: str
    key: str
    title: str
    poles: str
    number: int
    reading: str
    cells: tuple[MatrixCell, ...]
    url: str


@dataclass(frozen=True)
class SizeHead:
    """One size at the head: whether it is the base, its counted reports of its testers, its flags by zone."""

    id: str
    label: str
    base: bool
    counted: int
    testers: int
    flags: tuple[tuple[str, str], ...]
    url: str

    @property
    def short(self) -> bool:
        return self.counted < LEAST_ANSWERS

    @property
    def flagged(self) -> int:
        """In how many zones it is flagged."""
        return len(dict(self.flags))


@dataclass(frozen=True)
class Matrix:
    """The table; `thin` says which sizes have too few counted reports."""

    heads: tuple[SizeHead, ...]
    rows: tuple[MatrixRow, ...]
    thin: str

    @property
    def columns(self) -> int:
        return len(self.heads)

    @property
    def flagged(self) -> tuple[SizeHead, ...]:
        return tuple(head for head in self.heads if head.flags)


def matrix(evidence: Evidence, shown: Shown, ranked: Sequence[Reading]) -> Matrix:
    """The sizes and zones shown; rows with a reading first, in the order of `ranked`, which numbers them."""
    links = Links.of(evidence)
    numbers = {reading.zone: number for number, reading in enumerate(ranked, start=1)}
    places = {key: i for i, key in enumerate(evidence.zones)}
    order = sorted(shown.zones, key=lambda key: (numbers.get(key, 99), _rest(evidence.readings[key]), places[key]))
    heads = _heads(evidence, shown, links)
    rows = (_row(evidence, shown, links, key, f"{places[key]}", numbers.get(key, 0)) for key in order)
    thin = [head.label for head in heads if head.short]
    said = _("%(sizes)s: too few") % {"sizes": size_span(thin, evidence.data.sizes)} if thin else ""
    return Matrix(heads, tuple(rows), said)


def _rest(reading: Reading) -> int:
    return {"repeated": 0, "watch": 1}.get(reading.level, 2)


def _heads(evidence: Evidence, shown: Shown, links: Links) -> tuple[SizeHead, ...]:
    why: dict[str, list[tuple[str, str]]] = defaultdict(list)
    titles = {key: zone_title(zone) for key, zone in evidence.zones.items()}
    reasons = {flag.by: in_words(say.flagged(flag)) for flag in evidence.flags}
    for flag in evidence.flags:
        if flag.zone in shown.zones:
            why[flag.size].append((titles[flag.zone], reasons[flag.by]))
    return tuple(
        _head(i, one, one.label == evidence.data.base_size, tuple(why[one.label]), links)
        for i, one in enumerate(panel_sizes(evidence))
        if shown.has_size(one.label)
    )


def _head(position: int, one: PanelSize, base: bool, flags: tuple[tuple[str, str], ...], links: Links) -> SizeHead:
    return SizeHead(f"size-{position}", one.label, base, one.counted, one.testers, flags, links.size(position))


def _row(evidence: Evidence, shown: Shown, links: Links, key: str, place: str, number: int) -> MatrixRow:
    zone, reading, sizes = evidence.zones[key], evidence.readings[key], evidence.data.sizes
    span = covered(reading, sizes) if reading.level == "repeated" else ()
    title, urls = _("Size %(size)s: %(said)s"), links.cells(key, len(sizes))
    cells = (
        _cell(cell, zone, f"{place}-{i}", title, cell.size in span, urls[i])
        for i, cell in enumerate(evidence.counts.row(key))
        if shown.has_size(cell.size)
    )
    said = reading_words(reading, zone, sizes)
    if reading.level == "quiet" and (aside := _complaints_aside(evidence, key)):
        said = ngettext("Nothing, once %(n)s is set aside", "Nothing, once %(n)s are set aside", aside)
        said %= {"n": spelled(aside)}
    return MatrixRow(
        f"zone-{place}", key, zone_title(zone), poles(zone), number, said, tuple(cells), links.zone(key)
    )  # fmt: skip


def _complaints_aside(evidence: Evidence, key: str) -> int:
    total = evidence.counts.totals[key]
    return total.raw_low + total.raw_high - total.low - total.high


def _cell(cell: Cell, zone: Zone, place: str, title: str, in_span: bool, url: str) -> MatrixCell:
    css = [LEVEL_CLASS[cell.level], {-1: "s", 1: "l"}.get(cell.direction, ""), "span" if in_span else ""]
    said = cell_words(cell, zone)
    return MatrixCell(
        id=f"cell-{place}",
        size=cell.size,
        css=" ".join(part for part in css if part),
        strokes=strokes(cell),
        said=said,
        title=title % {"size": cell.size, "said": said},
        loud=bool(cell.direction),
        url=url,
    )
