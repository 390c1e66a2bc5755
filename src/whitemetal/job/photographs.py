"""The photographs of a job: what each is of, when it was taken, and who struck it.

The picture itself lies beside the entries under the digest of its content; the entry says what it shows.
"""

from __future__ import annotations

import re
from datetime import datetime

from whitemetal.errors import InputError, Problem
from whitemetal.inspect.looks import LOOKS
from whitemetal.job import asking
from whitemetal.job.account import Account, Written
from whitemetal.job.state import CheckState, Damage, JobState, Photograph
from whitemetal.job.typed import method_or_none
from whitemetal.words import say

PHOTO = "photo/1"
EARLIEST = 1990
"""A year before which no camera of today says it took a picture. Our own."""

_MOMENT = re.compile(r"(\d{4}-\d\d-\d\dT\d\d:\d\d:\d\d)(?:\.\d+)?(Z|[+-]\d\d:\d\d)?")
LONGEST_CAPTION = 400
"""Letters of a caption that are accepted. Our own."""


def photographs_of(account: Account) -> tuple[Photograph, ...]:
    """The photographs of a job in the order of the links, struck ones among them."""
    return tuple(_photograph(account, one) for one in account.all(PHOTO))


def _photograph(account: Account, one: Written) -> Photograph:
    width, height = (one.body.get(name) for name in ("width", "height"))
    return Photograph(
        one.id, one.text("digest"), one.text("of"), one.text("place"), one.text("caption"),
        one.text("taken"), one.by, one.at, width if isinstance(width, int) else 0,
        height if isinstance(height, int) else 0, account.struck_words(one.id),
    )  # fmt: skip


def may_attach(account: Account, of: str, place: str, caption: str) -> None:
    """Raises InputError unless what a photograph is of is there: an entry or check of the job, and the place
    one of that check's."""
    if of and of not in account.ids:
        raise InputError(Problem("of", of, say("photo.of")))
    if place and place not in asking.begun(account, of).places:
        places = ", ".join(asking.begun(account, of).places)
        raise InputError(Problem("place", place, say("ledger.one_of", choices=places)))
    if len(caption) > LONGEST_CAPTION:
        raise InputError(Problem("caption", caption, say("photo.caption_long", most=LONGEST_CAPTION)))


def moment_of(text: str) -> str:
    """A time as a device says it, without its thousandths. Raises InputError unless it is RFC 3339."""
    found = _MOMENT.fullmatch(text.strip())
    try:
        if found is not None and datetime.fromisoformat(found[1]).year >= EARLIEST:
            return found[1] + (found[2] or "")
    except ValueError:
        pass
    if not text.strip():
        return ""
    raise InputError(Problem("taken", text, say("photo.moment")))


def there(account: Account, digest: str, of: str, place: str, caption: str) -> Written | None:
    """The photograph that says the same already: this picture of this thing, under this caption or with none
    typed now. None when there is none, or it was struck."""
    held = [one for one in account.all(PHOTO, of) if one.text("digest") == digest]
    held = [one for one in held if one.text("place") == place and not account.strikes_of(one.id)]
    return next((one for one in held if caption in ("", one.text("caption"))), None)


def shows(state: JobState, one: Photograph) -> str:
    """What a photograph shows, in words."""
    what = dict(may_be_of(state)).get(one.of, "") or say("photo.of_entry")
    return say("photo.at", what=what, place=one.place) if one.place else what


def may_be_of(state: JobState) -> tuple[tuple[str, str], ...]:
    """What a photograph of this job may be of: id and words. "" is the job as a whole."""
    checks = ((one.check, _check_in_words(one)) for one in state.checks.values())
    changes = ((one.entry, say("photo.of_change", what=one.what, text=one.text)) for one in state.fit_changes)
    damage = ((one.entry, _damage_in_words(one)) for one in state.damage)
    notes = ((one.entry, say("photo.of_note", text=one.text)) for one in state.notes)
    return (("", say("photo.of_job")), *checks, *damage, *changes, *notes)


def _check_in_words(check: CheckState) -> str:
    method = method_or_none(check.method)
    return f"{method.title if method is not None else check.method}, {check.purpose}"


def _damage_in_words(one: Damage) -> str:
    look = LOOKS.get(one.look)
    name = look.name if look is not None else one.look
    return say("photo.of_damage", what=f"{name}, {one.text}" if one.text else name)
