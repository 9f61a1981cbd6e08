"""Pages of people."""

from people.views.entrance import csrf_failure

__all__ = ["csrf_failure"]
