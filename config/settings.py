"""Settings. With nothing set: SQLite and files under var/, mail to the console, a worker in the process."""

from __future__ import annotations

import locale
import secrets
from pathlib import Path

import dj_database_url
from csp.constants import NONE, SELF

from config import env
from config.limits import *  # noqa: F403
from config.safety import refuse_unsafe
from config.stores import file_store

BASE_DIR = Path(__file__).resolve().parent.parent
PRODUCTION = env.flag("PRODUCTION", False)
DEBUG = env.flag("DEBUG", False)
DATA_DIR = Path(env.text("DATA_DIR") or BASE_DIR / "var").resolve()
DATA_DIR.mkdir(parents=True, exist_ok=True)


def _local_secret() -> str:
    """A key of this copy's own, kept beside its data, so that sessions outlive a restart."""
    path = DATA_DIR / "secret_key"
    if not path.exists():
        path.write_text(secrets.token_urlsafe(60))
        path.chmod(0o600)
    return path.read_text().strip()


SECRET_KEY = env.text("SECRET_KEY") or ("" if PRODUCTION else _local_secret())
# Seals of sign-offs outlive a change of SECRET_KEY only under a key of their own.
SIGN_OFF_KEY = env.text("SIGN_OFF_KEY")
ALLOWED_HOSTS = env.listing("ALLOWED_HOSTS", "" if PRODUCTION else "127.0.0.1,localhost,[::1]")
CSRF_TRUSTED_ORIGINS = env.listing("TRUSTED_ORIGINS")
SITE_ADDRESS = env.text("SITE_ADDRESS", "http://127.0.0.1:8000").rstrip("/")

INSTALLED_APPS = [
    "django.contrib.auth",
    "django.contrib.contenttypes",
    "django.contrib.sessions",
    "django.contrib.messages",
    "whitenoise.runserver_nostatic",
    "django.contrib.staticfiles",
    "django.forms",
    "allauth",
    "allauth.account",
    "django_htmx",
    "template_partials",
    "csp",
    "django_tasks",
    "django_tasks_db",
    "people",
    "measurements",
    "releases",
    "testing_rounds",
]
MIDDLEWARE = [
    "django.middleware.security.SecurityMiddleware",
    "whitenoise.middleware.WhiteNoiseMiddleware",
    "csp.middleware.CSPMiddleware",
    "django.contrib.sessions.middleware.SessionMiddleware",
    "django.middleware.locale.LocaleMiddleware",
    "django.middleware.common.CommonMiddleware",
    "django.middleware.csrf.CsrfViewMiddleware",
    "django.contrib.auth.middleware.AuthenticationMiddleware",
    "people.middleware.OwnLanguageMiddleware",
    "django.contrib.messages.middleware.MessageMiddleware",
    "django.middleware.clickjacking.XFrameOptionsMiddleware",
    "django_htmx.middleware.HtmxMiddleware",
    "allauth.account.middleware.AccountMiddleware",
    "people.middleware.PrivatePagesMiddleware",
]
ROOT_URLCONF = "config.urls"
WSGI_APPLICATION = "config.wsgi.application"
TEMPLATES = [
    {
        "BACKEND": "django.template.backends.django.DjangoTemplates",
        "DIRS": [BASE_DIR / "templates"],
        "APP_DIRS": True,
        "OPTIONS": {
            "context_processors": [
                "django.template.context_processors.request",
                "django.contrib.auth.context_processors.auth",
                "django.contrib.messages.context_processors.messages",
                "django.template.context_processors.i18n",
                "people.context.studio_place",
            ],
        },
    }
]
FORM_RENDERER = "django.forms.renderers.TemplatesSetting"

DATABASES = {
    "default": dj_database_url.parse(env.text("DATABASE_URL") or f"sqlite:///{DATA_DIR / 'second_toile.sqlite3'}")
}
if DATABASES["default"]["ENGINE"].endswith("sqlite3"):
    # Immediate: a transaction that will write says so at once, so that no upgrade fails half way.
    # secure_delete: an erased person's words must not stay in the file's free pages.
    DATABASES["default"]["OPTIONS"] = {
        "transaction_mode": "IMMEDIATE",
        "timeout": 20,
        "init_command": "PRAGMA journal_mode=WAL; PRAGMA synchronous=NORMAL; PRAGMA secure_delete=ON;",
    }
    # Each thread keeps its connection: opening one costs a millisecond, as much as two queries.
    DATABASES["default"]["CONN_MAX_AGE"] = None
    DATABASES["default"]["TEST"] = {"NAME": DATA_DIR / "test.sqlite3"}
