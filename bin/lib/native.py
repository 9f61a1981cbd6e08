"""Programs and libraries from the machine's own package manager: installed where that is allowed."""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
import time
from collections.abc import Sequence
from pathlib import Path

from .steps import Stop, run

# What the PDF engine needs, and how each package manager is asked for it.
PDF_PACKAGES = {
    "apt-get": ["libpango-1.0-0", "libpangoft2-1.0-0", "libharfbuzz-subset0"],
    "brew": ["pango"],
    "dnf": ["pango", "harfbuzz"],
    "pacman": ["pango", "harfbuzz"],
    "apk": ["pango", "harfbuzz"],
}
VERBS = {"apt-get": ["install", "-y"], "brew": ["install"], "dnf": ["install", "-y"], "pacman": ["-S"], "apk": ["add"]}
_updated = False


def manager() -> str:
    """The package manager of this machine, "" when it is none of those known."""
    return next((name for name in VERBS if shutil.which(name)), "")


def command_line(packages: Sequence[str]) -> str:
    """The one command that installs `packages`, to show to a person."""
    sudo = "" if manager() == "brew" or os.geteuid() == 0 else "sudo "
    return f"{sudo}{manager()} {' '.join([*VERBS[manager()], *packages])}"


def right_to_install() -> list[str] | None:
    """What goes before an install command: nothing, or sudo without a password; None when not allowed."""
    if manager() == "brew":
        return []
    if manager() != "apt-get":
        return None
    if os.geteuid() == 0:
        return []
    asked = shutil.which("sudo") and subprocess.run(["sudo", "-n", "true"], capture_output=True, check=False)
    return ["sudo", "-n"] if asked and asked.returncode == 0 else None


def install(packages: Sequence[str], *, log: Path) -> bool:
    """Install `packages`; False when it is not allowed here, or when the package manager could not."""
    before = right_to_install()
    if before is None:
        return False
    quiet = ["env", "DEBIAN_FRONTEND=noninteractive"] if manager() == "apt-get" else []
    extra = ["--no-install-recommends"] if manager() == "apt-get" else []
    command: list[str | Path] = [*before, *quiet, manager(), *VERBS[manager()], *extra, *packages]
    for again in (False, True):
        try:
            _update(before, log)
            run(f"Installing {', '.join(packages)}", command, log=log)
            return True
        except Stop as stop:
            print(f"  {stop}", flush=True)
            if not again:
                time.sleep(3)  # another package manager may be at work, or a mirror be busy
    return False


def _update(before: list[str], log: Path) -> None:
    global _updated
    if manager() == "apt-get" and not _updated:
        updating: list[str | Path] = [*before, "apt-get", "update"]
        run("Reading the lists of Debian packages", updating, log=log)
        _updated = True


def with_library_paths(env: dict[str, str]) -> dict[str, str]:
    """On a Mac, Python does not look where Homebrew keeps libraries unless told."""
    if sys.platform == "darwin":
        places = [env.get("DYLD_FALLBACK_LIBRARY_PATH"), "/opt/homebrew/lib", "/usr/local/lib", "/usr/lib"]
        env["DYLD_FALLBACK_LIBRARY_PATH"] = ":".join(place for place in places if place)
    return env


def pdf_engine_loads(python: Path, env: dict[str, str], *, fully: bool) -> bool:
    """Whether the PDF engine finds its libraries; `fully`: the font subsetter too, where it only warns."""
    options = ["-W", "error::DeprecationWarning:weasyprint.text.ffi"] if fully else []
    asked: list[str | Path] = [python, *options, "-c", "import weasyprint"]
    return subprocess.run(asked, env=env, capture_output=True, check=False).returncode == 0


def ensure_pdf_libraries(python: Path, env: dict[str, str], *, log: Path) -> str:
    """Install what the PDF engine needs where that is allowed; else the sentence to show, "" when all is well."""
    if pdf_engine_loads(python, env, fully=True):
        return ""
    packages = PDF_PACKAGES.get(manager(), [])
    if packages:
        install(packages, log=log)
    if pdf_engine_loads(python, env, fully=False):
        return ""
    how = f"Run: {command_line(packages)}" if packages else "Install Pango and HarfBuzz with their subset library."
    return f"PDFs cannot be made yet: the libraries Pango and HarfBuzz are missing. {how}"
