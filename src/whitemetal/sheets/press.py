"""The press: a sheet's data and pictures into a PDF, through typst, with the fonts the package carries.

The same input gives the same bytes: no clock, no system fonts, no packages from a network.
"""

from __future__ import annotations

import json
from collections.abc import Mapping
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


def press(sheet: str, data: Mapping[str, Any], pictures: Mapping[str, str]) -> bytes:
    """The PDF of a sheet (the name of a file in ``typ``). data: plain JSON values, every text ready to print.

    Text whose letters the fonts lack cannot stand in an archive PDF: then the sheet is made as a plain
    tagged PDF that says so.
    """
    import typst

    try:
        return _compile(sheet, {**data, "lacking": False}, pictures, standards(bool(data["date"])))
    except typst.TypstError as error:
        if "could not be displayed" not in str(error):
            raise
    return _compile(sheet, {**data, "lacking": True}, pictures, [])


def _compile(
    sheet: str, data: Mapping[str, Any], pictures: Mapping[str, str], standard: list[Standard]
) -> bytes:
    import typst

    files: Any = {
        **_sources(sheet),
        "data.json": json.dumps(data, ensure_ascii=False).encode("utf-8", "replace"),
        "words.json": json.dumps(MESSAGES).encode(),
        **{f"{name}.svg": svg.encode("utf-8", "replace") for name, svg in pictures.items()},
    }
    made: bytes = typst.compile(files, font_paths=_fonts(), pdf_standards=list(standard))
    return made


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
