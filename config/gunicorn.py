"""The web server in production: `gunicorn --config config/gunicorn.py config.wsgi`. See docs/operations.md."""

from config import env

bind = env.text("BIND", "127.0.0.1:8000")
workers = env.number("WEB_PROCESSES", 2)
# Threads, so that a phone that sends its photos slowly holds up a thread and not a process.
worker_class = "gthread"
threads = env.number("WEB_THREADS", 8)
# The proxy in front keeps its connections open; dropping them first would cost now and then a request.
keepalive = 75
# A process that shows no life for this long is replaced; threads at work do not count against it.
timeout = 60
# On a restart, requests at hand have this long to end: a photo of 25 MB over a slow line.
graceful_timeout = 60
# Processes are replaced now and then, so that no leak grows for ever; not all at the same moment.
max_requests, max_requests_jitter = 20_000, 2_000
# No socket for remote control: nobody needs it, and it would lie in the home folder.
control_socket_disable = True
# Addresses hold secrets (invitations, testers' links): no log of addresses.
accesslog = None
errorlog = "-"
