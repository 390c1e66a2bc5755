"""A picture as sent becomes the file that is kept: upright, smaller, silent; what is no picture is refused."""

from __future__ import annotations

import hashlib
import struct
import zlib
from io import BytesIO

import numpy as np
import pytest
from PIL import Image

from tests.desk.pictures import PLACE_NAME, as_jpeg, pattern, saved
from whitemetal.desk.picture_file import LONGEST_SIDE, MOST_BYTES, THUMBNAIL_SIDE, developed
from whitemetal.errors import InputError

JPEG_START = b"\xff\xd8\xff"
pytestmark = pytest.mark.sqlite_only


def pixels(content: bytes) -> Image.Image:
    picture = Image.open(BytesIO(content))
    picture.load()
    return picture


def colour(picture: Image.Image, across: float, down: float) -> str:
    """The name of the colour at a place of the picture, told by which channel is strong."""
    found = picture.convert("RGB").getpixel((int(across * picture.width), int(down * picture.height)))
    assert isinstance(found, tuple)
    strong = tuple(level > 128 for level in found)
    return {(1, 0, 0): "red", (0, 1, 0): "green", (0, 0, 1): "blue", (1, 1, 1): "white"}[strong]  # type: ignore[index]


def refused(sent: bytes, name: str = "IMG.jpg") -> str:
    with pytest.raises(InputError) as told:
        developed(sent, name)
    (problem,) = told.value.problems
    assert problem.field == "photograph"
    assert problem.typed.startswith(name)
    return problem.expected


UPRIGHT = {
    1: ("red", "green", "blue", "white"), 3: ("white", "blue", "green", "red"),
    6: ("blue", "red", "white", "green"), 8: ("green", "white", "red", "blue"),
}  # fmt: skip
"""Top left, top right, bottom left, bottom right once turned upright, by EXIF orientation: 3 is half a turn, 6
a quarter turn clockwise, 8 one the other way (EXIF 2.3, tag 274)."""


@pytest.mark.parametrize("orientation", UPRIGHT)
def test_a_picture_is_kept_upright(orientation: int) -> None:
    made = developed(as_jpeg(pattern(400, 300), orientation))
    picture = pixels(made.file.content)
    corners = [(0.2, 0.2), (0.8, 0.2), (0.2, 0.8), (0.8, 0.8)]
    assert tuple(colour(picture, *at) for at in corners) == UPRIGHT[orientation]
    assert (made.width, made.height) == ((300, 400) if orientation in (6, 8) else (400, 300)) == picture.size
    assert tuple(colour(pixels(made.file.thumbnail), *at) for at in corners) == UPRIGHT[orientation]


def test_nothing_is_told_but_when_it_was_taken() -> None:
    sent = as_jpeg(pattern(400, 300), 6, offset="+01:00")
    before = Image.open(BytesIO(sent)).getexif()
    assert before.get_ifd(0x8825), "the picture as sent has no place, so the test shows nothing"
    assert PLACE_NAME.encode() in sent
    made = developed(sent)
    for content in (made.file.content, made.file.thumbnail):
        for told in (PLACE_NAME, "Pocket 9", "Invented Optical", "Ida Invented"):
            assert told.encode() not in content
        assert {"comment", "icc_profile", "xmp", "photoshop"} & set(pixels(content).info) == set()
    kept = pixels(made.file.content).getexif()
    assert set(kept) == {0x8769}
    assert dict(kept.get_ifd(0x8769)) == {0x9003: "2026:03:02 07:39:25", 0x9011: "+01:00"}
    assert made.taken == "2026-03-02T07:39:25+01:00"


@pytest.mark.parametrize(
    ("told", "offset", "taken"),
    [
        ("2026:03:02 07:39:25", "", "2026-03-02T07:39:25"),
        ("2026:03:02 07:39:25", "east", "2026-03-02T07:39:25"),
        ("not a time", "", ""),
        ("0000:00:00 00:00:00", "", ""),
        ("2026:13:02 07:39:25", "", ""),
    ],
)
def test_when_it_was_taken_is_read_or_left_open(told: str, offset: str, taken: str) -> None:
    made = developed(as_jpeg(pattern(60, 40), taken=told, offset=offset))
    assert made.taken == taken
    assert bool(pixels(made.file.content).getexif()) is bool(taken)


