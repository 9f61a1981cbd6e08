from __future__ import annotations

from collections.abc import Iterable
from functools import partial
from typing import Any

from django.apps import AppConfig
from django.db import transaction
from django.db.models.signals import post_delete
from django.utils.translation import gettext_lazy


class ReleasesConfig(AppConfig):
    name = "releases"
    verbose_name = "Releases"

    def ready(self) -> None:
        from releases.models import ArrivingFile, FileComparison, MadeTables, PatternFile, StepShown

        post_delete.connect(_forget_content, sender=PatternFile, dispatch_uid="forget_content")
        post_delete.connect(_forget_document, sender=MadeTables, dispatch_uid="forget_document")
        post_delete.connect(_forget_pictures, sender=FileComparison, dispatch_uid="forget_pictures")
        post_delete.connect(_forget_shown, sender=StepShown, dispatch_uid="forget_shown")
        post_delete.connect(_forget_parts, sender=ArrivingFile, dispatch_uid="forget_parts")
        _register()


def _register() -> None:
    """What this app itself asks of a size and of a launch, and shows on a version's page."""
    from releases import launch_checks, registry, size_conditions
    from releases.launch_page import launch_part

    registry.add_version_part(registry.VersionPart("launch", "releases/launch_part.html", launch_part))
    conditions = (
        registry.SizeCondition("grade", gettext_lazy("Grade check clean"), size_conditions.grade_by_size, order=30),
        registry.SizeCondition("fabric", gettext_lazy("Fabric computed"), size_conditions.fabric_by_size, order=40),
    )
    for condition in conditions:
        registry.add_size_condition(condition)
    for check in launch_checks.CHECKS:
        registry.add_launch_check(check)


def _forget_content(instance: Any, **_: Any) -> None:
    """A row may go in many ways, also with its studio: its content goes with the last row that names it."""
    from releases.files import forget_unused

    transaction.on_commit(partial(forget_unused, instance.stored))


def _forget_document(instance: Any, **_: Any) -> None:
    from django.core.files.storage import default_storage

    if instance.stored:
        transaction.on_commit(partial(default_storage.delete, instance.stored))


def _forget_pictures(instance: Any, **_: Any) -> None:
    _delete_later(instance.pictures.values())


def _forget_shown(instance: Any, **_: Any) -> None:
    """Versions share pictures: they go with the last step that shows them."""
    from releases.actions.booklet import forget_pictures

    forget_pictures([instance.picture, instance.small])


def _forget_parts(instance: Any, **_: Any) -> None:
    _delete_later(instance.parts)


def _delete_later(names: Iterable[str]) -> None:
    from django.core.files.storage import default_storage

    for name in list(names):
        transaction.on_commit(partial(default_storage.delete, name))
