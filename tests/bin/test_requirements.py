"""Installs repeat: every package has one version, and every direct one its reason."""

from __future__ import annotations

import re

import pytest

from lib.steps import ROOT

DIRECT = re.compile(r"^([A-Za-z0-9-]+)(\[[a-z0-9,]+\])?==([0-9][0-9A-Za-z.]*)  # \S.+$")
FILES = ["requirements.txt", "requirements-test.txt"]


def lines(name: str) -> list[str]:
    written = (ROOT / name).read_text(encoding="utf-8").splitlines()
    return [line for line in written if line and not line.startswith(("#", "-r "))]


def plain(name: str) -> str:
    return re.sub(r"[-_.]+", "-", name).lower()


@pytest.mark.parametrize("name", FILES)
def test_a_direct_package_is_pinned_with_its_reason(name):
    assert [line for line in lines(name) if not DIRECT.match(line)] == []


@pytest.mark.parametrize("name", FILES)
def test_the_constraints_agree_with_the_pins(name):
    limits = dict(line.split("==") for line in lines("constraints.txt"))
    limits = {plain(package): version for package, version in limits.items()}
    pinned = {plain(found[1]): found[3] for line in lines(name) if (found := DIRECT.match(line))}
    assert {package: limits.get(package) for package in pinned} == pinned
