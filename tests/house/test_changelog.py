"""The version of this copy is the newest heading of the changelog."""

from __future__ import annotations

import pytest

import config


def test_the_version_is_the_first_heading():
    assert config.newest_version("# Changes\n\n## 1.4.0\n\nNew.\n\n## 1.3.9\n") == "1.4.0"


def test_a_changelog_without_a_version_is_refused():
    with pytest.raises(ValueError, match="no heading"):
        config.newest_version("# Changes\n\n## Soon\n")


def test_this_copy_has_the_version_of_its_changelog():
    headings = [line for line in config.CHANGELOG.read_text(encoding="utf-8").splitlines() if line.startswith("## ")]
    assert headings[0] == f"## {config.__version__}"
