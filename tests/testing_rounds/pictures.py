"""Pictures for tests, drawn here: good ones in every form that phones send, and hostile ones."""

from __future__ import annotations

import struct
import zlib
from io import BytesIO
from pathlib import Path
from typing import Any

from PIL import Image, ImageCms, PngImagePlugin

DATA = Path(__file__).parent / "data"
RED, BLUE, CLOTH = (200, 40, 40), (40, 60, 200), (210, 205, 190)
# Words that a phone could write into a photo; none may be left in what is kept.
NEEDLES = ("Needle Camera Works", "needle-comment", "needle-xmp", "needle-iptc", "needle-text", "NeedlePhone")


def toile(size: tuple[int, int] = (160, 120)) -> Image.Image:
    """Cloth with a red band on top and a blue one below, so that one can see which way it stands."""
    picture = Image.new("RGB", size, CLOTH)
    band = size[1] // 4
    picture.paste(RED, (0, 0, size[0], band))
    picture.paste(BLUE, (0, size[1] - band, size[0], size[1]))
    return picture


def saved(picture: Image.Image, form: str, **options: Any) -> bytes:
    out = BytesIO()
    picture.save(out, form, **options)
    return out.getvalue()


def exif(orientation: int = 1) -> Image.Exif:
    """What a phone notes: who made it, how it was held, where it was."""
    notes = Image.Exif()
    notes[0x0112], notes[0x010F], notes[0x0110] = orientation, NEEDLES[0], NEEDLES[5]
    notes.get_ifd(0x8825).update({1: "N", 2: (51.0, 30.0, 12.0), 3: "E", 4: (0.0, 7.0, 0.0)})
    return notes


def talkative_jpeg(orientation: int = 1) -> bytes:
    """A JPEG with Exif, GPS, XMP, IPTC, a comment, and more behind its end."""
    plain = saved(toile(), "JPEG", exif=exif(orientation), comment=NEEDLES[1], xmp=f"<x>{NEEDLES[2]}</x>".encode())
    iptc = b"Photoshop 3.0\x008BIM\x04\x04\x00\x00\x00\x00\x00\x10\x1c\x02\x78\x00\x0b" + NEEDLES[3].encode()
    segment = b"\xff\xed" + struct.pack(">H", len(iptc) + 2) + iptc
    return plain[:2] + segment + plain[2:] + b"<?php needle-text ?>"


def talkative_png() -> bytes:
    notes = PngImagePlugin.PngInfo()
    notes.add_text("Comment", NEEDLES[1])
    notes.add_itxt("XML:com.adobe.xmp", NEEDLES[2])
    return saved(toile(), "PNG", pnginfo=notes, exif=exif())


def crossed_profile() -> bytes:
    """A colour profile like sRGB in which red and blue have changed places."""
    plain = ImageCms.ImageCmsProfile(ImageCms.createProfile("sRGB")).tobytes()
    return plain.replace(b"rXYZ", b"----").replace(b"bXYZ", b"rXYZ").replace(b"----", b"bXYZ")


def png_head(width: int, height: int, body: bytes = b"") -> bytes:
    """A PNG that says it is this large and holds next to nothing."""

    def chunk(kind: bytes, data: bytes) -> bytes:
        return struct.pack(">I", len(data)) + kind + data + struct.pack(">I", zlib.crc32(kind + data))

    head = chunk(b"IHDR", struct.pack(">IIBBBBB", width, height, 8, 2, 0, 0, 0))
    return b"\x89PNG\r\n\x1a\n" + head + chunk(b"IDAT", body or zlib.compress(b"\x00" * 64)) + chunk(b"IEND", b"")
