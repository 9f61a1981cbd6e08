"""Finds a Python new enough. Written so that an old one can read it too."""

import os
import shutil
import sys

LEAST = (3, 11)
NAMES = ["python3.11", "python3.12", "python3.13", "python3.14"]


def require_python(program: str) -> None:
    """Go on under Python 3.11 or later: this one, or another on the path, else one clear line."""
    if sys.version_info >= LEAST:
        return
    for name in NAMES:
        found = shutil.which(name)
        if found:
            os.execv(found, [found] + sys.argv)  # noqa: RUF005, S606
    line = "%s: Python 3.11 or later is needed; this is %s. Install it, then run %s again."
    sys.exit(line % (program, sys.version.split()[0], program))
