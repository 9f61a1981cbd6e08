"""The app's settings for tests: data in a folder of its own that is gone afterwards, quick passwords."""

import atexit
import os
import shutil
import tempfile
from pathlib import Path

# pytest's own processes share one folder: the first makes it, the others find its name.
if "TEST_DATA_DIR" not in os.environ:
    os.environ["TEST_DATA_DIR"] = tempfile.mkdtemp(prefix="second-toile-test-")
    atexit.register(shutil.rmtree, os.environ["TEST_DATA_DIR"], ignore_errors=True)
os.environ["DATA_DIR"] = os.environ["TEST_DATA_DIR"]
# Playwright runs an event loop in the thread of the test, where Django would refuse its database.
os.environ.setdefault("DJANGO_ALLOW_ASYNC_UNSAFE", "true")

from config.settings import *  # noqa: F403
from config.settings import DATABASES, PASSWORD_HASHERS

# A file, not memory: a live server's threads share it without locking each other out.
if DATABASES["default"]["ENGINE"].endswith("sqlite3"):
    DATABASES["default"]["TEST"] = {"NAME": Path(os.environ["TEST_DATA_DIR"]) / "test.sqlite3"}
else:
    # A pool would keep connections open that stop a test database from being dropped.
    DATABASES["default"]["OPTIONS"] = {}
PASSWORD_HASHERS = ["django.contrib.auth.hashers.MD5PasswordHasher", *PASSWORD_HASHERS]
# Counts of tries must not travel from test to test; tests/conftest.py empties this one.
CACHES = {"default": {"BACKEND": "django.core.cache.backends.locmem.LocMemCache"}}
WORKER_IN_PROCESS = False
