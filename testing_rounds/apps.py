from __future__ import annotations

from functools import partial
from typing import Any

from django.apps import AppConfig
from django.db import transaction
from django.db.models.signals import post_delete


class TestingRoundsConfig(AppConfig):
    name = "testing_rounds"
    verbose_name = "Testing rounds"

    def ready(self) -> None:
        """Tell the pages of versions and of charts what rounds add to them."""
        from measurements.sample_sources import SampleSource, add_sample_source
        from releases.registry import (
            VersionPart,
            add_next_step,
            add_step_notes,
            add_version_part,
        )
        from testing_rounds.fabric_reports import fabric_part
        from testing_rounds.tester_sample import sample_of_testers
        from testing_rounds.version_decided import decided_part
        from testing_rounds.version_rounds import next_steps, version_part
        from testing_rounds.version_step_notes import version_step_notes

        add_version_part(VersionPart("rounds", "testing_rounds/plan_rounds.html", version_part))
        add_version_part(VersionPart("decided", "testing_rounds/version_decided.html", decided_part))
        add_version_part(VersionPart("fabric-used", "testing_rounds/fabric_used.html", fabric_part, page="fabric"))
        add_next_step(next_steps)
        add_step_notes(version_step_notes)
        add_sample_source(SampleSource("testers", sample_of_testers))
        self._forget_files()
        self._tell_what_is_kept()
        self._ask_before_launch()

    def _ask_before_launch(self) -> None:
        """What a size must meet before it is signed, and a version before it is sold."""
        from releases.registry import add_launch_check, add_size_condition, add_stale_rule
        from testing_rounds.launch_checks import CHECKS, CONDITIONS
        from testing_rounds.shown_check import SHOWN_CHECK
        from testing_rounds.stale_zones import linked_zones

        add_stale_rule(linked_zones)
        for condition in CONDITIONS:
            add_size_condition(condition)
        for check in (*CHECKS, SHOWN_CHECK):
            add_launch_check(check)

    def _tell_what_is_kept(self) -> None:
        from people.personal_data import register
        from testing_rounds.personal_data import kinds

        register(*kinds())

    def _forget_files(self) -> None:
        """A row may go in many ways, also with its place or its studio: its files go with it."""
        from testing_rounds.models import ArrivingPhoto, Photo, Summary

        for model in (ArrivingPhoto, Photo, Summary):
            post_delete.connect(_delete_files, sender=model, dispatch_uid=f"files of {model.__name__}")


def _delete_files(instance: Any, **_: Any) -> None:
    from django.core.files.storage import default_storage

    named = [getattr(instance, name, "") for name in ("incoming", "large", "small", "stored")]
    for name in [*named, *getattr(instance, "parts", ())]:
        if name:
            transaction.on_commit(partial(default_storage.delete, name), robust=True)
