"""Photos: preparing one, over the bare library; what the answer to an upload costs."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from collections.abc import Callable
from functools import partial
from io import BytesIO

from django.conf import settings
from django.urls import reverse

from lib.bench_figures import Figure, interleaved, over
from lib.bench_world import World
from lib.steps import ROOT

MEGAPIXELS_12, MEGAPIXELS_48 = (4000, 3000), (8000, 6000)


def photos(*, full: bool) -> list[Figure]:
    from testing_rounds.photo_work import make_photo

    twelve = noisy_photo(MEGAPIXELS_12)
    calls: dict[str, Callable[[], object]] = {
        "ours": lambda: make_photo(BytesIO(twelve)),
        "bare": partial(bare_photo, twelve),
        "decode": partial(_decode, twelve),
        "upload": _upload(twelve),
    }
    times = interleaved(calls, rounds=15 if full else 5)
    ratio, came = over("ours", "bare", times)
    answer, came_answer = over("upload", "decode", times)
    return [
        Figure("a photo of 12 megapixels, over bare Pillow", ratio, bar=1.15, came=came),
        Figure("the answer to its upload, over decoding it once", answer, bar=2.0, came=came_answer),
        *_photo_memory(twelve),
    ]


def noisy_photo(size: tuple[int, int]) -> bytes:
    """A photo with something in every corner of it, so that it is no easier than a real one."""
    from PIL import Image

    cloth = Image.effect_noise((size[0] // 4, size[1] // 4), 60).resize(size, Image.Resampling.BICUBIC)
    turned = cloth.transpose(Image.Transpose.ROTATE_180)
    out = BytesIO()
    Image.merge("RGB", (cloth, turned, cloth)).save(out, "JPEG", quality=88)
    return out.getvalue()


def bare_photo(content: bytes) -> None:
    """What Pillow itself needs for the two sizes, at the same quality, with nothing checked or cleaned."""
    from PIL import Image

    with Image.open(BytesIO(content)) as image:
        image.draft("RGB", (settings.PHOTO_LARGE_PX, settings.PHOTO_LARGE_PX))
        for longest in (settings.PHOTO_LARGE_PX, settings.PHOTO_SMALL_PX):
            image.thumbnail((longest, longest), Image.Resampling.LANCZOS, reducing_gap=2.0)
            image.save(BytesIO(), "JPEG", quality=86, optimize=True)


def _decode(content: bytes) -> None:
    from PIL import Image

    with Image.open(BytesIO(content)) as image:
        image.load()


def _upload(content: bytes) -> Callable[[], object]:
    """A phone sends the photo, each time another one."""
    world = World()
    place, phone = world.tester(world.round(0))
    settings.PHOTOS_PER_REPORT = 10_000
    path, token, numbers = reverse("test_photos", args=[place.ref]), "t" * 32, iter(range(10_000))
    phone.cookie += f"; csrftoken={token}"

    def send() -> None:
        fields = {"csrfmiddlewaretoken": token, "view": "front"}
        parts = [
            f'--x\r\nContent-Disposition: form-data; name="{name}"\r\n\r\n{value}\r\n' for name, value in fields.items()
        ]
        parts.append('--x\r\nContent-Disposition: form-data; name="photo"; filename="a.jpg"\r\n\r\n')
        # Bytes behind a picture's end change its name and nothing else: each time it is another photo.
        body = "".join(parts).encode() + content + f"{next(numbers)}\r\n--x--\r\n".encode()
        phone.ask("POST", path, body, "multipart/form-data; boundary=x")

    return send


PEAK = """
import json, sys
from io import BytesIO
import django; django.setup()
from lib.bench_memory import peak_bytes
from lib.bench_photos import bare_photo
from testing_rounds.photo_work import make_photo
content = sys.stdin.buffer.read()
before = peak_bytes()
{"ours": lambda: make_photo(BytesIO(content)), "bare": lambda: bare_photo(content)}[sys.argv[1]]()
print(json.dumps([(peak_bytes() - before) / 1e6, peak_bytes() / 1e6]))
"""


def _peak(which: str, content: bytes) -> tuple[float, float]:
    """By how many MB a process grew over one photo, and its whole peak."""
    env = {**os.environ, "DJANGO_SETTINGS_MODULE": "config.settings"}
    command = [sys.executable, "-c", PEAK, which]
    done = subprocess.run(command, cwd=ROOT, env=env, input=content, capture_output=True, check=True)
    grown, whole = json.loads(done.stdout)
    return grown, whole


def _photo_memory(twelve: bytes) -> list[Figure]:
    (ours, _), (bare, _) = _peak("ours", twelve), _peak("bare", twelve)
    _, whole = _peak("ours", noisy_photo(MEGAPIXELS_48))
    return [
        Figure("its memory, over bare Pillow", ours / bare, bar=1.3, came=f"{ours:.0f} over {bare:.0f} MB"),
        Figure("a photo of 48 megapixels, the whole process", whole, "MB", bar=400),
    ]
