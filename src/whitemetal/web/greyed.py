"""Forms that are not for whoever looks: greyed on the page, with the reason once at its top.

The gate refuses what is sent all the same; a form that would be refused should say so before anything is
typed into it.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from functools import reduce
from html import escape, unescape

from whitemetal.words import say

_FORM = re.compile(r'(<form\b(?=[^>]*\bmethod="post")[^>]*\baction="([^"]*)"[^>]*>)(.*?)(</form>)', re.DOTALL)
_MAIN = re.compile(r"<main\b[^>]*>")


def greyed(html: str, lacking: Callable[[str], str]) -> str:
    """A page or a part of one, its forms greyed where something is lacking to send them.

    lacking: what one may not do who sends a form to this path, in words; "" where nothing is lacking."""
    found: dict[str, None] = {}

    def one(form: re.Match[str]) -> str:
        lacks = lacking(unescape(form[2]).partition("?")[0].partition("#")[0])
        if not lacks:
            return form[0]
        found[lacks] = None
        return f'{form[1]}<fieldset class="greyed" disabled>{form[3]}</fieldset>{form[4]}'

    made = _FORM.sub(one, html)
    if not found:
        return made
    lacks = reduce(lambda one, other: say("web.greyed_or", one=one, other=other), found)
    told = escape(say("web.greyed", lacks=lacks))
    return _MAIN.sub(rf'\g<0><p class="finding hold" role="note">{told}</p>', made, count=1)
