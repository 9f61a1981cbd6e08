"""Which size to sew, with the reason. Rules, limits and eight worked examples: docs/algorithms/size-advice.md.

The sentences speak of the garment and its numbers, never of the body.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from decimal import Decimal

from measurements.sentences import Sentence, gettext_noop, sentence
from measurements.size_advice_types import Between, Blend, PatternChange, PatternFacts, Preference, SizeAdvice
from measurements.size_case import Case, Spot, find_spot
from measurements.size_reasons import beyond, chooser, falling, place_name, say_blend, say_change, warnings, where


def advise(body: Mapping[str, Decimal], facts: PatternFacts, wish: Preference | None = None) -> SizeAdvice:
    """Advise a size for a body (mm by measurement). It never guesses: beyond the chart's ends it says so."""
    case = Case(body, facts, wish or facts.preference)
    place = facts.primary
    if place not in body:
        said = gettext_noop("The %(place)s is not known, so no size can be advised.")
        return SizeAdvice(None, reasons=(sentence("measure_missing", said, place=place_name(place)),))
    if drop := facts.falls(place):
        return SizeAdvice(None, reasons=(falling(facts, place, drop),))
    spot = find_spot(facts, place, case.chooser_mm)
    if spot is None:
        said = gettext_noop("The chart has no %(place)s, so no size can be advised.")
        return SizeAdvice(None, reasons=(sentence("chart_missing", said, place=place_name(place)),))
    return _outside(case, spot) if spot.outside else _inside(case, spot)


def _inside(case: Case, spot: Spot) -> SizeAdvice:
    facts, place = case.facts, case.facts.primary
    chosen, why = _choose(case, place, spot, case.holding)
    blends = tuple(_blends(case, chosen))
    changes = tuple(_changes(case, chosen))
    places = dict.fromkeys((place, *facts.fitted))
    ease_left = tuple(left for other in places if (left := case.left(other, chosen)))
    upper = facts.sizes[spot.upper] if spot.upper is not None else None
    return SizeAdvice(
        facts.sizes[chosen],
        between=Between(place, case.chooser_mm, facts.sizes[spot.lower], upper, spot.share),
        blends=blends,
        changes=changes,
        ease_left=ease_left,
        by_bust=_by_bust(case),
        reasons=(
            *chooser(case),
            where(case, spot, chosen),
            *why,
            *(part for change in changes for part in say_change(change)),
            *(part for blend in blends for part in say_blend(case, blend, chosen)),
            *warnings(case, ease_left, blends),
        ),
    )


def _outside(case: Case, spot: Spot) -> SizeAdvice:
    """No guess; but what the nearest size would leave."""
    left = case.left(case.facts.primary, spot.lower)
    return SizeAdvice(
        None,
        outside=True,
        ease_left=(left,) if left else (),
        by_bust=_by_bust(case),
        reasons=(*chooser(case), beyond(case, spot)),
    )


def _choose(case: Case, place: str, spot: Spot, holding: tuple[str, ...]) -> tuple[int, tuple[Sentence, ...]]:
    """The index of the size, and what decided between two of them."""
    if spot.upper is None or not spot.undecided:
        return spot.nearest, ()
    lower, upper = spot.lower, spot.upper
    ease = _drafted_ease(case.facts, place, lower)
    if case.facts.fabric == "knit":
        return lower, (sentence("stretch", gettext_noop("A fabric that stretches takes the smaller one.")),)
    if ease is not None and ease >= case.facts.rules.roomy_mm:
        said = gettext_noop("With %(ease)s of ease there the smaller one is enough.")
        return lower, (sentence("roomy", said, ease=ease),)
    if case.preference == "closer" and not case.short_at(holding, lower):
        said = gettext_noop("For a closer fit the smaller one still keeps the least ease.")
        return lower, (sentence("closer", said),)
    if case.preference == "roomier":
        return upper, (sentence("roomier", gettext_noop("For a roomier fit it is the larger one.")),)
    if holding and not any(case.left(other, lower) for other in holding):
        said = gettext_noop("What the garment measures is not known here, so it is the larger one.")
        return upper, (sentence("unknown_ease", said),)
    short = case.short_at(holding, lower, case.facts.rules.comfort_mm)
    if short is None:
        said = gettext_noop("The smaller one keeps enough ease at every fitted place.")
        return lower, (sentence("smaller_holds", said),)
    said = gettext_noop("The smaller one would leave %(left)s at the %(place)s, so it is the larger one.")
    return upper, (sentence("larger_needed", said, left=short.mm, place=place_name(short.place)),)


def _drafted_ease(facts: PatternFacts, place: str, index: int) -> Decimal | None:
    body, finished = facts.body_at(place, index), facts.finished_at(place, index)
    return None if body is None or finished is None else finished - body


def _blends(case: Case, chosen: int) -> Iterator[Blend]:
    """Waist and hip that do not keep the least ease, or are a whole size loose. Free places are not fitted."""
    for place in case.holding:
        left = case.left(place, chosen)
        if place == case.facts.primary or left is None:
            continue
        if not left.holds:
            yield _blend(case, place, chosen, _first_that_holds(case, place, range(chosen + 1, len(case.facts.sizes))))
        elif (smaller := _smaller(case, place, chosen)) is not None:
            yield _blend(case, place, chosen, smaller)


def _blend(case: Case, place: str, chosen: int, to: int | None) -> Blend:
    if to is None:
        return Blend(place, None, 0, None, toile_first=True)
    apart = to - chosen
    return Blend(
        place, case.facts.sizes[to], apart, case.left(place, to), toile_first=abs(apart) > case.facts.rules.blend_sizes
    )


def _first_that_holds(case: Case, place: str, indexes: range) -> int | None:
    return next((i for i in indexes if (left := case.left(place, i)) and left.holds), None)


def _smaller(case: Case, place: str, chosen: int) -> int | None:
    """The size that a place would be by itself, when it lies a whole size or more below the chosen one."""
    spot = find_spot(case.facts, place, case.body[place])
    if spot is None or spot.lower + spot.share > chosen - 1:
        return None
    own, _ = _choose(case, place, spot, (place,))
    return _first_that_holds(case, place, range(own, chosen))


def _changes(case: Case, chosen: int) -> Iterator[PatternChange]:
    """Bust minus chart, when the high bust chose; taking out is left to taste, since the ease alone may do."""
    chart = case.facts.body_at("bust", chosen)
    if case.cup_off is not None and chart is not None and (by := case.body["bust"] - chart):
        yield PatternChange("bust", by, optional=by < 0)


def _by_bust(case: Case) -> tuple[str, ...]:
    spot = find_spot(case.facts, "bust", case.body["bust"]) if case.cup_off is not None else None
    if spot is None or spot.outside:
        return ()
    both = (spot.lower, spot.upper) if spot.undecided else (spot.nearest,)
    return tuple(case.facts.sizes[i] for i in both if i is not None)
