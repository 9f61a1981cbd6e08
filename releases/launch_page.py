"""What a version's page shows of the way to the shop: what a change left behind, the sizes, the launch check."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from django.http import HttpRequest

from releases.models import SignOffState, Version
from releases.sign_offs import STANDS, standing
from releases.stale_store import open_marks


def launch_part(_request: HttpRequest, version: Version) -> Mapping[str, Any]:
    """The open marks, and how many sizes are signed, held or lapsed."""
    states = [row.state for size, row in standing(version).items() if size in version.sizes]
    return {
        "marks": open_marks(version),
        "signed": sum(state in STANDS for state in states),
        "held": states.count(SignOffState.HELD),
        "lapsed": states.count(SignOffState.LAPSED),
        "of": len(version.sizes),
    }
