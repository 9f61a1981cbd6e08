"""Size advice as a page shows it: the size in a sentence, what is left at each place, the reasons."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from django.utils.translation import gettext as _

from measurements.body_measures import BODY_MEASURES
from measurements.lengths import Unit
from measurements.size_advice_types import PatternFacts, SizeAdvice
from measurements.translated import in_words


@dataclass(frozen=True)
class PlaceLine:
    """One fitted place in the size advised for it."""

    name: str
    size: str
    body_mm: Decimal
    chart_mm: Decimal | None
    finished_mm: Decimal
    left_mm: Decimal
    least_mm: Decimal | None
    holds: bool
    blended: bool = False

    @property
    def lengths(self) -> tuple[Decimal | None, ...]:
        return self.body_mm, self.chart_mm, self.finished_mm


def advice_context(advice: SizeAdvice, facts: PatternFacts, unit: Unit) -> dict[str, Any]:
    """What the template needs; lengths in sentences lead with the reader's unit."""
    return {
        "advice": advice,
        "said": _headline(advice),
        "lines": list(place_lines(advice, facts)),
        "reasons": [in_words(reason, first="in" if unit == "in" else "cm") for reason in advice.reasons],
    }


def place_lines(advice: SizeAdvice, facts: PatternFacts) -> list[PlaceLine]:
    """Each fitted place, in its blend where it has one."""
    blends = {blend.place: blend.left for blend in advice.blends if blend.left}
    lines = []
    for left in advice.ease_left:
        shown = blends.get(left.place) or left
        chart = facts.body_at(left.place, facts.sizes.index(shown.size))
        lines.append(
            PlaceLine(
                name=_(BODY_MEASURES[left.place].name),
                size=shown.size,
                body_mm=shown.body_mm,
                chart_mm=chart,
                finished_mm=shown.finished_mm,
                left_mm=shown.mm,
                least_mm=shown.least_mm,
                holds=shown.holds is not False,
                blended=left.place in blends,
            )
        )
    return lines


def _headline(advice: SizeAdvice) -> str:
    if advice.size is None:
        return _("No size of this range.") if advice.outside else _("No size can be advised yet.")
    blends = [blend for blend in advice.blends if blend.to_size]
    if not blends:
        return _("Size %(size)s.") % {"size": advice.size}
    places = ", ".join(
        _("size %(size)s at the %(place)s")
        % {"size": blend.to_size, "place": _(BODY_MEASURES[blend.place].name).lower()}
        for blend in blends
    )
    return _("Size %(size)s, with %(places)s.") % {"size": advice.size, "places": places}
