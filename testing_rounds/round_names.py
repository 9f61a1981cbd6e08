"""The names by which commands and downloads call a round: pattern and version, `pebblewick-0.9`."""

from __future__ import annotations

from collections.abc import Iterable

from django.utils.text import slugify

from testing_rounds.models import Round


def names(rounds: Iterable[Round]) -> dict[str, Round]:
    """{name: round}, oldest first. The second and later rounds of a version carry their count."""
    found: dict[str, Round] = {}
    for one in rounds:
        name = base = round_name(one)
        count = 1
        while name in found:
            count += 1
            name = f"{base}-round-{count}"
        found[name] = one
    return found


def round_name(one: Round) -> str:
    """`pebblewick-0.9` of version 0.9 of Pebblewick."""
    pattern = slugify(one.version.pattern.name, allow_unicode=True) or "pattern"
    return f"{pattern}-{slugify(one.version.number.replace('.', '_')).replace('_', '.')}"
