"""The examples of docs/film.md run, and give what the text beside them says."""

from __future__ import annotations

import contextlib
import io
import re

import pytest

from tools import source

PAGE = (source.ROOT / "docs" / "film.md").read_text(encoding="utf-8")
CARD, GAP = re.findall(r"^```python\n(.*?)^```$", PAGE, re.MULTILINE | re.DOTALL)


def printed(example: str) -> str:
    """What an example prints."""
    out = io.StringIO()
    with contextlib.redirect_stdout(out):
        exec(compile(example, "film.md", "exec"), {"__name__": "__page__"})
    return out.getvalue()


def test_a_thinner_oil_runs_cooler_on_less_film() -> None:
    (film, hot), (thinner, cooler) = re.findall(r"(\d+) µm, (\d+) °C", printed(CARD))
    assert int(thinner) < int(film) and int(cooler) < int(hot) == 68


def test_a_gap_of_your_own() -> None:
    """S = 0.121 at e 0.6, L/D 1: Raimondi & Boyd (1958)."""
    first, second = printed(GAP).splitlines()
    (number,) = re.findall(r"S = ([\d.]+)", first)
    assert float(number) == pytest.approx(0.121, rel=0.01)
    assert "contact False" in second


def test_every_option_named_exists() -> None:
    from whitemetal.cli.options import parser

    named = set(re.findall(r"`(--[a-z-]+)", PAGE)) | {"--json"}
    words = ["film", "c.toml"]
    for option in sorted(named - {"--json", "--rotation"}):
        words += [option, "1"]
    assert vars(parser().parse_args(words)).keys() >= {each[2:].replace("-", "_") for each in named}
