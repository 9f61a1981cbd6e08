"""A photo made fit to keep: upright, in sRGB, two sizes, nothing but the picture; what is no photo is refused."""

from __future__ import annotations

import struct
from io import BytesIO

import pytest
from PIL import Image

from config.limits import PHOTO_BYTES, PHOTO_LARGE_PX, PHOTO_PIXELS, PHOTO_PLAIN_PIXELS, PHOTO_SMALL_PX
from testing_rounds.photo_work import TROUBLES, PhotoError, inspect_photo, make_photo
from tests.testing_rounds.pictures import (
    BLUE,
    DATA,
    NEEDLES,
    RED,
    crossed_profile,
    png_head,
    saved,
    talkative_jpeg,
    talkative_png,
    toile,
)
from tests.testing_rounds.rounds import table


def made(content: bytes) -> Image.Image:
    return Image.open(BytesIO(make_photo(BytesIO(content)).large))


def near(seen: tuple[int, ...], colour: tuple[int, int, int]) -> bool:
    return all(abs(one - other) < 25 for one, other in zip(seen, colour, strict=True))


def stands_upright(picture: Image.Image) -> bool:
    middle = picture.width // 2
    return near(picture.getpixel((middle, 4)), RED) and near(picture.getpixel((middle, picture.height - 5)), BLUE)


def segments(jpeg: bytes) -> list[int]:
    """The markers of a JPEG up to its picture data, and what follows its end."""
    found, at = [], 2
    while jpeg[at + 1] != 0xDA:
        found.append(jpeg[at + 1])
        at += 2 + struct.unpack(">H", jpeg[at + 2 : at + 4])[0]
    return found


GOOD = {
    "jpeg": saved(toile(), "JPEG"),
    "progressive": saved(toile(), "JPEG", progressive=True),
    "grey": saved(toile().convert("L"), "JPEG"),
    "cmyk": saved(toile().convert("CMYK"), "JPEG"),
    "png": saved(toile(), "PNG"),
    "palette": saved(toile().convert("P"), "PNG"),
    "see-through": saved(toile().convert("RGBA"), "PNG"),
    "grey with alpha": saved(toile().convert("LA"), "PNG"),
    "black and white": saved(toile().convert("1"), "PNG"),
    "sixteen bits": saved(Image.new("I;16", (160, 120), 40000), "PNG"),
    "webp": saved(toile(), "WEBP"),
    "webp see-through": saved(toile().convert("RGBA"), "WEBP", lossless=True),
    "heic": (DATA / "turned.heic").read_bytes(),
    "several pictures": saved(toile(), "MPO", save_all=True, append_images=[toile()]),
    "moving": saved(toile(), "WEBP", save_all=True, append_images=[toile()]),
}


@pytest.mark.parametrize("content", GOOD.values(), ids=GOOD)
def test_every_form_that_phones_send_is_taken(content):
    facts = inspect_photo(BytesIO(content), len(content))
    photo = make_photo(BytesIO(content))
    assert facts.kind in {"jpeg", "png", "webp", "heic"}
    assert {photo.width, photo.height} == {160, 120}


@pytest.mark.parametrize("orientation", range(1, 9))
def test_a_photo_stands_as_it_was_held(orientation):
    """Exif's eight ways of holding a camera: the stored picture is turned back from the upright one."""
    undo = {
        1: None,
        2: Image.Transpose.FLIP_LEFT_RIGHT,
        3: Image.Transpose.ROTATE_180,
        4: Image.Transpose.FLIP_TOP_BOTTOM,
        5: Image.Transpose.TRANSPOSE,
        6: Image.Transpose.ROTATE_90,
        7: Image.Transpose.TRANSVERSE,
        8: Image.Transpose.ROTATE_270,
    }[orientation]
    notes = Image.Exif()
    notes[0x0112] = orientation
    stored = toile() if undo is None else toile().transpose(undo)
    for form in ("JPEG", "PNG", "WEBP"):
        assert stands_upright(made(saved(stored, form, exif=notes, quality=95)))


def test_a_photo_of_a_phone_that_writes_heic_stands_upright():
    """turned.heic lies on its side and says so (made with another program's encoder)."""
    picture = made((DATA / "turned.heic").read_bytes())
    assert picture.size == (120, 160)
    assert near(picture.getpixel((3, 80)), BLUE)
    assert near(picture.getpixel((116, 80)), RED)


@pytest.mark.parametrize(
    "content", [talkative_jpeg(), talkative_jpeg(6), talkative_png()], ids=["jpeg", "turned", "png"]
)
def test_nothing_but_the_picture_is_left(content):
    assert any(needle.encode() in content for needle in NEEDLES), "the test must begin with something to find"
    photo = make_photo(BytesIO(content))
    for kept in (photo.large, photo.small):
        assert not [needle for needle in NEEDLES if needle.encode() in kept]
        assert set(segments(kept)) <= {0xE0, 0xDB, 0xC0, 0xC4}, "APP0 (JFIF), tables, frame: no APP1, no comment"
        assert kept.endswith(b"\xff\xd9")
        assert Image.open(BytesIO(kept)).getexif() == {}


