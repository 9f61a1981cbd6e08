"""A picture that somebody sent made fit to keep: two JPEGs, upright, in sRGB, with nothing in them but the picture.

The content decides what a file is, never its name. Everything the camera wrote beside the picture (place, time,
device, thumbnail, comment) stays behind, because the pixels are copied into a new picture.
Method and limits: docs/algorithms/photos.md.
"""

from __future__ import annotations

from dataclasses import dataclass
from io import BytesIO
from typing import IO

import pi_heif
from PIL import Image, ImageCms, ImageFile

from config.limits import PHOTO_BYTES, PHOTO_LARGE_PX, PHOTO_PIXELS, PHOTO_PLAIN_PIXELS, PHOTO_SMALL_PX
from measurements.sentences import Sentence, gettext_noop, sentence

pi_heif.register_heif_opener(thumbnails=False, depth_images=False, aux_images=False)

# Pillow's names of what is read; MPO is a JPEG with further pictures behind the first.
READ = ("JPEG", "PNG", "WEBP", "HEIF")
KINDS = {"JPEG": "jpeg", "MPO": "jpeg", "PNG": "png", "WEBP": "webp", "HEIF": "heic"}
# These can be decoded at a fraction of their size, or come from cameras; the others are held whole, with their alpha.
FROM_CAMERAS = frozenset({"jpeg", "heic"})
QUALITY = 86
# Rows of a large picture that are made smaller at once: some 6 MB of the largest.
STRIP_ROWS = 256
ORIENTATION = 0x0112
# How a camera was held, after the Exif standard: what turns its picture upright.
TURNS = {
    2: Image.Transpose.FLIP_LEFT_RIGHT,
    3: Image.Transpose.ROTATE_180,
    4: Image.Transpose.FLIP_TOP_BOTTOM,
    5: Image.Transpose.TRANSPOSE,
    6: Image.Transpose.ROTATE_270,
    7: Image.Transpose.TRANSVERSE,
    8: Image.Transpose.ROTATE_90,
}
WHITE = (255, 255, 255)

NOT_A_PHOTO, TOO_HEAVY, TOO_MANY_PIXELS, BROKEN, EMPTY = (
    "not_a_photo",
    "too_heavy",
    "too_many_pixels",
    "broken",
    "empty",
)
TROUBLES: dict[str, Sentence] = {
    one.code: one
    for one in (
        sentence(
            NOT_A_PHOTO,
            gettext_noop("This is not a photo that can be read here. Send a JPEG, PNG, WebP or HEIC picture."),
        ),
        sentence(
            TOO_HEAVY,
            gettext_noop("This photo is larger than %(megabytes)s MB. Send it in a smaller size."),
            megabytes=PHOTO_BYTES // 1_000_000,
        ),
        sentence(
            TOO_MANY_PIXELS,
            gettext_noop("This picture has too many pixels to be read here. Send it in a smaller size."),
        ),
        sentence(BROKEN, gettext_noop("This photo is damaged and cannot be read. Please take it again.")),
        sentence(EMPTY, gettext_noop("This file is empty. Please choose the photo again.")),
    )
}


class PhotoError(ValueError):
    """A file that gives no photo. `code` names the reason, TROUBLES has its sentence."""

    def __init__(self, code: str) -> None:
        super().__init__(str(TROUBLES[code]))
        self.code = code


@dataclass(frozen=True)
class PhotoFacts:
    """What a file says of itself: jpeg, png, webp or heic, and its pixels as stored (before turning)."""

    kind: str
    width: int
    height: int


@dataclass(frozen=True)
class MadePhoto:
    """The two pictures that are kept, as JPEG bytes, and the size of the large one."""

    large: bytes
    small: bytes
    width: int
    height: int


def inspect_photo(source: IO[bytes], size: int) -> PhotoFacts:
    """Judge a file of `size` bytes by its head, without decoding it. Raises PhotoError."""
    if size > PHOTO_BYTES:
        raise PhotoError(TOO_HEAVY)
    if not size:
        raise PhotoError(EMPTY)
    with opened(source) as image:
        return _facts(image)


def make_photo(source: IO[bytes]) -> MadePhoto:
    """Decode once, small in memory, and write both sizes. Raises PhotoError for what cannot be decoded."""
    with opened(source) as image:
        facts = _facts(image)
        try:
            picture = _upright(image, facts, source)
        except PhotoError:
            raise
        except (Image.DecompressionBombError, MemoryError):
            raise PhotoError(TOO_MANY_PIXELS) from None
        except Exception as cause:  # decoders raise whatever the broken bytes lead them to
            raise PhotoError(BROKEN) from cause
    return both_sizes(picture)


def both_sizes(picture: Image.Image) -> MadePhoto:
    """The picture in both sizes; it is made smaller in place."""
    large = _jpeg(picture)
    width, height = picture.size
    picture.thumbnail((PHOTO_SMALL_PX, PHOTO_SMALL_PX), Image.Resampling.LANCZOS)
    return MadePhoto(large, _jpeg(picture), width, height)


