"""Computation knows no Django: the pure modules are listed once, kept pure, and none is forgotten."""

from __future__ import annotations

import re
import subprocess
import sys
import tomllib

import grimp
import pytest

from tests.house.project import APPS, ROOT, app_modules, shown

TOOLS = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["tool"]
CONTRACT = next(c for c in TOOLS["importlinter"]["contracts"] if c.get("id") == "pure")
PURE = CONTRACT["source_modules"]
PAGES = sorted((ROOT / "docs" / "algorithms").glob("*.md"))


@pytest.fixture(scope="module")
def imports() -> grimp.ImportGraph:
    return grimp.build_graph("config", *APPS, include_external_packages=True)


def knows_django(imports: grimp.ImportGraph, module: str) -> bool:
    """Itself, or a package on the way to it: importing `a.b.c` runs `a` and `a.b` first."""
    parts = module.split(".")
    on_the_way = [".".join(parts[:length]) for length in range(1, len(parts) + 1)]
    upstream = {name.partition(".")[0] for step in on_the_way for name in imports.find_upstream_modules(step)}
    return bool(upstream & set(CONTRACT["forbidden_modules"]))


def test_the_list_is_in_order():
    """So that two people who add to it rarely collide."""
    assert sorted(PURE) == PURE


def test_every_listed_module_exists():
    assert not set(PURE) - {name for name, _ in app_modules()}


def test_no_pure_module_is_left_off_the_list(imports):
    """A module with code and without Django stays so: it belongs on the list in pyproject.toml."""
    forgotten = [
        name
        for name, path in app_modules()
        if path.name != "__init__.py" and name not in PURE and not knows_django(imports, name)
    ]
    assert not forgotten


def test_a_pure_module_loads_without_django():
    names = ", ".join(PURE)
    asked = f"import sys, {names}; sys.exit('django' in sys.modules)"
    done = subprocess.run([sys.executable, "-c", asked], cwd=ROOT, capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stderr or "Django was loaded"


@pytest.mark.parametrize("page", PAGES, ids=lambda page: page.name)
def test_a_page_about_a_method_names_pure_modules_that_exist(page):
    """Each page of docs/algorithms says where its method stands: a line `Module: ...` with dotted names."""
    named = re.search(r"^Modules?: (.+)$", page.read_text(encoding="utf-8"), re.MULTILINE)
    assert named, f"{shown(page)} needs a line such as: Module: `measurements.lengths`"
    modules = re.findall(r"`([a-z_.]+)`", named[1])
    assert modules, f"{shown(page)} names no module"
    assert not set(modules) - set(PURE), "named, but not among the pure modules of pyproject.toml"
