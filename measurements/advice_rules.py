"""A studio's rules for size advice, out of the database; the usual ones where it set none."""

from __future__ import annotations

from dataclasses import dataclass, field
from decimal import Decimal

from measurements.ease import LEAST_EASE, LEAST_EASE_MM, LeastEase
from measurements.models import AdviceRules
from measurements.size_advice_types import USUAL_RULES, HoldRules, Preference
from people.models import Studio


@dataclass(frozen=True)
class StudioRules:
    """The studio's fit, its least ease a place (mm), and what else decides between two sizes."""

    preference: Preference = "usual"
    least: dict[str, Decimal] = field(default_factory=lambda: dict(LEAST_EASE_MM))
    hold: HoldRules = USUAL_RULES


def rules_of(studio: Studio) -> StudioRules:
    """One query."""
    stored = AdviceRules.objects.filter(studio=studio).first()
    return StudioRules() if stored is None else as_rules(stored)


def as_rules(stored: AdviceRules) -> StudioRules:
    hold = HoldRules(
        _or(stored.comfort_mm, USUAL_RULES.comfort_mm),
        _or(stored.roomy_mm, USUAL_RULES.roomy_mm),
        _or(stored.cup_mm, USUAL_RULES.cup_limit_mm),
        USUAL_RULES.blend_sizes if stored.blend_sizes is None else stored.blend_sizes,
    )
    own = {place: Decimal(said["mm"]) for place, said in stored.least.items()}
    preference: Preference = stored.preference  # type: ignore[assignment]
    return StudioRules(preference, {**LEAST_EASE_MM, **own}, hold)


def least_with_source(studio: Studio, own_word: str) -> dict[str, LeastEase]:
    """The least ease a place with where it comes from; `own_word` is said of those that the studio set."""
    stored = AdviceRules.objects.filter(studio=studio).first()
    own = stored.least if stored else {}
    return {**LEAST_EASE, **{place: LeastEase(Decimal(said["mm"]), own_word) for place, said in own.items()}}


def _or(value: Decimal | None, usual: Decimal) -> Decimal:
    return usual if value is None else value
