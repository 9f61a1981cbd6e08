"""The page on which a size is signed: its evidence, its conditions, what was said of it, and what comes next."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from django.urls import reverse
from django.utils.translation import gettext as _

from people.audit import digest
from people.models import Person
from releases.models import SignOffState, SizeSignOff, Version
from releases.registry import Condition
from releases.sign_offs import STANDS, Signer, signer, standing, state_words
from releases.size_conditions import conditions_of
from releases.tables import charts_of
from testing_rounds.sign_off import OpenIssue, evidence_of, open_issues, seen_evidence
from testing_rounds.size_page import SizePage, size_page


@dataclass(frozen=True)
class Met:
    """A condition of this size."""

    key: str
    title: str
    condition: Condition


@dataclass(frozen=True)
class SignPage:
    """One size to sign. `page` is its evidence, None where no round speaks of it; `token` tells what is shown."""

    size: str
    base: bool
    headline: str
    about: str
    conditions: tuple[Met, ...]
    issues: tuple[OpenIssue, ...]
    page: SizePage | None
    row: SizeSignOff | None
    history: tuple[SizeSignOff, ...]
    signer: Signer
    before: str
    after: str
    done: int
    of: int
    saw: Mapping[str, Any]

    @property
    def met(self) -> bool:
        return all(one.condition.met for one in self.conditions)

    @property
    def token(self) -> str:
        """What the form was shown with: a size that changed while somebody read it is shown again."""
        return digest(dict(self.saw))[:16]


def sign_page(version: Version, position: int, person: Person) -> SignPage:
    """The page of a size by its position. Raises IndexError for one that the version does not have."""
    size, known = version.sizes[position], standing(version)
    evidence, row = evidence_of(version), known.get(size)
    conditions = tuple(
        Met(one.key, str(one.title), said.get(size) or Condition(False, _("not known")))
        for one, said in conditions_of(version)
    )
    sizes = evidence.data.sizes if evidence else ()
    page = size_page(evidence, sizes.index(size)) if evidence and size in sizes else None
    return SignPage(
        size=size,
        base=size == version.base_size,
        headline=_headline(size, row, conditions),
        about=_about(version, evidence.found.version if evidence else None),
        conditions=conditions,
        issues=tuple(one for one in open_issues(version) if size in one.sizes),
        page=page,
        row=row,
        history=tuple(version.sign_offs.filter(size=size).select_related("by").order_by("-number")),
        signer=signer(version.pattern.studio, person),
        before=_url(version, position - 1) if position else "",
        after=_url(version, position + 1) if position + 1 < len(version.sizes) else "",
        done=sum(size in known and known[size].state != SignOffState.LAPSED for size in version.sizes),
        of=len(version.sizes),
        saw=saw_of(version, size, conditions),
    )


def saw_of(version: Version, size: str, conditions: tuple[Met, ...]) -> dict[str, Any]:
    """What a signature seals besides itself: digests of evidence, finished measurements and files; the conditions."""
    finished = charts_of(version)[1]
    row = [[line.key, str(finished.mm_at(line.key, size))] for line in finished.lines]
    files = sorted([file.kind, file.digest] for file in version.current_files())
    return {
        **seen_evidence(version, size),
        "finished": digest(row),
        "files": files,
        "conditions": {one.key: one.condition.met for one in conditions},
    }


def _headline(size: str, row: SizeSignOff | None, conditions: tuple[Met, ...]) -> str:
    told = {"size": size, "state": state_words(row), "n": sum(not one.condition.met for one in conditions)}
    if row is not None and row.state != SignOffState.LAPSED:
        return _("Size %(size)s is %(state)s.") % told
    if row is not None:
        return _("Size %(size)s lapsed: it changed after it was signed.") % told
    if told["n"]:
        return _("Size %(size)s is unread, and does not meet every condition.") % told
    return _("Size %(size)s is unread, and meets every condition.") % told


def _about(version: Version, sewn: Version | None) -> str:
    """Which version the evidence comes from, where it is another."""
    if sewn is None:
        return _("No round has reports yet.")
    if sewn.pk == version.pk:
        return ""
    return _("The reports are of version %(sewn)s, which this one comes from.") % {"sewn": sewn.number}


def _url(version: Version, position: int) -> str:
    return reverse("sign_off_size", args=[version.ref, position])


def next_unread(version: Version, position: int) -> str:
    """The next size that nobody has read, from here on and then from the start; the grid where none is left."""
    known, count = standing(version), len(version.sizes)
    for step in range(1, count):
        size = version.sizes[(position + step) % count]
        if size not in known or known[size].state == SignOffState.LAPSED:
            return _url(version, (position + step) % count)
    return reverse("sign_off", args=[version.ref])


def grid_headline(version: Version) -> str:
    """Where the sizes of a version stand, in a sentence."""
    known = standing(version)
    states = [known[size].state if size in known else "" for size in version.sizes]
    told = {
        "signed": sum(state in STANDS for state in states),
        "of": len(states),
        "held": states.count(SignOffState.HELD),
        "number": version.number,
    }
    if not any(states):
        return _("No size of %(number)s is signed yet.") % told
    if told["signed"] == told["of"]:
        return _("Every size of %(number)s is signed.") % told
    if told["held"]:
        return _("%(signed)s of %(of)s sizes of %(number)s are signed, %(held)s held.") % told
    return _("%(signed)s of %(of)s sizes of %(number)s are signed.") % told
