"""The folder with the database and the files, and when it may be emptied."""

from __future__ import annotations

import fcntl
import os
import shutil
from pathlib import Path

from .steps import ROOT, Stop

MARKER = ".second-toile-data"
MARKER_TEXT = "bin/start made this folder. bin/start --fresh deletes everything in it.\n"


def place() -> Path:
    """Where the data lives: DATA_DIR, else var/ in the checkout."""
    return Path(os.environ.get("DATA_DIR", "").strip() or ROOT / "var").expanduser().resolve()


def prepare(folder: Path) -> int:
    """Make the folder and hold it, so that no other start empties it meanwhile.

    A folder that was new or empty is marked as ours. Returns the open handle that is the hold.
    """
    try:
        folder.mkdir(mode=0o700, parents=True, exist_ok=True)
    except (FileExistsError, NotADirectoryError):
        raise Stop(f"DATA_DIR is {folder}, and that is not a folder.") from None
    if folder == ROOT / "var" or not any(folder.iterdir()):
        (folder / MARKER).write_text(MARKER_TEXT)
    handle = os.open(folder, os.O_RDONLY)
    fcntl.flock(handle, fcntl.LOCK_SH)
    return handle


def new_log(folder: Path) -> Path:
    """An empty log of this start, for its owner alone: it holds the links to sign in."""
    log = folder / "start.log"
    log.unlink(missing_ok=True)
    log.touch(mode=0o600)
    return log


def empty(folder: Path) -> None:
    """Delete all that is in our own data folder. Raises Stop for any other folder, or one in use."""
    if not folder.exists():
        return
    if os.environ.get("DATABASE_URL", "").strip():
        raise Stop(
            "--fresh empties the built-in database only; DATABASE_URL names another, so empty that one yourself."
        )
    if folder in {Path.home(), ROOT, *ROOT.parents}:
        raise Stop(f"--fresh never deletes {folder}. Give DATA_DIR a folder of its own.")
    if folder != ROOT / "var" and any(folder.iterdir()) and not (folder / MARKER).exists():
        raise Stop(f"--fresh leaves {folder} alone: it held other files before. Give another DATA_DIR.")
    handle = os.open(folder, os.O_RDONLY)
    try:
        fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
        for entry in folder.iterdir():
            if entry.is_dir() and not entry.is_symlink():
                shutil.rmtree(entry)
            else:
                entry.unlink()
    except BlockingIOError:
        raise Stop(f"another bin/start is using {folder}. Stop it first (Ctrl-C in its window).") from None
    finally:
        os.close(handle)
