"""Gatekeepers of patterns, versions and files: the thing, or 404 to a stranger."""

from __future__ import annotations

from django.http import Http404, HttpRequest

from people.access import EDITORS, EVERY_ROLE, membership_for
from releases.models import (
    ArrivingFile,
    FabricRequirement,
    FileComparison,
    Pattern,
    PatternFile,
    Stale,
    StepShown,
    Version,
)


def pattern_for(request: HttpRequest, ref: str, roles: frozenset[str] = EVERY_ROLE) -> Pattern:
    """The pattern of that ref, for its studio's people in one of the roles."""
    pattern = Pattern.objects.select_related("studio", "chart").filter(ref=ref).first()
    if pattern is None:
        raise Http404
    membership_for(request, pattern.studio, roles)
    return pattern


def version_for(request: HttpRequest, ref: str, roles: frozenset[str] = EVERY_ROLE) -> Version:
    """The version of that ref, for its studio's people in one of the roles."""
    version = (
        Version.objects.select_related("pattern__studio", "body_chart__chart", "finished_chart__chart")
        .filter(ref=ref)
        .first()
    )
    if version is None:
        raise Http404
    membership_for(request, version.pattern.studio, roles)
    return version


def file_for(request: HttpRequest, ref: str, roles: frozenset[str] = EVERY_ROLE) -> PatternFile:
    """The pattern file of that ref, for its studio's people in one of the roles."""
    found = PatternFile.objects.select_related("version__pattern__studio").filter(ref=ref).first()
    if found is None:
        raise Http404
    membership_for(request, found.version.pattern.studio, roles)
    return found


def requirement_for(request: HttpRequest, ref: str, roles: frozenset[str] = EVERY_ROLE) -> FabricRequirement:
    """The layout of that ref, for its studio's people in one of the roles."""
    found = FabricRequirement.objects.select_related("material__version__pattern__studio").filter(ref=ref).first()
    if found is None:
        raise Http404
    membership_for(request, found.material.version.pattern.studio, roles)
    return found


def comparison_for(request: HttpRequest, ref: str, roles: frozenset[str] = EVERY_ROLE) -> FileComparison:
    """The comparison of two files of that ref, for its studio's people in one of the roles."""
    found = FileComparison.objects.select_related("studio").filter(ref=ref).first()
    if found is None:
        raise Http404
    membership_for(request, found.studio, roles)
    return found


def arriving_for(request: HttpRequest, ref: str) -> ArrivingFile:
    """The upload of that ref, for those of its studio who may add files."""
    found = ArrivingFile.objects.select_related("version__pattern__studio", "replaces").filter(ref=ref).first()
    if found is None:
        raise Http404
    membership_for(request, found.version.pattern.studio, EDITORS)
    return found


def mark_for(request: HttpRequest, ref: str) -> Stale:
    """The stale mark of that ref, for those of its studio who may clear it."""
    found = Stale.objects.select_related("version__pattern__studio").filter(ref=ref).first()
    if found is None:
        raise Http404
    membership_for(request, found.version.pattern.studio, EDITORS)
    return found


def step_shown_for(request: HttpRequest, ref: str) -> StepShown:
    """What stands beside a step, for its studio's people."""
    found = StepShown.objects.select_related("version__pattern__studio").filter(ref=ref).first()
    if found is None:
        raise Http404
    membership_for(request, found.version.pattern.studio, EVERY_ROLE)
    return found
