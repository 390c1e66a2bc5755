"""Photographs of a job: attached to the job, a check, a place, a finding or any other entry."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from whitemetal.desk.desk import Desk
from whitemetal.desk.picture_file import Developed, developed
from whitemetal.desk.rows import Kept, Writer
from whitemetal.errors import WhitemetalError
from whitemetal.job.account import Account
from whitemetal.job.photographs import PHOTO, may_attach, moment_of, there
from whitemetal.job.state import Photograph
from whitemetal.ledger.files import KeptFile


class _Here(WhitemetalError):
    """The same photograph of the same thing is here already."""

    def __init__(self, entry: str) -> None:
        super().__init__(entry)
        self.entry = entry


def keep_photograph(
    desk: Desk, job: str, sent: bytes, writer: Writer, *, of: str = "", place: str = "", caption: str = "",
    name: str = "", taken: str = "", id: str | None = None,
) -> Kept:  # fmt: skip
    """Attach a photograph. sent: the file as the camera wrote it. of: id of a check or an entry of this job,
    "" for the job. place: label of a place of that check. name: the file's, for what is said of it. taken:
    when it was taken as the device says (RFC 3339); it counts where the picture itself says nothing.

    The same picture of the same thing again gives the entry that is there; the same picture of something
    else is another entry and the same file. Raises InputError, UnknownBook, CannotWrite.
    """
    picture = developed(sent, name)
    taken = picture.taken or moment_of(taken)
    of, place, caption = of.strip(), place.strip(), caption.strip()

    def ask(account: Account) -> None:
        may_attach(account, of, place, caption)
        before = there(account, picture.file.digest, of, place, caption)
        if before is not None:
            raise _Here(before.id)

    desk.files.keep(picture.file)
    try:
        return desk.write(job, PHOTO, _body(picture, of, place, caption, taken), writer, id=id, ask=ask)
    except _Here as here:
        return Kept(next(one for one in desk.kept_of(job, PHOTO) if one.id == here.entry))


def _body(picture: Developed, of: str, place: str, caption: str, taken: str) -> Mapping[str, Any]:
    return {
        "digest": picture.file.digest, "of": of, "place": place, "caption": caption, "taken": taken,
        "media": picture.file.media, "size": len(picture.file.content), "width": picture.width,
        "height": picture.height,
    }  # fmt: skip


def photographs(desk: Desk, job: str) -> tuple[tuple[Photograph, KeptFile | None], ...]:
    """The photographs of a job that nobody struck, in the order of the links, each with its file; None where
    the entry came from elsewhere and its file has not come yet. Raises ChainBroken on an altered file."""
    found = (one for one in desk.job(job).state.photographs if not one.struck)
    return tuple((one, desk.files.of(one.digest)) for one in found)
