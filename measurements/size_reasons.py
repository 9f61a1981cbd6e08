"""The sentences of size advice: about the garment and its numbers, never about the body."""

from __future__ import annotations

from collections.abc import Iterator
from decimal import Decimal

from measurements.body_measures import BODY_MEASURES
from measurements.ease import overstretched
from measurements.sentences import Sentence, Term, gettext_noop, sentence
from measurements.size_advice_types import HANGS_FROM_WAIST, Blend, EaseLeft, PatternChange
from measurements.size_case import Case, Spot


def place_name(place: str) -> Term:
    return Term(BODY_MEASURES[place].name if place in BODY_MEASURES else place.replace("_", " "))


def chooser(case: Case) -> Iterator[Sentence]:
    """Which measurement chooses, where that is not plain."""
    facts = case.facts
    if facts.kind in HANGS_FROM_WAIST or facts.primary != "bust":
        return
    if "high_bust" not in case.body:
        yield sentence("no_high_bust", gettext_noop("The high bust is not known, so the size goes by the bust."))
    elif facts.cup_mm is None:
        said = gettext_noop("The pattern does not say which cup it is drafted for, so the size goes by the bust.")
        yield sentence("no_drafted_cup", said)
    elif case.cup_off is not None:
        said = gettext_noop(
            "The draft has %(drafted)s between high bust and bust, these measurements have %(cup)s:"
            " the size goes by the high bust, and the bust is changed on the pattern."
        )
        cup = case.body["bust"] - case.body["high_bust"]
        yield sentence("by_high_bust", said, drafted=facts.cup_mm, cup=cup)


def where(case: Case, spot: Spot, chosen: int) -> Sentence:
    facts, place = case.facts, case.facts.primary
    if spot.undecided and spot.upper is not None:
        said = gettext_noop("At the %(place)s, %(mm)s lies between size %(lower)s and size %(upper)s.")
        lower, upper = facts.sizes[spot.lower], facts.sizes[spot.upper]
        return sentence("between", said, place=place_name(place), mm=case.chooser_mm, lower=lower, upper=upper)
    said = gettext_noop("At the %(place)s, %(mm)s is nearest to size %(size)s, drafted for %(chart)s.")
    chart = facts.body_at(place, chosen) or Decimal(0)
    return sentence("nearest", said, place=place_name(place), mm=case.chooser_mm, size=facts.sizes[chosen], chart=chart)


def say_change(change: PatternChange) -> Iterator[Sentence]:
    if change.optional:
        said = gettext_noop("Take out %(mm)s at the %(place)s if you wish; the ease alone may do.")
        yield sentence("take_out", said, mm=-change.mm, place=place_name(change.place))
    else:
        said = gettext_noop("Add %(mm)s at the %(place)s of the pattern.")
        yield sentence("add", said, mm=change.mm, place=place_name(change.place))


def say_blend(case: Case, blend: Blend, chosen: int) -> Iterator[Sentence]:
    left, place, size = case.left(blend.place, chosen), place_name(blend.place), case.facts.sizes[chosen]
    if left is None:
        return
    if blend.to_size is None or blend.left is None:
        said = gettext_noop("At the %(place)s size %(size)s leaves %(left)s, and no larger size keeps the least ease.")
        yield sentence("no_blend", said, place=place, size=size, left=left.mm)
    elif blend.sizes_apart > 0:
        said = gettext_noop("At the %(place)s size %(size)s leaves %(left)s. Blend to size %(to)s: it leaves %(more)s.")
        yield sentence("blend_up", said, place=place, size=size, left=left.mm, to=blend.to_size, more=blend.left.mm)
    else:
        said = gettext_noop(
            "At the %(place)s size %(size)s is a whole size loose. Blend to size %(to)s: it leaves %(less)s."
        )
        yield sentence("blend_down", said, place=place, size=size, to=blend.to_size, less=blend.left.mm)
    if blend.toile_first:
        said = gettext_noop("That changes the seam a good deal: sew a toile of the %(place)s first.")
        yield sentence("toile_first", said, place=place)


def warnings(case: Case, ease_left: tuple[EaseLeft, ...], blends: tuple[Blend, ...]) -> Iterator[Sentence]:
    """Places that keep too little and are not blended, and knits that are pulled too far."""
    settled = {blend.place for blend in blends} | ({"bust"} if case.cup_off is not None else set())
    for left in ease_left:
        if left.holds is False and left.place not in settled and left.least_mm is not None:
            said = gettext_noop("The %(place)s is left %(left)s; the garment is meant to keep at least %(least)s.")
            yield sentence("below_least", said, place=place_name(left.place), left=left.mm, least=left.least_mm)
        required = case.facts.required_stretch
        if required is not None and overstretched(left.worn_stretch, required):
            said = gettext_noop(
                "Worn, the %(place)s is stretched by %(percent)s %%, over half of what the fabric gives."
            )
            percent = f"{left.worn_stretch:.0f}"
            yield sentence("overstretched", said, place=place_name(left.place), percent=percent)
