"""A picture as it was sent becomes the file that is kept: upright, no larger than needed, nothing told but
when it was taken.

Where it was taken, with which camera and by whom is not kept. One picture is worked on at a time, so that
many large ones sent at once do not fill the memory.
"""

from __future__ import annotations

import re
import warnings
from collections.abc import Mapping
from dataclasses import dataclass
from io import BytesIO
from threading import Lock
from typing import TYPE_CHECKING

from whitemetal.errors import InputError, Problem
from whitemetal.job.photographs import moment_of
from whitemetal.ledger.files import KeptFile, file_digest
from whitemetal.words import say

if TYPE_CHECKING:
    from PIL.Image import Image

LONGEST_SIDE = 2560
"""Pixels of the longer side of a picture as kept: a scratch on a shell can be seen, and ten thousand of them
fit on a small disk. Our own."""

THUMBNAIL_SIDE = 320
"""Pixels of the longer side of a small picture. Our own."""

MOST_BYTES = 40 * 1024 * 1024
"""Bytes of a picture that are accepted: twice the largest that a phone makes. Our own."""

MOST_PIXELS = 120_000_000
"""Pixels that are accepted: a telephone of 108 million, not a picture made to fill the memory. Our own."""

MOST_PIXELS_WHOLE = 50_000_000
"""Pixels that are accepted of a format that cannot be read at a smaller scale. Our own."""

QUALITY, THUMBNAIL_QUALITY = 85, 70
"""JPEG quality of what is kept. Our own."""

FORMATS = ("JPEG", "PNG", "WEBP")
"""What can be read; of a JPEG with further pictures in it, as some telephones write, the first."""

HEIC = (b"heic", b"heix", b"heim", b"heis", b"hevc", b"mif1", b"msf1", b"avif")
"""How a file of a kind that cannot be read here begins, from its fifth byte after "ftyp"."""

TURNS: Mapping[int, str] = {
    2: "FLIP_LEFT_RIGHT", 3: "ROTATE_180", 4: "FLIP_TOP_BOTTOM", 5: "TRANSPOSE", 6: "ROTATE_270",
    7: "TRANSVERSE", 8: "ROTATE_90",
}  # fmt: skip
"""What turns a picture upright, by how the camera was held: by definition, EXIF 2.3, tag 274."""

_DATE = re.compile(r"(\d{4}):(\d\d):(\d\d)[ T](\d\d):(\d\d):(\d\d)")
_OFFSET = re.compile(r"[+-]\d\d:\d\d")
_EXIF, _TAKEN, _OFFSET_TAKEN, _CHANGED, _ORIENTATION = 0x8769, 0x9003, 0x9011, 0x0132, 0x0112
_one_at_a_time = Lock()


@dataclass(frozen=True)
class Developed:
    """A picture ready to be kept. taken: local time on the camera's clock, "" where it did not say."""

    file: KeptFile
    width: int
    height: int
    taken: str


def developed(sent: bytes, name: str = "") -> Developed:
    """A picture from the bytes of a JPEG, PNG or WebP file. name: the file's, for what is said of it.

    The same bytes give the same file. Raises InputError: empty, too large, not a picture, broken, too many
    pixels.
    """
    _looked_at(sent, name)
    with _one_at_a_time, warnings.catch_warnings():
        warnings.simplefilter("ignore")
        try:
            return _develop(sent, name)
        except InputError:
            raise
        except (OSError, SyntaxError, ValueError, EOFError, MemoryError, KeyError, IndexError, TypeError):
            raise _refused(name, sent, "photo.broken") from None


def _looked_at(sent: bytes, name: str) -> None:
    if not sent:
        raise _refused(name, sent, "photo.empty")
    within(len(sent), name)
    if sent[4:8] == b"ftyp" and sent[8:12] in HEIC:
        raise _refused(name, sent, "photo.other_kind")


