"""The evidence of one zone: the claim, every report over the sizes, the numbers, what was decided."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from decimal import Decimal

from django.utils.text import capfirst
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from measurements.translated import in_words
from testing_rounds import say
from testing_rounds.claims import change_at, percent, strength_words
from testing_rounds.counts import Cell
from testing_rounds.drawings import PlotSize, Span
from testing_rounds.evidence import Evidence
from testing_rounds.evidence_drawn import plot_sizes, span
from testing_rounds.evidence_filter import Links
from testing_rounds.evidence_words import (
    LEVELS,
    SHAPES,
    cell_words,
    covered,
    pole,
    reading_title,
    reading_words,
    size_span,
    zone_title,
)
from testing_rounds.overview import causes_of, counts_of
from testing_rounds.overview_words import asked_for, mm
from testing_rounds.reading import Reading
from testing_rounds.report_cards import Cards, cards
from testing_rounds.round_data import Zone
from testing_rounds.two_layers import reconcile
from testing_rounds.zone_numbers import SizeNumbers, ZoneNumbers, zone_numbers
from testing_rounds.zones import CATALOGUE, WITH_OPENING, linked


@dataclass(frozen=True)
class ZoneSize:
    """One size of a zone: what its reports say, its numbers, the changes that they ask for (mm), why it is flagged,
    and the change that the reading estimates."""

    label: str
    base: bool
    said: str
    level: str
    css: str
    flags: tuple[str, ...]
    in_reading: bool
    numbers: SizeNumbers
    changes: tuple[Decimal, ...]
    estimate: str
    url: str


@dataclass(frozen=True)
class Neighbour:
    """Another zone to look at, and what is read there."""

    title: str
    said: str
    url: str


@dataclass(frozen=True)
class ZonePage:
    """Everything that the page of a zone shows but the decisions."""

    key: str
    title: str
    headline: str
    css: str
    counts: str
    elsewhere: str
    causes: tuple[str, ...]
    asked: str
    usual: tuple[str, ...]
    level: str
    strength: str
    other_shapes: str
    aside: str
    needs: str
    layers: str
    to_change: bool
    direction: int
    low: str
    high: str
    plot: tuple[PlotSize, ...]
    span: Span
    numbers: ZoneNumbers
    sizes: tuple[ZoneSize, ...]
    cards: Cards
    linked: tuple[Neighbour, ...]
    opening: bool
    links: Links


def zone_page(evidence: Evidence, key: str) -> ZonePage:
    """The page of one zone. Raises KeyError for a zone that the round does not ask."""
    zone, reading, sizes = evidence.zones[key], evidence.readings[key], evidence.data.sizes
    repeated = reading.level == "repeated"
    counts, elsewhere = counts_of(reading, zone, sizes) if repeated else (_totals(evidence, zone), "")
    numbers = zone_numbers(evidence, zone)
    needs = say.zone_needs(reading)
    layers = reconcile(evidence.counts.row(key), reading)
    answered = any(answer.counted for answer in evidence.answers(key))
    touched = [answer for answer in evidence.answers(key) if answer.fit * reading.direction > 0]
    return ZonePage(
        key=key,
        title=zone_title(zone),
        headline=reading_title(reading, zone, sizes),
        css=("sm" if reading.direction < 0 else "lg") if repeated else "",
        counts=counts,
        elsewhere=elsewhere,
        causes=causes_of(reading) if answered else (),
        asked=asked_for(answer for answer in touched if not repeated or answer.size in covered(reading, sizes)),
        usual=tuple(_usual(zone, reading)),
        level=_level(reading, sizes),
        strength=strength_words(reading) if reading.level in {"repeated", "watch"} else "",
        other_shapes=", ".join(_other_shape(*one) for one in reading.alternatives.items() if answered),
        aside=_aside(evidence, key),
        needs=" ".join(in_words(one) for one in ((needs,) if needs else ()) + say.clear_needs(reading)),
        layers=in_words(layers) if layers else "",
        to_change=repeated or any(cell.level == "repeated" for cell in evidence.counts.row(key)),
        direction=reading.direction,
        low=pole(zone, -1),
        high=pole(zone, 1),
        plot=plot_sizes(evidence.counts.row(key), evidence),
        span=span(reading, sizes),
        numbers=numbers,
        sizes=tuple(_sizes(evidence, zone, reading, numbers)),
        cards=cards(evidence, evidence.answers(key), reading.direction),
        linked=tuple(_linked(evidence, key)),
        opening=key in WITH_OPENING,
        links=Links.of(evidence),
    )


def _totals(evidence: Evidence, zone: Zone) -> str:
    """The counts of a zone in which nothing is read: "4 of 25 tight, 1 of 25 loose"."""
    total = evidence.counts.totals[zone.key]
    row = Cell(zone.key, "", total.low, total.high, total.counted - total.low - total.high, "quiet", 0, "", (), ())
    return cell_words(row, zone)


def _usual(zone: Zone, reading: Reading) -> Iterable[str]:
    """What usually lies behind the zone's word, where the words are the catalogue's own."""
    known = CATALOGUE.get(zone.key)
    if known is None or reading.level not in {"repeated", "watch"} or (known.low, known.high) != (zone.low, zone.high):
        return
    yield _(known.low_cause if reading.direction < 0 else known.high_cause)
    yield _(known.change)


def _level(reading: Reading, sizes: Sequence[str]) -> str:
    if reading.level != "repeated":
        return str(LEVELS[reading.level])
    named = {"sizes": size_span(reading.sizes, sizes)}
    return _("Repeated in %(sizes)s") % named


def _other_shape(shape: str, share: float | None) -> str:
    words = str(SHAPES[shape])
    return words if share is None else _("%(shape)s (%(percent)s %%)") % {"shape": words, "percent": percent(share)}


def _aside(evidence: Evidence, key: str) -> str:
    aside = [answer for answer in evidence.answers(key) if not answer.counted]
    if not aside:
        return _("Nothing")
    found = {answer.size for answer in aside}
    sizes = [size for size in evidence.data.sizes if size in found]
    said = ngettext("%(n)s answer, in size %(sizes)s", "%(n)s answers, in %(sizes)s", len(aside))
    return said % {"n": len(aside), "sizes": size_span(sizes, evidence.data.sizes)}


def _sizes(evidence: Evidence, zone: Zone, reading: Reading, numbers: ZoneNumbers) -> Iterable[ZoneSize]:
    links, touched = Links.of(evidence), covered(reading, evidence.data.sizes)
    for position, cell in enumerate(evidence.counts.row(zone.key)):
        yield ZoneSize(
            label=cell.size,
            base=cell.size == evidence.data.base_size,
            said=cell_words(cell, zone),
            level=str(LEVELS[cell.level]),
            css={-1: "sm", 1: "lg"}.get(cell.direction, "") if cell.level == "repeated" else "",
            flags=flags_of(evidence, zone.key, cell.size),
            in_reading=reading.level == "repeated" and cell.size in touched,
            numbers=numbers.sizes[cell.size],
            changes=tuple(mm(answer.change) for answer in cell.counted_answers if answer.change),
            estimate=change_at(reading, cell.size, evidence.data.sizes),
            url=links.cell(zone.key, position),
        )


def flags_of(evidence: Evidence, zone: str, size: str) -> tuple[str, ...]:
    """Why a size is flagged in a zone; nothing where it is not."""
    return tuple(in_words(say.flagged(flag)) for flag in evidence.flags if (flag.zone, flag.size) == (zone, size))


def _linked(evidence: Evidence, key: str) -> Iterable[Neighbour]:
    """The zones to check again when this one changes, as far as the round asks them."""
    links = Links.of(evidence)
    for other in linked(key):
        if other in evidence.zones:
            zone = evidence.zones[other]
            said = reading_words(evidence.readings[other], zone, evidence.data.sizes)
            yield Neighbour(capfirst(zone_title(zone)), said, links.zone(other))
