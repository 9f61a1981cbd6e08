"""An S3-compatible store on this machine, and the app's own settings pointed at it."""

from __future__ import annotations

import urllib.error
import urllib.request
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import boto3
import pytest
from moto.server import ThreadedMotoServer

from config.stores import file_store

BUCKET = "toiles"
KEYS = {"S3_ACCESS_KEY": "key-of-the-test", "S3_SECRET_KEY": "secret-of-the-test", "S3_REGION": "us-east-1"}


@pytest.fixture(scope="session")
def s3_address() -> Iterator[str]:
    """The address of a store of the tests' own, in a thread."""
    server = ThreadedMotoServer(ip_address="127.0.0.1", port=0, verbose=False)
    server.start()
    host, port = server.get_host_and_port()
    yield f"http://{host}:{port}"
    server.stop()


@pytest.fixture
def s3(s3_address: str, monkeypatch: pytest.MonkeyPatch, settings: Any) -> Iterator[Any]:
    """An empty bucket, and the app's files in it as FILE_STORE=s3 would put them there. The bucket is returned."""
    for name, value in {**KEYS, "S3_BUCKET": BUCKET, "S3_ENDPOINT": s3_address}.items():
        monkeypatch.setenv(name, value)
    bucket = boto3.resource(
        "s3",
        endpoint_url=s3_address,
        aws_access_key_id=KEYS["S3_ACCESS_KEY"],
        aws_secret_access_key=KEYS["S3_SECRET_KEY"],
        region_name=KEYS["S3_REGION"],
    ).create_bucket(Bucket=BUCKET)
    settings.STORAGES = {**settings.STORAGES, "default": file_store("s3", Path("/nowhere"))}
    yield bucket
    bucket.objects.all().delete()
    bucket.delete()


def status_without_a_key(address: str) -> int:
    """What the store answers a stranger who asks it directly."""
    try:
        with urllib.request.urlopen(address, timeout=30) as response:
            return response.status
    except urllib.error.HTTPError as error:
        with error:
            return error.code
