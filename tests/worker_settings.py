"""The app's settings for a worker process that a test starts: the test's database, no nightly jobs."""

import os

from config.settings import *  # noqa: F403

NIGHTLY_JOBS: list[str] = []
HOURLY_JOBS: list[str] = []
EMAIL_BACKEND = os.environ.get("MAIL_BACKEND", EMAIL_BACKEND)  # noqa: F405
JOBS_A_LIFE = int(os.environ.get("JOBS_A_LIFE", "500"))