def opened(source: IO[bytes]) -> Image.Image:
    """The picture, not yet decoded. Raises PhotoError."""
    # The PDF engine, once it is imported, lets half a file pass for a whole one in the whole process.
    ImageFile.LOAD_TRUNCATED_IMAGES = False
    source.seek(0)
    try:
        return Image.open(source, formats=READ)
    except Image.DecompressionBombError:
        raise PhotoError(TOO_MANY_PIXELS) from None
    except Image.UnidentifiedImageError:
        raise PhotoError(_unread(source)) from None
    except Exception as cause:
        raise PhotoError(BROKEN) from cause


def _unread(source: IO[bytes]) -> str:
    """Whether an unread file at least begins like a photo: then it is damaged."""
    source.seek(0)
    head = source.read(12)
    begins = head.startswith((b"\xff\xd8\xff", b"\x89PNG\r\n\x1a\n")) or (head[:4] == b"RIFF" and head[8:] == b"WEBP")
    return BROKEN if begins or (head[4:8] == b"ftyp" and head[8:11] in (b"hei", b"hev", b"mif")) else NOT_A_PHOTO


def _facts(image: Image.Image) -> PhotoFacts:
    kind = KINDS.get(image.format or "")
    if kind is None:
        raise PhotoError(NOT_A_PHOTO)
    most = PHOTO_PIXELS if kind in FROM_CAMERAS else PHOTO_PLAIN_PIXELS
    if image.width * image.height > most:
        raise PhotoError(TOO_MANY_PIXELS)
    return PhotoFacts(kind, image.width, image.height)


def _upright(image: Image.Image, facts: PhotoFacts, source: IO[bytes]) -> Image.Image:
    """The picture at most PHOTO_LARGE_PX long, turned as it was held, in sRGB, with no memory of its file."""
    profile = image.info.get("icc_profile")
    if facts.kind == "jpeg":
        image.draft("RGB", (PHOTO_LARGE_PX, PHOTO_LARGE_PX))
    if facts.kind == "heic":
        small = _scalable(_narrowed(source))
    else:
        image.load()
        small = _scalable(image)
    orientation = image.getexif().get(ORIENTATION, 1)
    small.thumbnail((PHOTO_LARGE_PX, PHOTO_LARGE_PX), Image.Resampling.LANCZOS, reducing_gap=2.0)
    flat = _srgb(_on_white(small), profile)
    turned = flat.transpose(TURNS[orientation]) if orientation in TURNS else flat
    clean = Image.new("RGB", turned.size, WHITE)
    clean.paste(turned)
    return clean


def _narrowed(source: IO[bytes]) -> Image.Image:
    """A HEIC picture, at most PHOTO_LARGE_PX long.

    Its decoder hands out the whole picture; strip by strip it is made narrower, so that it is never held twice.
    """
    source.seek(0)
    file = pi_heif.open_heif(source, convert_hdr_to_8bit=True)
    frame = file[file.primary_index]
    data, mode, stride = frame.data, frame.mode, frame.stride
    width, height = frame.size
    scale = min(1.0, PHOTO_LARGE_PX / max(width, height))
    narrow, low = (max(1, round(side * scale)) for side in (width, height))
    found = Image.new(mode, (narrow, height))
    for top in range(0, height, STRIP_ROWS):
        rows = min(STRIP_ROWS, height - top)
        part = data[top * stride : (top + rows) * stride]
        strip = Image.frombytes(mode, (width, rows), part, "raw", mode, stride)
        found.paste(strip.resize((narrow, rows), Image.Resampling.LANCZOS), (0, top))
    return found.resize((narrow, low), Image.Resampling.LANCZOS)


def _scalable(image: Image.Image) -> Image.Image:
    """The picture in a mode of eight bits a channel that can be made smaller without steps."""
    if image.mode in {"RGB", "CMYK", "L", "RGBA", "LA"} and "transparency" not in image.info:
        return image
    if image.mode.startswith(("I", "F")):
        return image.point(lambda value: value / 256).convert("L")
    return image.convert("RGBA" if "transparency" in image.info or image.mode in {"PA", "La", "RGBa"} else "RGB")


def _on_white(image: Image.Image) -> Image.Image:
    """What is see-through shows white."""
    if image.mode not in {"RGBA", "LA"}:
        return image
    seen = image.convert("RGBA")
    ground = Image.new("RGB", image.size, WHITE)
    ground.paste(seen, mask=seen.getchannel("A"))
    return ground


def _srgb(image: Image.Image, profile: bytes | None) -> Image.Image:
    """The colours as the profile means them, in sRGB; a profile that cannot be used is left out of account."""
    if profile:
        try:
            converted = ImageCms.profileToProfile(
                image, ImageCms.ImageCmsProfile(BytesIO(profile)), ImageCms.createProfile("sRGB"), outputMode="RGB"
            )
        except (ImageCms.PyCMSError, OSError, ValueError):
            converted = None
        if converted is not None:
            return converted
    return image.convert("RGB")


def _jpeg(picture: Image.Image) -> bytes:
    out = BytesIO()
    picture.save(out, "JPEG", quality=QUALITY, optimize=True)
    return out.getvalue()