def within(size: int, name: str = "") -> None:
    """Raises InputError where a file of so many bytes is too large to be looked at."""
    if size > MOST_BYTES:
        said = say("photo.too_large", most=MOST_BYTES // (1024 * 1024))
        raise InputError(Problem("photograph", _named(name, size), said))


def _named(name: str, size: int) -> str:
    return f"{name} ({size / 1e6:.1f} MB)" if name else f"{size} bytes"


def _refused(name: str, sent: bytes, why: str, **more: object) -> InputError:
    return InputError(Problem("photograph", _named(name, len(sent)), say(why, **more)))


def _develop(sent: bytes, name: str) -> Developed:
    from PIL import Image, UnidentifiedImageError

    Image.MAX_IMAGE_PIXELS = MOST_PIXELS
    try:
        picture = Image.open(BytesIO(sent), formats=FORMATS)
    except UnidentifiedImageError:
        raise _refused(name, sent, "photo.no_picture") from None
    except Image.DecompressionBombError:
        raise _refused(name, sent, "photo.too_many", most=MOST_PIXELS // 1_000_000) from None
    most = MOST_PIXELS if picture.format in ("JPEG", "MPO") else MOST_PIXELS_WHOLE
    if picture.width * picture.height > most:
        raise _refused(name, sent, "photo.too_many", most=most // 1_000_000)
    turned, noted = _notes(picture)
    taken = _moment(noted)
    picture.draft("RGB", (LONGEST_SIDE, LONGEST_SIDE))
    picture.load()
    upright = _in_plain_colours(picture)
    if turned in TURNS:
        upright = upright.transpose(Image.Transpose[TURNS[turned]])
    upright.thumbnail((LONGEST_SIDE, LONGEST_SIDE), Image.Resampling.LANCZOS)
    content = _jpeg(upright, QUALITY, _only_time(noted) if taken else None)
    width, height = upright.size
    upright.thumbnail((THUMBNAIL_SIDE, THUMBNAIL_SIDE), Image.Resampling.LANCZOS)
    small = _jpeg(upright, THUMBNAIL_QUALITY, None)
    return Developed(KeptFile(file_digest(content), content, small), width, height, taken)


def _in_plain_colours(picture: Image) -> Image:
    """The picture in the colours every screen shows: telephones write theirs in a wider range, and blue on
    white metal must stay the blue it was. What shows through stands on white."""
    from PIL import Image, ImageCms

    profile, plain = picture.info.get("icc_profile"), picture
    if profile and picture.mode in ("RGB", "CMYK", "L"):
        try:
            source = ImageCms.ImageCmsProfile(BytesIO(profile))
            made = ImageCms.profileToProfile(
                picture, source, ImageCms.createProfile("sRGB"), outputMode="RGB"
            )
            plain = made if made is not None else picture
        except (ImageCms.PyCMSError, OSError):
            plain = picture
    if plain.mode in ("RGBA", "LA", "PA", "P"):
        over = plain.convert("RGBA")
        plain = Image.new("RGB", over.size, "white")
        plain.paste(over, mask=over.getchannel("A"))
    elif plain.mode.startswith("I;16") or plain.mode == "I":
        plain = plain.point(lambda level: level / 256).convert("L")
    plain = plain.convert("RGB")
    plain.info = {}
    return plain


def _notes(picture: Image) -> tuple[int, tuple[str, str]]:
    """How the camera was held (EXIF tag 274; 1 where it does not say), and when and in which offset it says
    that the picture was taken. A camera's notes that cannot be read do not spoil a picture."""
    try:
        exif = picture.getexif()
        inner = exif.get_ifd(_EXIF)
        turned, taken = exif.get(_ORIENTATION, 1), inner.get(_TAKEN) or exif.get(_CHANGED) or ""
        offset = inner.get(_OFFSET_TAKEN) or ""
    except Exception:
        return 1, ("", "")
    return turned if isinstance(turned, int) else 1, (_plain(taken), _plain(offset))


def _plain(text: object) -> str:
    return str(text).strip("\x00 ")


def _moment(noted: tuple[str, str]) -> str:
    """When the picture was taken, as the camera says; "" where it says nothing that can be read."""
    found = _DATE.fullmatch(noted[0])
    if found is None:
        return ""
    day, clock = "-".join(found.groups()[:3]), ":".join(found.groups()[3:])
    told = noted[1] if _OFFSET.fullmatch(noted[1]) else ""
    try:
        return moment_of(f"{day}T{clock}{told}")
    except InputError:
        return ""


def _only_time(noted: tuple[str, str]) -> bytes:
    """When it was taken, and nothing else the camera wrote."""
    from PIL import Image

    kept = Image.Exif()
    told = {_TAKEN: noted[0]} | ({_OFFSET_TAKEN: noted[1]} if _OFFSET.fullmatch(noted[1]) else {})
    kept.get_ifd(_EXIF).update(told)
    return kept.tobytes()


def _jpeg(picture: Image, quality: int, exif: bytes | None) -> bytes:
    made = BytesIO()
    more = {"exif": exif} if exif else {}
    picture.save(made, "JPEG", quality=quality, optimize=False, progressive=False, **more)
    return made.getvalue()
