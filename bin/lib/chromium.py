"""The browser that the tests drive: the machine's own, never a download of the test library's."""

from __future__ import annotations

import os
import shutil
import subprocess
from pathlib import Path

from . import native
from .environment import VENV

NAMES = ["chromium", "chromium-browser", "google-chrome"]
MAC_PLACES = [
    Path("/Applications/Chromium.app/Contents/MacOS/Chromium"),
    Path("/Applications/Google Chrome.app/Contents/MacOS/Google Chrome"),
]
# libatomic1: the driver of the test library is linked against it, and a small Debian has it not.
PACKAGES = {
    "apt-get": ["chromium", "libatomic1"],
    "brew": ["--cask", "chromium"],
    "dnf": ["chromium"],
    "pacman": ["chromium"],
}


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


def driver_runs() -> bool:
    """Whether the program between the test library and the browser finds its libraries."""
    return any(_runs(str(path)) for path in VENV.glob("lib/python*/site-packages/playwright/driver/node"))


def ensure(*, log: Path) -> str:
    """Install Chromium where that is allowed; else the sentence to show, "" when browser tests can run."""
    packages = PACKAGES.get(native.manager(), [])
    if not (program() and driver_runs()) and packages:
        native.install(packages, log=log)
    if program() and driver_runs():
        return ""
    how = f"Run: {native.command_line(packages)}" if packages else "Install it, or name it in CHROMIUM."
    what = "A library of Chromium's driver" if program() else "Chromium"
    return f"{what} is missing. {how}"