def test_a_large_picture_is_made_smaller_and_a_small_one_is_not_blown_up() -> None:
    large = developed(as_jpeg(pattern(4000, 3000)))
    assert (large.width, large.height) == (LONGEST_SIDE, LONGEST_SIDE * 3 // 4)
    assert max(pixels(large.file.thumbnail).size) == THUMBNAIL_SIDE
    small = developed(as_jpeg(pattern(200, 100)))
    assert (small.width, small.height) == (200, 100)


@pytest.mark.parametrize("format", ["PNG", "WEBP", "JPEG"])
def test_every_kind_that_is_read_is_kept_as_jpeg(format: str) -> None:
    made = developed(saved(pattern(300, 200), format))
    assert made.file.content.startswith(JPEG_START)
    assert made.file.digest == hashlib.sha256(made.file.content).hexdigest()
    assert colour(pixels(made.file.content), 0.2, 0.2) == "red"


@pytest.mark.parametrize("mode", ["L", "P", "RGBA", "LA", "I;16", "1", "CMYK"])
def test_every_way_to_write_colours_is_read(mode: str) -> None:
    if mode == "I;16":
        grey = np.linspace(0, 65535, 300 * 200).reshape(200, 300).astype(np.uint16)
        picture = Image.fromarray(grey)
    else:
        picture = pattern(300, 200).convert(mode)
    made = developed(saved(picture, "JPEG" if mode == "CMYK" else "PNG"))
    kept = pixels(made.file.content)
    assert (kept.mode, kept.size) == ("RGB", (300, 200))
    top, bottom = (kept.convert("L").getpixel((5, at)) for at in (5, 195))
    if mode == "I;16":
        assert isinstance(top, int | float) and isinstance(bottom, int | float)
        assert top < 20 < 235 < bottom


def test_what_shows_through_stands_on_white() -> None:
    made = developed(saved(Image.new("RGBA", (50, 50), (0, 0, 0, 0)), "PNG"))
    assert colour(pixels(made.file.content), 0.5, 0.5) == "white"


def test_blue_stays_blue_with_a_wider_range_of_colours() -> None:
    """A profile whose red and blue stand in each other's place: only who heeds it sees blue where blue was."""
    from PIL import ImageCms

    profile = bytearray(ImageCms.ImageCmsProfile(ImageCms.createProfile("sRGB")).tobytes())
    count = struct.unpack(">I", profile[128:132])[0]
    tags = {bytes(profile[at : at + 4]): at for at in range(132, 132 + 12 * count, 12)}
    red, blue = tags[b"rXYZ"], tags[b"bXYZ"]
    profile[red : red + 4], profile[blue : blue + 4] = b"bXYZ", b"rXYZ"
    red_as_sent = Image.new("RGB", (40, 40), (230, 0, 0))
    made = developed(saved(red_as_sent, "JPEG", icc_profile=bytes(profile)))
    assert colour(pixels(made.file.content), 0.5, 0.5) == "blue"
    unreadable = developed(saved(red_as_sent, "JPEG", icc_profile=b"no profile"))
    assert colour(pixels(unreadable.file.content), 0.5, 0.5) == "red"


def png_of(width: int, height: int, data: bytes = b"") -> bytes:
    """A PNG that says it is so large, whatever is in it."""

    def chunk(name: bytes, body: bytes) -> bytes:
        return struct.pack(">I", len(body)) + name + body + struct.pack(">I", zlib.crc32(name + body))

    head = struct.pack(">IIBBBBB", width, height, 1, 0, 0, 0, 0)
    return b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", head) + chunk(b"IDAT", data) + chunk(b"IEND", b"")


def test_a_picture_made_to_fill_the_memory_is_refused_unread() -> None:
    """100,000 by 100,000 pixels of one bit: 1.25 GB unpacked; 9,000 by 9,000 is under the limit for a JPEG,
    not for a PNG, which is unpacked whole."""
    assert "120 million pixels" in refused(png_of(100_000, 100_000, zlib.compress(bytes(10_000))))
    assert "50 million pixels" in refused(png_of(12_000, 12_000))
    assert "50 million pixels" in refused(png_of(9_000, 9_000))


@pytest.mark.parametrize(("across", "down"), [(20_000, 7_000), (60_000, 60_000)])
def test_a_jpeg_that_says_it_is_larger_than_any_telephone_makes_is_refused(across: int, down: int) -> None:
    """Its size stands in the frame header (JPEG, marker FFC0: length, precision, height, width)."""
    sent = bytearray(saved(pattern(400, 300), "JPEG"))
    at = sent.index(b"\xff\xc0") + 5
    assert struct.unpack(">HH", sent[at : at + 4]) == (300, 400)
    sent[at : at + 4] = struct.pack(">HH", down, across)
    assert "120 million pixels" in refused(bytes(sent))


def test_what_is_no_picture_is_refused_with_a_reason() -> None:
    whole = as_jpeg(pattern(400, 300))
    assert "empty" in refused(b"")
    assert "something else" in refused(b"%PDF-1.7 not a picture" * 50)
    assert "something else" in refused(b"<svg xmlns='http://www.w3.org/2000/svg'><script/></svg>")
    assert "something else" in refused(saved(pattern(20, 20), "GIF"))
    assert "something else" in refused(saved(pattern(20, 20), "TIFF"))
    assert "HEIC" in refused(b"\x00\x00\x00\x18ftypheic\x00\x00\x00\x00mif1heic")
    assert "broken off" in refused(whole[: len(whole) // 2])
    assert "broken off" in refused(saved(pattern(400, 300), "PNG")[:700])
    assert "40 MB" in refused(whole + bytes(MOST_BYTES))


def test_every_length_of_a_broken_picture_is_refused_or_read_whole() -> None:
    """Never another error than the one that is said to a person."""
    for whole in (as_jpeg(pattern(64, 48)), saved(pattern(64, 48), "PNG"), saved(pattern(64, 48), "WEBP")):
        for length in range(0, len(whole) - 40, max(1, len(whole) // 25)):
            with pytest.raises(InputError):
                developed(whole[:length], "IMG")


def test_a_picture_with_another_in_it_as_some_telephones_write_is_read_as_its_first() -> None:
    both = saved(pattern(400, 300), "MPO", save_all=True, append_images=[Image.new("RGB", (400, 300))])
    made = developed(both)
    assert colour(pixels(made.file.content), 0.2, 0.2) == "red"
    assert (made.width, made.height) == (400, 300)


@pytest.mark.parametrize(
    "exif",
    [
        b"Exif\x00\x00",
        b"Exif\x00\x00garbage of a camera",
        b"Exif\x00\x00MM\x00*\xff\xff\xff\xff",
        bytes(60000),
    ],
)
def test_a_whole_picture_with_unreadable_notes_of_its_camera_is_kept(exif: bytes) -> None:
    made = developed(saved(pattern(400, 300), "JPEG", exif=exif))
    assert (made.taken, made.width, made.height) == ("", 400, 300)