else:
    # One for each thread of a web process, which keeps it while it sends a file, and two for a worker inside.
    DATABASES["default"]["OPTIONS"] = {"pool": {"min_size": 1, "max_size": env.number("DATABASE_POOL", 10)}}
DEFAULT_AUTO_FIELD = "django.db.models.BigAutoField"
CACHES = {"default": {"BACKEND": "django.core.cache.backends.db.DatabaseCache", "LOCATION": "cache_entries"}}

FILE_STORE = env.text("FILE_STORE", "disk")
STORAGES = {
    "default": file_store(FILE_STORE, DATA_DIR / "files"),
    "staticfiles": {
        "BACKEND": "whitenoise.storage.CompressedManifestStaticFilesStorage"
        if PRODUCTION
        else "django.contrib.staticfiles.storage.StaticFilesStorage"
    },
}
STATIC_URL = "/static/"
STATIC_ROOT = Path(env.text("STATIC_ROOT") or BASE_DIR / "staticfiles")
STATICFILES_DIRS = [BASE_DIR / "static"]
WHITENOISE_USE_FINDERS = not PRODUCTION
WHITENOISE_AUTOREFRESH = not PRODUCTION
FILE_UPLOAD_MAX_MEMORY_SIZE = 1_000_000
DATA_UPLOAD_MAX_MEMORY_SIZE = 6_000_000
# A chart of 60 sizes by 200 rows is 12,000 cells, each a field without JavaScript.
DATA_UPLOAD_MAX_NUMBER_FIELDS = 15_000

# What the privacy page promises: what was erased lives on in backups so long. Whoever makes backups keeps the promise.
BACKUP_DAYS = env.number("BACKUP_DAYS", 30)

TASKS = {"default": {"BACKEND": "django_tasks_db.DatabaseBackend"}}
WORKER_IN_PROCESS = env.flag("WORKER_IN_PROCESS", not PRODUCTION)
# Each enqueued once a day by whichever worker comes first.
HOURLY_JOBS = ["testing_rounds.jobs.send_reminders"]
NIGHTLY_JOBS = [
    "people.jobs.tidy",
    "releases.jobs.sweep_files",
    "releases.jobs.look_again",
    "testing_rounds.jobs.keep_promises",
]

AUTH_USER_MODEL = "people.Person"
AUTHENTICATION_BACKENDS = ["allauth.account.auth_backends.AuthenticationBackend"]
PASSWORD_HASHERS = ["people.hashers.SmallArgon2", "django.contrib.auth.hashers.Argon2PasswordHasher"]
AUTH_PASSWORD_VALIDATORS = [
    {"NAME": "django.contrib.auth.password_validation.UserAttributeSimilarityValidator"},
    {"NAME": "django.contrib.auth.password_validation.MinimumLengthValidator", "OPTIONS": {"min_length": 10}},
    {"NAME": "django.contrib.auth.password_validation.CommonPasswordValidator"},
]
LOGIN_URL = "account_login"
LOGIN_REDIRECT_URL = "home"
ACCOUNT_LOGOUT_REDIRECT_URL = "home"
ACCOUNT_ADAPTER = "people.adapter.AccountAdapter"
ACCOUNT_LOGIN_METHODS = {"email"}
ACCOUNT_SIGNUP_FIELDS = ["email*", "password1*"]
ACCOUNT_USER_MODEL_USERNAME_FIELD = None
ACCOUNT_PREVENT_ENUMERATION = True
ACCOUNT_EMAIL_SUBJECT_PREFIX = ""
ACCOUNT_SESSION_REMEMBER = True
ACCOUNT_SIGNUP_FORM_CLASS = "people.forms.NameForm"
ACCOUNT_RATE_LIMITS = {
    "login": "30/m/ip",
    "login_failed": "30/5m/ip,5/5m/key",
    "signup": "20/m/ip",
    "reset_password": "20/m/ip,5/m/key",
}

