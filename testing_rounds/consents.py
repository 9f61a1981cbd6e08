"""What a tester allows, in which words, and what stands now."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime, timedelta

from django.conf import settings
from django.utils.functional import Promise
from django.utils.translation import gettext_lazy as _

from people.models import Consent, ConsentKind
from releases.models import Pattern
from testing_rounds.models import Place

# Counted up with any change to the words below: a consent keeps the number of the words that were shown.
WORDING = "2"
# Words, here and in the call, that name the counting over size charts: older ones do not allow it.
COUNTED_WORDINGS = frozenset({"2", "call-2"})


@dataclass(frozen=True)
class ConsentWords:
    """One question: what is allowed, what it is for, what follows without it."""

    kind: ConsentKind
    title: str | Promise
    purpose: str | Promise
    without: str | Promise


WORDS: tuple[ConsentWords, ...] = (
    ConsentWords(
        ConsentKind.MEASUREMENTS,
        _("My measurements, for this round"),
        _(
            "The studio may use them to advise a size, to tell whether the draft or the size explains a misfit, and,"
            " without your name and among at least 20 bodies, to see whom its size charts serve."
        ),
        _("Without this no measurements are asked. Your report counts, but a misfit cannot be explained by size."),
    ),
    ConsentWords(
        ConsentKind.PHOTOS,
        _("My photos, to judge the fit"),
        _("The studio may look at photos of the toile on you. Nobody else sees them; you can crop your face."),
        _("Without this no photos can be added. Your words and marks count all the same."),
    ),
    ConsentWords(
        ConsentKind.PROMOTION,
        _("My photos, to show the pattern"),
        _("The studio may show photos of this round on the pattern’s page and where it speaks about the pattern."),
        _("Without this your photos are shown nowhere."),
    ),
    ConsentWords(
        ConsentKind.NAME,
        _("My name, in the thanks"),
        _("Your name may stand in the list of testers."),
        _("Without this you are thanked without a name."),
    ),
    ConsentWords(
        ConsentKind.QUOTE,
        _("My words, quoted"),
        _("Sentences of your report may be quoted where the studio speaks about the pattern."),
        _("Without this your words stay inside the studio."),
    ),
)

# What is not asked of a child: the size and the age are enough.
NOT_OF_CHILDREN = frozenset({ConsentKind.MEASUREMENTS, ConsentKind.PHOTOS, ConsentKind.PROMOTION})


def words_for(pattern: Pattern) -> tuple[ConsentWords, ...]:
    """The questions that testers of this pattern are asked."""
    return tuple(one for one in WORDS if not (pattern.for_children and one.kind in NOT_OF_CHILDREN))


def standing(places: Iterable[Place]) -> dict[str, dict[str, Consent]]:
    """{place ref: {kind: consent}} of what stands now, in one query."""
    found: dict[str, dict[str, Consent]] = {place.ref: {} for place in places}
    for consent in Consent.objects.filter(subject__in=found, withdrawn_at=None):
        found[consent.subject][consent.kind] = consent
    return found


def allows(place: Place, kind: str) -> bool:
    """Whether this permission stands now."""
    return Consent.objects.filter(subject=place.ref, kind=kind, withdrawn_at=None).exists()


def day_they_go(given_at: datetime) -> date:
    """The day promised for measurements and photos that were allowed at that time."""
    return (given_at + timedelta(days=settings.BODY_RETENTION_DAYS)).date()
