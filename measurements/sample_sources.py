"""Samples of bodies that later apps can give, without this app knowing them.

Each registers in its AppConfig.ready(): add_sample_source(SampleSource("testers", load)).
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from measurements.body_sample import Sample
from people.models import Studio


@dataclass(frozen=True)
class SampleSource:
    """A sample that is made anew each time it is asked for, for a studio; the sample itself says whose it is."""

    key: str
    load: Callable[[Studio], Sample]


_sources: dict[str, SampleSource] = {}


def add_sample_source(source: SampleSource) -> None:
    """Offer a sample beside the uploaded ones; a key registers once."""
    _sources[source.key] = source


def sample_sources() -> tuple[SampleSource, ...]:
    return tuple(_sources.values())