EMAIL_HOST = env.text("EMAIL_HOST")
EMAIL_BACKEND = (
    "django.core.mail.backends.smtp.EmailBackend" if EMAIL_HOST else "django.core.mail.backends.console.EmailBackend"
)
EMAIL_PORT = env.number("EMAIL_PORT", 587)
EMAIL_HOST_USER = env.text("EMAIL_USER")
EMAIL_HOST_PASSWORD = env.text("EMAIL_PASSWORD")
EMAIL_USE_TLS = env.flag("EMAIL_TLS", True)
EMAIL_TIMEOUT = 20
DEFAULT_FROM_EMAIL = env.text("MAIL_FROM", "Second Toile <studio@localhost>")
# Mail that nobody can receive would lock a newcomer out; with a mail server the address is proved first.
ACCOUNT_EMAIL_VERIFICATION = "mandatory" if EMAIL_HOST else "optional"

# Sign-in by a printed link, for the demo on this machine alone.
DEMO_SIGN_IN = env.flag("DEMO_SIGN_IN", not PRODUCTION)

LANGUAGE_CODE = "en"
# Each in its own words, so that its readers find it. The two of English differ in the words of sewing alone.
LANGUAGES = [
    ("en", "English, UK sewing words (toile, tack, zip)"),
    ("en-us", "English, US sewing words (muslin, baste, zipper)"),
    ("fr", "Français"),
]
LOCALE_PATHS = [BASE_DIR / "locale"]
# Python takes "en" for "en_US" when it looks for a catalogue: every reader of English would get the American words.
locale.locale_alias["en"] = "en_GB.ISO8859-1"
TIME_ZONE = "UTC"
USE_I18N = True
USE_TZ = True
# A thousand separator would turn "84,5" into 845 without an error.
USE_THOUSAND_SEPARATOR = False

CONTENT_SECURITY_POLICY = {
    "DIRECTIVES": {
        "default-src": [NONE],
        "script-src": [SELF],
        "style-src": [SELF],
        "font-src": [SELF],
        "img-src": [SELF, "data:", "blob:"],
        "connect-src": [SELF],
        "form-action": [SELF],
        "manifest-src": [SELF],
        "frame-ancestors": [NONE],
        "base-uri": [NONE],
    }
}
X_FRAME_OPTIONS = "DENY"
SECURE_CONTENT_TYPE_NOSNIFF = True
SECURE_REFERRER_POLICY = "same-origin"
SECURE_CROSS_ORIGIN_OPENER_POLICY = "same-origin"
SESSION_COOKIE_AGE = 60 * 60 * 24 * 30
SESSION_COOKIE_HTTPONLY = True
SESSION_COOKIE_SAMESITE = "Lax"
CSRF_COOKIE_SAMESITE = "Lax"
CSRF_FAILURE_VIEW = "people.views.csrf_failure"
SESSION_COOKIE_SECURE = CSRF_COOKIE_SECURE = PRODUCTION
if PRODUCTION:
    SECURE_SSL_REDIRECT = env.flag("HTTPS_REDIRECT", True)
    # Whatever watches over a server asks it directly, without the proxy that speaks HTTPS.
    SECURE_REDIRECT_EXEMPT = [r"^health/$"]
    SECURE_HSTS_SECONDS = env.number("HSTS_SECONDS", 31_536_000)
    SECURE_HSTS_INCLUDE_SUBDOMAINS = SECURE_HSTS_PRELOAD = True
    if env.flag("BEHIND_PROXY", False):
        SECURE_PROXY_SSL_HEADER = ("HTTP_X_FORWARDED_PROTO", "https")
        # Else all visitors would share the proxy's address, and one another's limits of tries.
        ALLAUTH_TRUSTED_PROXY_COUNT = 1

LOGGING = {
    "version": 1,
    "disable_existing_loggers": False,
    "formatters": {"line": {"format": "{asctime} {levelname} {name}: {message}", "style": "{"}},
    "filters": {"secrets": {"()": "config.log_secrets.HideSecrets"}},
    "handlers": {"console": {"class": "logging.StreamHandler", "formatter": "line", "filters": ["secrets"]}},
    "root": {"handlers": ["console"], "level": env.text("LOG_LEVEL", "WARNING")},
}

refuse_unsafe(globals())
