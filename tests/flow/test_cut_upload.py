"""A photograph whose connection breaks: in the middle of it, or before the answer. It stays, and is kept once."""

from __future__ import annotations

import socket
import threading
from collections.abc import Callable, Iterator
from contextlib import suppress
from io import BytesIO
from pathlib import Path
from typing import TYPE_CHECKING
from urllib.parse import urlsplit

import numpy as np
import pytest
from PIL import Image

from tests.flow.conftest import OWNER, Served
from tests.flow.hands import only_here, turned

if TYPE_CHECKING:
    from playwright.sync_api import Page

pytestmark = pytest.mark.browser
ENOUGH = 60_000
"""Bytes of one request, of about 300,000, after which the wire is cut."""


class Wire:
    """A wire to a server that is cut, as long as asked for, while a large request goes through it or before
    its answer comes back, or when so many requests of one kind have gone through. A browser tries again by itself
    first."""

    def __init__(self, to: str) -> None:
        self.to = urlsplit(to)
        self.cut = ""
        self.cuts: list[str] = []
        self.ask, self.asks, self.asked = b"", 0, 0
        self.ends: list[socket.socket] = []
        self.listener = socket.create_server(("127.0.0.1", 0))
        self.at = f"http://127.0.0.1:{self.listener.getsockname()[1]}"
        threading.Thread(target=self._accept, daemon=True).start()

    def close(self) -> None:
        for one in (self.listener, *self.ends):
            with suppress(OSError):
                one.shutdown(socket.SHUT_RDWR)
            one.close()

    def _accept(self) -> None:
        with suppress(OSError):
            while True:
                near, _ = self.listener.accept()
                far = socket.create_connection((self.to.hostname or "", self.to.port or 0))
                self.ends += [near, far]
                passed = [0]
                for way in ((near, far, "out"), (far, near, "back")):
                    threading.Thread(target=self._pass_on, args=(*way, passed), daemon=True).start()

    def _cuts(self, way: str, text: bytes, passed: int) -> bool:
        if way == "out" and self.asks and self.ask:
            self.asked += text.count(self.ask)
            if self.asked > self.asks:
                self.cuts.append("asked")
                return True
        if self.cut != way or passed <= ENOUGH:
            return False
        self.cuts.append(way)
        return True

    def _pass_on(self, one: socket.socket, other: socket.socket, way: str, passed: list[int]) -> None:
        with suppress(OSError):
            while text := one.recv(16_384):
                if way == "out":
                    passed[0] += len(text)
                if self._cuts(way, text, passed[0]):
                    break
                other.sendall(text)
        for end in (one, other):
            with suppress(OSError):
                end.shutdown(socket.SHUT_RDWR)


@pytest.fixture
def wire(served: Served) -> Iterator[Wire]:
    one = Wire(served.at)
    yield one
    one.close()


def noise(tmp_path: Path, seed: int) -> str:
    """A picture that cannot be made small."""
    picture = np.random.default_rng(seed).integers(0, 255, (500, 700, 3), np.uint8)
    held = BytesIO()
    Image.fromarray(picture).save(held, "JPEG", quality=90)
    at = tmp_path / f"joint-{seed}.jpg"
    at.write_bytes(held.getvalue())
    return str(at)


def test_a_photograph_whose_upload_is_cut_stays_and_is_sent_again_and_kept_once(
    served: Served, wire: Wire, window: Callable[..., Page], tmp_path: Path
) -> None:
    job = served.desk.open_job(served.bearing, "W-1", "", OWNER)
    phone = window(360, 740, has_touch=True, is_mobile=True)
    phone.goto(f"{wire.at}/jobs/{job}/photographs")
    phone.locator("#who-name").fill("Tove Invented")
    with turned(phone):
        phone.locator("form.who button").last.click()
    for seed, way in enumerate(("out", "back")):
        phone.goto(f"{wire.at}/jobs/{job}/photographs")
        phone.locator("#photograph").set_input_files(noise(tmp_path, seed))
        phone.locator("#caption").fill(f"cut on the way {way}")
        wire.cut = way
        phone.locator("form.big-fields button").click()
        phone.locator("form.big-fields .kept-here").wait_for()
        assert wire.cuts[-1] == way, "the wire was cut in the middle of it"
        only_here(phone, 1)
        kept = [one.caption for one in served.desk.job(job).state.photographs]
        assert len(kept) == (0, 2)[seed], "what was kept although no answer came is there"
        wire.cut = ""
        only_here(phone, 0)
        kept = [one.caption for one in served.desk.job(job).state.photographs]
        assert kept == ["cut on the way out", "cut on the way back"][: seed + 1]
    digests = {one.digest for one in served.desk.job(job).state.photographs}
    assert len(digests) == 2 and served.desk.verify() == ()