def test_a_heic_photo_keeps_nothing_of_its_phone_either():
    content = (DATA / "turned.heic").read_bytes()
    assert b"Needle" in content
    assert b"Needle" not in make_photo(BytesIO(content)).large


@pytest.mark.parametrize("form", ["JPEG", "PNG", "WEBP"])
def test_colours_are_those_that_the_profile_means(form):
    """In this picture's own profile red and blue have changed places: it is kept as it is meant to look."""
    content = saved(Image.new("RGB", (64, 64), (250, 10, 10)), form, icc_profile=crossed_profile())
    picture = made(content)
    assert "icc_profile" not in picture.info
    red, _green, blue = picture.getpixel((32, 32))
    assert blue > 200 > 60 > red


def test_a_broken_profile_does_no_harm():
    content = saved(toile(), "PNG", icc_profile=b"not a profile at all")
    assert stands_upright(made(content))


def test_what_is_see_through_shows_white():
    content = saved(Image.new("RGBA", (64, 64), (0, 0, 0, 0)), "PNG")
    assert made(content).getpixel((32, 32)) == (255, 255, 255)


def test_a_large_photo_is_made_smaller_and_keeps_its_shape():
    photo = make_photo(BytesIO(saved(toile((5000, 3750)), "JPEG")))
    assert (photo.width, photo.height) == (PHOTO_LARGE_PX, PHOTO_LARGE_PX * 3 // 4)
    assert max(Image.open(BytesIO(photo.small)).size) == PHOTO_SMALL_PX


UPLOADS = table("algorithms/photos.md", "upload")


@pytest.mark.parametrize("row", UPLOADS, ids=[f"{row['upload']} {row['held']}" for row in UPLOADS])
def test_the_table_of_the_page(row):
    notes = Image.Exif()
    notes[0x0112] = int(row["held"])
    picture = toile((int(row["width"]), int(row["height"])))
    photo = make_photo(BytesIO(saved(picture, row["upload"].upper(), exif=notes)))
    small = Image.open(BytesIO(photo.small))
    assert (f"{photo.width}x{photo.height}", f"{small.width}x{small.height}") == (row["large"], row["small"])


def test_a_small_photo_is_not_blown_up():
    assert made(saved(toile((80, 60)), "JPEG")).size == (80, 60)


HUGE = int(PHOTO_PIXELS**0.5) + 200
JPEG = saved(toile((1600, 1200)), "JPEG")
BAD = {
    "text": (b"not a photo at all", "not_a_photo"),
    "pdf": (b"%PDF-1.7\n%\xe2\xe3", "not_a_photo"),
    "gif": (saved(toile(), "GIF"), "not_a_photo"),
    "tiff": (saved(toile(), "TIFF"), "not_a_photo"),
    "bmp": (saved(toile(), "BMP"), "not_a_photo"),
    "svg": (b"<svg xmlns='http://www.w3.org/2000/svg'/>", "not_a_photo"),
    "page": (b"<!doctype html><script>alert(1)</script>", "not_a_photo"),
    "head of a jpeg": (JPEG[:40], "broken"),
    "half a jpeg": (JPEG[: len(JPEG) // 2], "broken"),
    "half a png": (saved(toile(), "PNG")[:200], "broken"),
    "half a webp": (saved(toile(), "WEBP")[:60], "broken"),
    "half a heic": ((DATA / "turned.heic").read_bytes()[:400], "broken"),
    "head of a png alone": (b"\x89PNG\r\n\x1a\n", "broken"),
    "a png of next to nothing": (png_head(300, 200), "broken"),
    "a png as large as a field": (png_head(HUGE, HUGE), "too_many_pixels"),
    "a png as large as a town": (png_head(60_000, 60_000), "too_many_pixels"),
    "a plain one over its own limit": (png_head(4100, PHOTO_PLAIN_PIXELS // 4100 + 1), "too_many_pixels"),
    "heic larger than it says": ((DATA / "lying_about_its_size.heic").read_bytes(), "broken"),
}


@pytest.mark.parametrize(("content", "code"), BAD.values(), ids=BAD)
def test_what_gives_no_photo_is_refused_with_its_reason(content, code):
    def whole_way() -> None:
        inspect_photo(BytesIO(content), len(content))
        make_photo(BytesIO(content))

    with pytest.raises(PhotoError) as refused:
        whole_way()
    assert refused.value.code == code
    assert str(refused.value) == str(TROUBLES[code])


@pytest.mark.parametrize(("size", "code"), [(0, "empty"), (PHOTO_BYTES + 1, "too_heavy")])
def test_the_weight_of_a_file_is_judged_first(size, code):
    with pytest.raises(PhotoError) as refused:
        inspect_photo(BytesIO(b""), size)
    assert refused.value.code == code


def test_a_page_hidden_behind_a_photo_is_left_behind():
    content = saved(toile(), "JPEG") + b"<script>alert(1)</script>"
    assert b"<script>" not in make_photo(BytesIO(content)).large


def test_half_a_photo_is_refused_in_a_process_that_has_made_a_pdf():
    import weasyprint  # noqa: F401  (its import tells Pillow to take half files)

    content = next(content for name, (content, _code) in BAD.items() if name == "half a jpeg")
    with pytest.raises(PhotoError):
        make_photo(BytesIO(content))
