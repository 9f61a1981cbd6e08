"""Where uploaded files lie: on disk or in an S3-compatible store, private in both.

No address serves the folder or the bucket: each file goes out through a view that asked who reads.
"""

from __future__ import annotations

from pathlib import Path
from typing import Any

from django.core.exceptions import ImproperlyConfigured

from config import env

# A file on its way through is held in memory up to here, then on the server's own disk.
IN_MEMORY = 5_000_000


def file_store(kind: str, folder: Path) -> dict[str, Any]:
    """The setting of the store: `kind` is disk or s3, `folder` the place on disk. Raises ImproperlyConfigured."""
    return _s3() if kind == "s3" else _disk(folder)


def _disk(folder: Path) -> dict[str, Any]:
    return {
        "BACKEND": "django.core.files.storage.FileSystemStorage",
        "OPTIONS": {
            "location": folder,
            "base_url": None,
            "file_permissions_mode": 0o600,
            "directory_permissions_mode": 0o700,
        },
    }


def _s3() -> dict[str, Any]:
    bucket = env.text("S3_BUCKET")
    if not bucket:
        raise ImproperlyConfigured("Not started. S3_BUCKET must name the bucket when FILE_STORE is s3.")
    return {
        "BACKEND": "storages.backends.s3.S3Storage",
        "OPTIONS": {
            "bucket_name": bucket,
            "endpoint_url": env.text("S3_ENDPOINT") or None,
            "region_name": env.text("S3_REGION") or None,
            "access_key": env.text("S3_ACCESS_KEY") or None,
            "secret_key": env.text("S3_SECRET_KEY") or None,
            "default_acl": None,
            "querystring_auth": True,
            "addressing_style": "path",
            "file_overwrite": False,
            "max_memory_size": IN_MEMORY,
        },
    }
