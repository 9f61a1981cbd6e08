"""Settings from the environment, read strictly: a misspelt value stops the start."""

from __future__ import annotations

import os

from django.core.exceptions import ImproperlyConfigured

# numpy looks here when it is loaded. Our matrices are small: threads that wait for each other only cost.
os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")

TRUE = {"1", "true", "yes", "on"}
FALSE = {"0", "false", "no", "off", ""}


def text(name: str, default: str = "") -> str:
    """The value of `name`, stripped; `default` where it is not set."""
    return os.environ.get(name, default).strip()


def flag(name: str, default: bool) -> bool:
    """A yes or no; anything else is refused rather than guessed."""
    value = os.environ.get(name)
    if value is None:
        return default
    if value.strip().lower() in TRUE:
        return True
    if value.strip().lower() in FALSE:
        return False
    raise ImproperlyConfigured(f"{name} is {value!r}; it must be one of yes, no, true, false, 1, 0.")


def number(name: str, default: int) -> int:
    """A whole number."""
    value = text(name, str(default))
    try:
        return int(value)
    except ValueError:
        raise ImproperlyConfigured(f"{name} is {value!r}; it must be a whole number.") from None


def listing(name: str, default: str = "") -> list[str]:
    """Values separated by commas, each stripped, empty ones dropped."""
    return [part.strip() for part in text(name, default).split(",") if part.strip()]


def for_child(**more: str) -> dict[str, str]:
    """This process's variables and some more, for a program that it starts."""
    return {**os.environ, **more}
