"""A photograph is made upright and small on the device: what leaves it carries no place, no camera and no more
pixels than are kept."""

from __future__ import annotations

from base64 import b64decode
from io import BytesIO
from typing import TYPE_CHECKING

import pytest
from PIL import Image

from tests.desk.pictures import PLACE_NAME, as_jpeg, pattern
from tests.flow.conftest import OWNER, Served
from tests.flow.test_begun_apart import signed_on

if TYPE_CHECKING:
    from playwright.sync_api import Page

pytestmark = pytest.mark.browser
LYING = 6
"""Orientation of a camera held a quarter turn: the picture as stored must be turned clockwise (EXIF 2.3, tag 274)."""
LOOKED_AT = """(() => { const plain = fetch;
globalThis.fetch = async (to, how) => {
  for (const one of how && how.body instanceof FormData ? how.body.values() : []) {
    if (one instanceof File) await goes(btoa([...new Uint8Array(await one.arrayBuffer())].map((b) => String.fromCharCode(b)).join("")));
  }
  return plain(to, how);
}; })()"""
"""Hands every file that a page sends to the test first."""


def test_no_more_than_the_picture_leaves_the_device(served: Served, phone: Page) -> None:
    """3200 x 2400 stored lying down is shown 2400 x 3200; with its longest side 2560 it is 1920 x 2560."""
    job = served.desk.open_job(served.bearing, "W-1", "", OWNER)
    sent: list[bytes] = []
    as_taken = as_jpeg(pattern(3200, 2400), orientation=LYING)
    assert PLACE_NAME.encode() in as_taken
    phone.expose_function("goes", lambda text: sent.append(b64decode(text)))
    phone.add_init_script(LOOKED_AT)
    signed_on(phone, f"{served.at}/jobs/{job}/photographs", "Tove Invented")
    phone.locator("#photograph").set_input_files(
        {"name": "cap.jpg", "mimeType": "image/jpeg", "buffer": as_taken}
    )
    phone.locator("#take + form button").click()
    phone.locator("ul.shots li").wait_for()
    assert len(sent) == 1
    picture = Image.open(BytesIO(sent[0]))
    assert picture.size == (1920, 2560)
    assert not picture.getexif() and PLACE_NAME.encode() not in sent[0]
    assert [(one.width, one.height) for one in served.desk.job(job).state.photographs] == [(1920, 2560)]
