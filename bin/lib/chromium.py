"""The browser that the tests drive: the machine's own, never a download of the test library's."""

from __future__ import annotations

import os
import shutil
import subprocess
from pathlib import Path

from . import native

NAMES = ["chromium", "chromium-browser", "google-chrome"]
MAC_PLACES = [
    Path("/Applications/Chromium.app/Contents/MacOS/Chromium"),
    Path("/Applications/Google Chrome.app/Contents/MacOS/Google Chrome"),
]
PACKAGES = {"apt-get": ["chromium"], "brew": ["--cask", "chromium"], "dnf": ["chromium"], "pacman": ["chromium"]}


def program() -> str:
    """The browser's path: CHROMIUM where it is set, else the first found, else ""."""
    given = os.environ.get("CHROMIUM", "").strip()
    found = [given, *(shutil.which(name) or "" for name in NAMES), *(str(place) for place in MAC_PLACES)]
    return next((path for path in found if path and _runs(path)), "")


def _runs(path: str) -> bool:
    """Some systems put a stand-in in the browser's place that only says how to install it."""
    if not Path(path).exists():
        return False
    return subprocess.run([path, "--version"], capture_output=True, check=False).returncode == 0


def ensure(*, log: Path) -> str:
    """Install Chromium where that is allowed; else the sentence to show, "" when it is there."""
    packages = PACKAGES.get(native.manager(), [])
    if not program() and packages:
        native.install(packages, log=log)
    if program():
        return ""
    how = f"Run: {native.command_line(packages)}" if packages else "Install it, or name it in CHROMIUM."
    return f"Chromium is missing. {how}"
