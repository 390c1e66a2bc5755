"""What a person probably meant: the nearest known word to one that is not known."""

from __future__ import annotations

import difflib
from collections.abc import Iterable

from whitemetal.words import say

UNKNOWN_KEY = ("card.unknown_key", "card.unknown_key_near")
UNKNOWN_TABLE = ("card.unknown_table", "card.unknown_table_near")
CHOICE = ("card.choice", "card.choice_near")

_MEANT: dict[str, str] = {
    "journal_radius": "radius", "radius": "radius", "diameter": "journal_diameter", "bore": "profile",
    "journal": "journal_diameter", "width": "length", "min": "minimum", "max": "maximum", "rpm": "speed",
    "type": "kind", "shim": "filling", "gasket": "filling", "bolts": "count", "nuts": "count",
    "number": "tag", "rev": "revision", "source": "document", "side": "view_from",
}  # fmt: skip


def nearest_key(key: str, keys: tuple[str, ...]) -> str:
    """What was expected in place of an unknown key of a table."""
    meant = _MEANT.get(key, "")
    if meant == "radius" and "journal_diameter" in keys:
        return say("card.radius_key")
    if meant in keys:
        return say("card.unknown_key_near", near=meant, known=", ".join(keys))
    return nearest_of(key, keys, UNKNOWN_KEY)


def nearest_of(word: str, known: Iterable[str], messages: tuple[str, str]) -> str:
    """The first of two messages, or the second when a known word is close to the one typed."""
    known = tuple(known)
    near = difflib.get_close_matches(word.casefold(), [each.casefold() for each in known], n=1, cutoff=0.6)
    if near:
        meant = next(each for each in known if each.casefold() == near[0])
        return say(messages[1], near=meant, known=", ".join(known))
    return say(messages[0], known=", ".join(known))
