"""The app's settings for a worker process that a test starts: the test's database, no nightly jobs."""

from config.settings import *  # noqa: F403

NIGHTLY_JOBS: list[str] = []
