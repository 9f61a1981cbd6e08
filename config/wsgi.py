"""The web process; with WORKER_IN_PROCESS it also works off the jobs."""

import os

from django.core.wsgi import get_wsgi_application

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "config.settings")
application = get_wsgi_application()

from people.worker import start_worker_if_asked  # noqa: E402  (needs the apps loaded)

start_worker_if_asked()
