"""Every reader of files from outside, fed with true files that were spoiled and with bytes that are none: each
reads, or refuses in words; none breaks, hangs or fills the memory."""

from __future__ import annotations

import io
import random
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from typing import Any

import pytest
from hypothesis import HealthCheck, example, given, settings
from hypothesis import strategies as st
from PIL import Image

from tests.attack.conftest import ROUNDS
from tests.attack.test_forms import HOSTILE
from tests.web.plant import CARD
from whitemetal import units
from whitemetal.card import read_card
from whitemetal.closing.run_in.logger_file import decoded
from whitemetal.closing.run_in.logger_propose import propose
from whitemetal.desk.picture_file import developed
from whitemetal.desk.spreadsheet import rows_of
from whitemetal.errors import InputError, WhitemetalError
from whitemetal.gauging import METHODS
from whitemetal.gauging.readings_file import blank_csv, blank_toml, read_csv, read_toml
from whitemetal.job.old_paper import Answers, brought
from whitemetal.job.procedure.plant import read_plant
from whitemetal.web.doors import LOG

TRUE = read_card(CARD)
ANSWERS = Answers(unit="mm", basis="diametral", method="wire", source="binder 4 (invented)",
                  dates="year-month-day", decimals="as it stands")  # fmt: skip
ODD = (
    *HOSTILE, "[", "]", "[[", "{", "}", "=", "'''", '"""', "a.b.c = 1", "[limit]", "[[limit]]", "1e400",
    "0x" + "f" * 3000, "9" * 6000, "1979-05-27T07:32:00Z", "inf", "nan", "-nan", "[" * 3000, "{a=" * 2000,
    ("a." * 3000) + "b = 1", ";" * 5000, "\x00", "\ud7ff", "\r", '"', "\u2028",
)  # fmt: skip
PROCEDURE = """\
format = "whitemetal.procedure/1"
signed_by = "Eva Invented"

[[drop]]
step = "strip.drained"
why = "drained by the lubrication crew"
"""


def picture() -> bytes:
    out = io.BytesIO()
    Image.new("RGB", (64, 48), (120, 90, 60)).save(out, "JPEG")
    return out.getvalue()


@contextmanager
def within_seconds(most: float) -> Iterator[None]:
    """What grows with the square of the text takes a minute of these, so a second is far from both."""
    begun = time.process_time()
    yield
    assert time.process_time() - begun < most


def spoiled(true: bytes, dice: random.Random) -> bytes:
    """A true file with some of it exchanged, doubled, taken out or made odd."""
    data = true
    for _ in range(dice.randint(1, 5)):
        what, at = dice.randint(0, 4), dice.randint(0, len(data))
        if what == 0:
            data = data[:at] + dice.choice(ODD).encode("utf-8", "surrogatepass") + data[at:]
        elif what == 1:
            data = data[:at] + data[at + dice.randint(1, 40) :]
        elif what == 2:
            data = data[:at] + dice.randbytes(dice.randint(1, 6)) + data[at:]
        elif what == 3:
            data = data[:at] + data[dice.randint(0, len(data)) :][:300] + data[at:]
        else:
            lines = data.split(b"\n")
            lines[dice.randrange(len(lines))] = b"x = " + dice.choice(ODD).encode("utf-8", "surrogatepass")
            data = b"\n".join(lines)
    return data


def logger(data: bytes) -> None:
    propose(decoded(data)[0])


def readers() -> dict[str, tuple[bytes, Callable[[bytes], Any]]]:
    wire, bore = METHODS["wire"], METHODS["contact"]
    return {
        "card": (CARD.encode(), read_card),
        "readings TOML": (blank_toml(TRUE, wire).encode(), lambda data: read_toml(data, TRUE, wire)),
        "readings CSV": (blank_csv(TRUE, wire).encode(), lambda data: read_csv(data, TRUE, wire)),
        "contact TOML": (blank_toml(TRUE, bore).encode(), lambda data: read_toml(data, TRUE, bore)),
        "procedure": (PROCEDURE.encode(), lambda data: read_plant(data.decode("utf-8", "replace"))),
        "logger CSV": (LOG.encode(), logger),
        "old paper": (b"date;as found\n2008-04-02;0.310\n", lambda data: list(rows_of(data))),
        "photograph": (picture(), developed),
    }


READERS = readers()


@pytest.mark.parametrize("name", READERS)
def test_a_true_file_is_read(name: str) -> None:
    true, read = READERS[name]
    read(true)


@pytest.mark.parametrize("name", READERS)
def test_a_spoiled_file_is_read_or_refused_in_words(name: str) -> None:
    (true, read), dice, said = READERS[name], random.Random(f"{name} {ROUNDS}"), list[str]()
    for _ in range(60 * max(1, ROUNDS)):
        data = spoiled(true, dice)
        try:
            read(data)
        except WhitemetalError as bad:
            said.append(str(bad))
        except Exception as broke:
            pytest.fail(f"{type(broke).__name__}: {broke}\n{data[:400]!r}")
    assert all(said)


@pytest.mark.parametrize("name", READERS)
def test_any_bytes_are_read_or_refused_in_words(name: str) -> None:
    (_, read), said = READERS[name], list[str]()

    @settings(
        max_examples=40 * max(1, ROUNDS),
        database=None,
        deadline=None,
        suppress_health_check=list(HealthCheck),
    )
    @example(b"")
    @example(b"\xff\xfe\x00")
    @example(b"[" * 20_000)
    @example(b"a = " + b"{a=" * 5000)
    @example(b"x = " + b"9" * 20_000)
    @given(
        st.one_of(
            st.binary(max_size=400), st.text(max_size=400).map(lambda text: text.encode("utf-8", "replace"))
        )
    )
    def read_any(data: bytes) -> None:
        try:
            read(data)
        except WhitemetalError as bad:
            said.append(str(bad))

    read_any()
    assert all(said)


@pytest.mark.parametrize("text", [
    "1x" + " " * 50_000 + "y", "9" * 50_000, "1" + " x" * 30_000, " " * 50_000 + "1", "1 mm" + " " * 50_000,
], ids=["blanks within", "digits", "words", "blanks before", "blanks after"])  # fmt: skip
def test_a_number_too_long_to_be_one_is_refused_at_once(text: str) -> None:
    with within_seconds(1.0), pytest.raises(InputError) as bad:
        units.read(text, "length", field="reading", default_unit="mm")
    assert bad.value.problems[0].typed == text


def test_a_header_of_brackets_is_read_at_once() -> None:
    with within_seconds(1.0):
        assert read_csv("[" * 20_000 + ",place", TRUE, METHODS["wire"]).problems
    with within_seconds(1.0):
        assert brought([(1, ["(" * 20_000, "date"]), (2, ["x", "2008-04-02"])], ANSWERS, TRUE).problems
