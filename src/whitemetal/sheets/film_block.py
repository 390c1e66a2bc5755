"""What a data sheet says of the oil film; nothing where no film was calculated."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from whitemetal.card import Card
from whitemetal.words import say

if TYPE_CHECKING:
    from whitemetal.fitting.consequence_parts import Consequence


def film_block(film: Consequence | None) -> dict[str, Any] | None:
    """Title, sentence, assumptions, cautions and the alternative texts of the pictures, as plain texts."""
    if film is None:
        return None
    drawn = ["film_window"] if film.gap is None else ["film_window", "film_section", "film_maps"]
    return {
        "title": say("film.page_title"),
        "sentence": film.sentence,
        "warm_up": film.warm_up,
        "assumed_title": say("film.assumed"),
        "said": list(film.said),
        "cautions": list(film.cautions),
        "drawn": drawn,
        "alts": {
            "film_window": say("film.alt_window"),
            "film_section": say("film.alt_section"),
            "film_maps": say("film.alt_maps"),
        },
    }


def film_svgs(card: Card, film: Consequence) -> dict[str, str]:
    """The film's pictures by the names under which the sheet asks for them."""
    from whitemetal.sheets.film_pictures import film_pictures

    made = film_pictures(card, film)
    named = {"film_window": made.window, "film_section": made.section, "film_maps": made.maps}
    return {name: svg for name, svg in named.items() if svg}
