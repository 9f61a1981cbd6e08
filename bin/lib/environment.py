"""The virtual environment in .venv and the pinned packages in it."""

from __future__ import annotations

import fcntl
import hashlib
import importlib.util
import os
import shutil
import subprocess
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from . import native
from .steps import ROOT, Stop, run

VENV = ROOT / ".venv"
PYTHON = VENV / "bin" / "python"
CONSTRAINTS = ROOT / "constraints.txt"
# Variables that would make the environment's Python load or install somewhere else.
FOREIGN = {"PYTHONHOME", "PYTHONPATH", "VIRTUAL_ENV", "PIP_TARGET", "PIP_PREFIX", "GUNICORN_CMD_ARGS"}


def clean_env(**extra: str) -> dict[str, str]:
    """The variables for our own programs: this machine's, without those that lead elsewhere."""
    kept = {name: value for name, value in os.environ.items() if name not in FOREIGN}
    return native.with_library_paths({**kept, "PIP_USER": "0", "PYTHONUNBUFFERED": "1", **extra})


def ensure(requirements: str, *, log: Path) -> None:
    """Make .venv hold exactly what `requirements` pins; nothing to do when it already does."""
    with _one_at_a_time():
        if not _usable():
            _make(log)
        wanted = _digest(requirements)
        if _installed(requirements) == wanted:
            return
        _install(requirements, log)
        for name in _chain(requirements):
            _marker(name).write_text(_digest(name))


@contextmanager
def _one_at_a_time() -> Iterator[None]:
    """Two starts at once in one checkout take turns."""
    handle = os.open(ROOT, os.O_RDONLY)
    try:
        fcntl.flock(handle, fcntl.LOCK_EX)
        yield
    finally:
        os.close(handle)


def _usable() -> bool:
    """Whether .venv has a Python that runs, is new enough, and has pip."""
    if not PYTHON.exists():
        return False
    asked = "import sys, pip; sys.exit(sys.version_info < (3, 11))"
    return subprocess.run([PYTHON, "-c", asked], env=clean_env(), capture_output=True, check=False).returncode == 0


def _make(log: Path) -> None:
    if importlib.util.find_spec("ensurepip") is None:
        _install_ensurepip(log)
    if VENV.exists() and any(VENV.iterdir()):
        if not (VENV / "pyvenv.cfg").exists():
            raise Stop(f"{VENV} is not a virtual environment; move it away, then run this again.")
        shutil.rmtree(VENV)
    run("Making the Python environment in .venv", [sys.executable, "-m", "venv", VENV], log=log, env=clean_env())


def _install_ensurepip(log: Path) -> None:
    """Debian keeps the part of Python that makes environments in a package of its own."""
    packages = [f"python3.{sys.version_info.minor}-venv"]
    if native.manager() != "apt-get":
        raise Stop("this Python has no ensurepip module, so no environment can be made; install a complete Python.")
    if not native.install(packages, log=log):
        raise Stop(f"Python's part for making environments is missing. Run: {native.command_line(packages)}")


def _install(requirements: str, log: Path) -> None:
    pip: list[str | Path] = [PYTHON, "-m", "pip", "install", "--no-input", "--disable-pip-version-check"]
    run(
        f"Installing the packages of {requirements}",
        [*pip, "--progress-bar", "off", "-c", CONSTRAINTS, "-r", ROOT / requirements],
        log=log,
        env=clean_env(),
        detail=_package_named,
    )


def _package_named(line: str) -> str:
    words = line.split()
    return words[1] if words[:1] in (["Collecting"], ["Downloading"]) and len(words) > 1 else ""


def _chain(requirements: str) -> list[str]:
    """The file and those it includes with -r."""
    lines = (ROOT / requirements).read_text().splitlines()
    return [requirements, *(line.split()[1] for line in lines if line.startswith("-r "))]


def _digest(requirements: str) -> str:
    """Changes with any pin, and with the Python that the packages were installed for."""
    texts = [(ROOT / name).read_bytes() for name in [*_chain(requirements), CONSTRAINTS.name]]
    config = (VENV / "pyvenv.cfg").read_bytes()
    return hashlib.sha256(b"\0".join([*texts, config])).hexdigest()


def _marker(requirements: str) -> Path:
    return VENV / f".installed-{requirements}"


def _installed(requirements: str) -> str:
    marker = _marker(requirements)
    return marker.read_text() if marker.exists() else ""
