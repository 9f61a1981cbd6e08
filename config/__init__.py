"""The project's settings, addresses and server entry. `__version__` is the newest heading of CHANGELOG.md."""

import re
from pathlib import Path

CHANGELOG = Path(__file__).resolve().parent.parent / "CHANGELOG.md"


def newest_version(changelog: str) -> str:
    """The version of the first heading such as "## 1.2.3"; raises ValueError when there is none."""
    found = re.search(r"^## (\d+\.\d+\.\d+)$", changelog, re.MULTILINE)
    if found is None:
        raise ValueError('CHANGELOG.md has no heading such as "## 1.2.3".')
    return found[1]


__version__ = newest_version(CHANGELOG.read_text(encoding="utf-8"))
