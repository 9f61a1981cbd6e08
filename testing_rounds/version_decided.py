"""What a version's page shows of the round before: what it carries, and what is still to do by hand."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any

from django.http import HttpRequest
from django.urls import reverse
from django.utils.translation import gettext as _

from releases.models import Version
from testing_rounds.decided import Decided, decided_in
from testing_rounds.models import DecisionKind, FitIssue
from testing_rounds.next_version import by_hand


@dataclass(frozen=True)
class CarriedLine:
    """One decision that a version carries: where it stands, what is to do by hand, and whether that is seen to be done
    (None: the app cannot see it)."""

    decided: Decided
    work: str
    done: bool | None

    @property
    def done_words(self) -> str:
        if self.done is None:
            return ""
        return _("Done.") if self.done else _("To do.")


def decided_part(request: HttpRequest, version: Version) -> Mapping[str, Any]:
    """The decisions that the version carries, by the rounds that made them."""
    issues = list(
        FitIssue.objects.filter(fixed_in=version)
        .select_related("round__version__pattern", "fixed_in")
        .prefetch_related("decisions__by")
        .order_by("opened", "pk")
    )
    rounds = {issue.round_id: issue.round for issue in issues}
    lines = [
        CarriedLine(one, by_hand(one), _done(version, one))
        for pk, found in rounds.items()
        for one in decided_in(found, [issue for issue in issues if issue.round_id == pk])
    ]
    return {"carried": lines, "again": [(found, reverse("resew", args=[found.ref])) for found in rounds.values()]}


def _done(version: Version, one: Decided) -> bool | None:
    """Whether the version shows that it was done: the step reads otherwise now, the file is there."""
    if one.decision.kind == DecisionKind.WORDING and one.issue.zone.isdigit():
        texts = [_text(found, int(one.issue.zone)) for found in (version, one.issue.round.version)]
        return texts[0] != texts[1]
    if one.decision.kind == DecisionKind.PRINT:
        return bool(version.current_files().filter(kind=one.issue.zone).exists())
    if one.accepted:
        return bool(version.current_files().exists())
    return None


def _text(version: Version, step: int) -> str:
    texts: Iterable[str] = version.steps.filter(number=step).values_list("text", flat=True)
    return next(iter(texts), "")
