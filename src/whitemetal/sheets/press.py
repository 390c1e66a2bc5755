"""The press: a sheet's data and pictures into a PDF, through typst, with the fonts the package carries.

The same input gives the same bytes: no clock, no system fonts, no packages from a network.
"""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cache
from importlib import resources
from typing import TYPE_CHECKING, Any, Literal

from whitemetal.words.en.sheet import MESSAGES

if TYPE_CHECKING:
    import typst

Standard = Literal["a-2a", "ua-1"]


def standards(dated: bool) -> list[Standard]:
    """Archive and accessible PDF (ISO 19005-2 level A, ISO 14289-1). An archive PDF must have a date."""
    return ["a-2a", "ua-1"] if dated else ["ua-1"]


@dataclass(frozen=True)
class Part:
    """A sheet inside another one, in a folder of its own: its name, data and pictures as of `press`."""

    folder: str
    sheet: str
    data: Mapping[str, Any]
    pictures: Mapping[str, str]


def press(
    sheet: str,
    data: Mapping[str, Any],
    pictures: Mapping[str, str],
    *,
    parts: Sequence[Part] = (),
) -> bytes:
    """The PDF of a sheet (the name of a file in ``typ``). data: plain JSON values, every text ready to print.

    parts: sheets it includes.
    Text whose letters the fonts lack cannot stand in an archive PDF: then the sheet is made as a plain
    tagged PDF that says so.
    """
    import typst

    whole = Part("", sheet, data, pictures)

    def made(lacking: bool, standard: list[Standard]) -> bytes:
        given: Any = {}
        for part in (whole, *parts):
            given.update(_files(part, lacking))
        pdf: bytes = typst.compile(given, font_paths=_fonts(), pdf_standards=list(standard))
        return pdf

    try:
        return made(False, standards(bool(data["date"])))
    except typst.TypstError as error:
        if "could not be displayed" not in str(error):
            raise
    return made(True, [])


def _files(part: Part, lacking: bool) -> dict[str, bytes]:
    """The files of a sheet, in its folder."""
    data = json.dumps({**part.data, "lacking": lacking}, ensure_ascii=False)
    held = {
        **_sources(part.sheet),
        "data.json": data.encode("utf-8", "replace"),
        "words.json": json.dumps(MESSAGES).encode(),
        **{f"{name}.svg": svg.encode("utf-8", "replace") for name, svg in part.pictures.items()},
    }
    return {f"{part.folder}/{name}" if part.folder else name: file for name, file in held.items()}


@cache
def _sources(sheet: str) -> dict[str, bytes]:
    folder = resources.files("whitemetal.sheets").joinpath("typ")
    return {
        "main.typ": folder.joinpath(f"{sheet}.typ").read_bytes(),
        "frame.typ": folder.joinpath("frame.typ").read_bytes(),
    }


@cache
def _fonts() -> typst.Fonts:
    import typst

    return typst.Fonts(include_system_fonts=False)
