"""Pictures for tests, made on the spot: invented patterns, with or without what a camera writes into them."""

from __future__ import annotations

from io import BytesIO

import numpy as np
from PIL import Image

TAKEN = "2026:03:02 07:39:25"
PLACE_NAME = "Tarn Mill, invented"


def pattern(width: int, height: int, shift: int = 0) -> Image.Image:
    """A picture whose top left quarter is red, top right green, bottom left blue, bottom right white."""
    made = np.zeros((height, width, 3), np.uint8)
    made[: height // 2, : width // 2] = (220 - shift, 20, 20)
    made[: height // 2, width // 2 :] = (20, 200, 20)
    made[height // 2 :, : width // 2] = (20, 20, 220)
    made[height // 2 :, width // 2 :] = (250, 250, 250)
    return Image.fromarray(made)


def as_jpeg(picture: Image.Image, orientation: int = 1, taken: str = TAKEN, offset: str = "") -> bytes:
    """A JPEG as a telephone writes it: turned, with place, camera, owner and time."""
    exif = Image.Exif()
    exif[0x0112] = orientation
    exif[0x010F], exif[0x0110] = "Invented Optical", "Pocket 9"
    exif[0x013B], exif[0x8298] = "Ida Invented", PLACE_NAME
    exif[0x0132] = taken
    inner = exif.get_ifd(0x8769)
    inner[0x9003] = taken
    if offset:
        inner[0x9011] = offset
    where = exif.get_ifd(0x8825)
    where[1], where[2], where[3], where[4] = "N", (54.0, 21.0, 30.0), "W", (2.0, 55.0, 0.0)
    made = BytesIO()
    picture.save(made, "JPEG", quality=92, exif=exif.tobytes(), comment=PLACE_NAME.encode())
    return made.getvalue()


def saved(picture: Image.Image, format: str, **more: object) -> bytes:
    """A picture in another format."""
    made = BytesIO()
    picture.save(made, format, **more)
    return made.getvalue()
