"""The sentences of size advice: about the garment and its numbers, never about the body."""

from __future__ import annotations

from collections.abc import Iterator
from decimal import Decimal

from measurements.body_measures import BODY_MEASURES
from measurements.ease import overstretched
from measurements.sentences import Sentence, Term, gettext_noop, sentence
from measurements.size_advice_types import HANGS_FROM_WAIST, Blend, Drop, EaseLeft, PatternChange, PatternFacts
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
    elif case.shouldered_mm is None:
        said = gettext_noop("The pattern does not say which cup it is drafted for, so the size goes by the bust.")
        yield sentence("no_drafted_cup", said)
    elif case.cup_off is not None:
        said = gettext_noop(
            "The draft has %(drafted)s between high bust and bust, these measurements have %(cup)s:"
            " the size goes by the high bust, and the bust is changed on the pattern."
        )
        cup = case.body["bust"] - case.body["high_bust"]
        yield sentence("by_high_bust", said, drafted=case.shouldered_mm - case.body["high_bust"], cup=cup)


def where(case: Case, spot: Spot, chosen: int) -> Sentence:
    """Where the choosing length falls on the chart."""
    return _between(case, spot) if spot.undecided else _nearest(case, chosen)


def _between(case: Case, spot: Spot) -> Sentence:
    if case.cup_off is not None:
        said = gettext_noop("High bust and drafted cup make %(mm)s, between size %(lower)s and size %(upper)s.")
    else:
        said = gettext_noop("At the %(place)s, %(mm)s lies between size %(lower)s and size %(upper)s.")
    lower, upper = case.facts.sizes[spot.lower], case.facts.sizes[spot.lower + 1 if spot.upper is None else spot.upper]
    place = place_name(case.facts.primary)
    return sentence("between", said, place=place, mm=case.chooser_mm, lower=lower, upper=upper)


def _nearest(case: Case, chosen: int) -> Sentence:
    if case.cup_off is not None:
        said = gettext_noop("High bust and drafted cup make %(mm)s, nearest to size %(size)s, drafted for %(chart)s.")
    else:
        said = gettext_noop("At the %(place)s, %(mm)s is nearest to size %(size)s, drafted for %(chart)s.")
    place, size = case.facts.primary, case.facts.sizes[chosen]
    chart = case.facts.body_at(place, chosen) or Decimal(0)
    return sentence("nearest", said, place=place_name(place), mm=case.chooser_mm, size=size, chart=chart)


def beyond(case: Case, spot: Spot) -> Sentence:
    """The body lies past an end of the chart: what the size at that end would leave, and no advice."""
    place = case.facts.primary
    left = case.left(place, spot.lower)
    if left is None:
        said = gettext_noop("The chart ends at size %(size)s. No size of this pattern is advised.")
    elif spot.lower == 0:
        said = gettext_noop(
            "The smallest size, %(size)s, leaves %(left)s at the %(place)s. No size of this pattern is advised."
        )
    else:
        said = gettext_noop(
            "The largest size, %(size)s, leaves %(left)s at the %(place)s. No size of this pattern is advised."
        )
    values = {"left": left.mm} if left else {}
    return sentence("outside", said, size=case.facts.sizes[spot.lower], place=place_name(place), **values)


def falling(facts: PatternFacts, place: str, drop: Drop) -> Sentence:
    """A row that gets smaller from one size to the next is a slip, and tells no sizes apart."""
    said = gettext_noop(
        "On the chart the %(place)s falls from %(larger)s in size %(lower)s to %(smaller)s in size %(upper)s."
        " Check the chart: no size can be advised by it."
    )
    larger, smaller = (facts.body_at(place, index) or Decimal(0) for index in drop)
    lower, upper = (facts.sizes[index] for index in drop)
    return sentence(
        "chart_falls", said, place=place_name(place), larger=larger, smaller=smaller, lower=lower, upper=upper
    )


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
    if blend.sizes_apart < 0:
        said = gettext_noop("At the %(place)s size %(size)s is a whole size loose.")
        yield sentence("loose", said, place=place, size=size)
    elif left.mm < 0:
        said = gettext_noop("At the %(place)s size %(size)s is %(short)s too small.")
        yield sentence("too_small", said, place=place, size=size, short=-left.mm)
    else:
        said = gettext_noop("At the %(place)s size %(size)s leaves only %(left)s.")
        yield sentence("tight", said, place=place, size=size, left=left.mm)
    yield _remedy(blend, place)


def _remedy(blend: Blend, place: Term) -> Sentence:
    if blend.to_size is None or blend.left is None:
        said = gettext_noop("No larger size keeps the least ease: sew a toile first and widen the %(place)s on it.")
        return sentence("no_blend", said, place=place)
    if blend.toile_first:
        said = gettext_noop("Blend to size %(to)s there, which leaves %(left)s; it is far, so sew a toile first.")
        return sentence("toile_first", said, to=blend.to_size, left=blend.left.mm)
    said = gettext_noop("Blend to size %(to)s there: it leaves %(left)s.")
    return sentence("blend", said, to=blend.to_size, left=blend.left.mm)


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
            yield sentence("overstretched", said, place=place_name(left.place), percent=f"{left.worn_stretch:.0f}")
        elif case.facts.fabric == "knit" and left.worn_stretch:
            said = gettext_noop("Worn, the %(place)s is stretched by %(percent)s %%.")
            yield sentence("stretched", said, place=place_name(left.place), percent=f"{left.worn_stretch:.0f}")
