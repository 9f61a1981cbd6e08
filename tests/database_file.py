"""The database's file as it lies on the disk, for tests of what must not be left in it."""

from __future__ import annotations

import subprocess
from pathlib import Path

from django.db import connection


def bytes_of_sqlite() -> bytes:
    """The file itself, and the log that it writes ahead.

    Read by another process: where this one closes the file, it loses its own locks on it, and a server that a later
    test ends would take the log away under its hands.
    """
    name = Path(str(connection.settings_dict["NAME"]))
    return subprocess.run(["cat", *name.parent.glob(f"{name.name}*")], stdout=subprocess.PIPE, check=True).stdout
