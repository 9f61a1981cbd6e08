"""What the tests of the house walk over: the project's own files."""

from __future__ import annotations

import ast
import os
from collections.abc import Iterator
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
APPS = ["people", "measurements", "releases", "testing_rounds"]
TEMPLATES = ROOT / "templates"
NOT_OURS = {".git", ".venv", "var", "staticfiles", "node_modules", "__pycache__"}


def files(*suffixes: str, under: Path = ROOT) -> list[Path]:
    """Our own files with one of the suffixes, in order."""
    found = []
    for folder, inside, names in os.walk(under):
        inside[:] = [name for name in inside if name not in NOT_OURS and not name.endswith("_cache")]
        found += [Path(folder, name) for name in names if Path(name).suffix in suffixes]
    return sorted(found)


def app_modules() -> Iterator[tuple[str, Path]]:
    """Dotted name and path of every module of the apps, migrations left out."""
    for app in APPS:
        for path in files(".py", under=ROOT / app):
            parts = path.relative_to(ROOT).with_suffix("").parts
            if "migrations" not in parts:
                yield ".".join(parts[:-1] if parts[-1] == "__init__" else parts), path


def tree(path: Path) -> ast.Module:
    return ast.parse(path.read_text(encoding="utf-8"))


def shown(path: Path) -> str:
    """The path as a person types it, from the top of the project."""
    return str(path.relative_to(ROOT))
