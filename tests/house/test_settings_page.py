"""docs/settings.md lists every setting that the environment can give, and no other."""

from __future__ import annotations

import ast
import re

from tests.house.project import ROOT, files, shown, tree

PAGE = ROOT / "docs" / "settings.md"
READERS = {"text", "flag", "number", "listing"}
# What config/env.py itself does with a name that it was given.
READER = ROOT / "config" / "env.py"


def names_read(module: ast.Module) -> set[str]:
    """Names asked for with env.text("NAME"), env.flag("NAME", ...) and so on."""
    calls = [node for node in ast.walk(module) if isinstance(node, ast.Call) and isinstance(node.func, ast.Attribute)]
    return {
        call.args[0].value
        for call in calls
        if call.func.attr in READERS
        and isinstance(call.func.value, ast.Name)
        and call.func.value.id == "env"
        and call.args
        and isinstance(call.args[0], ast.Constant)
    }


def test_the_page_lists_each_setting_once():
    read = set().union(*(names_read(tree(path)) for path in files(".py", under=ROOT / "config")))
    listed = re.findall(r"^\| `([A-Z0-9_]+)` \|", PAGE.read_text(encoding="utf-8"), re.MULTILINE)
    assert read, "no setting was found in config/"
    assert sorted(listed) == sorted(read)


def test_only_config_reads_the_environment():
    """An app asks django.conf.settings; bin/ and the tests start before settings exist."""
    wrong = [
        shown(path)
        for path in files(".py")
        if path != READER and path.relative_to(ROOT).parts[0] not in {"bin", "tests", "manage.py"}
        for node in ast.walk(tree(path))
        if isinstance(node, ast.Attribute)
        and node.attr in {"environ", "getenv"}
        and not _sets_the_settings_module(path)
    ]
    assert not wrong


def _sets_the_settings_module(path) -> bool:
    return path == ROOT / "config" / "wsgi.py"
