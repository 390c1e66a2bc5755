"""Signing a torque: a new revision of the bearing's card, with its source and who signed it."""

from __future__ import annotations

from collections.abc import Mapping

from whitemetal.card import card_from_texts, texts_of, write_card
from whitemetal.closing.proposal import signed
from whitemetal.desk.desk import Desk
from whitemetal.desk.rows import KeptCard, Writer
from whitemetal.job.asking import card_moved


def sign_torque(
    desk: Desk, bearing: str, revision: str, texts: Mapping[str, str], writer: Writer
) -> KeptCard:
    """Keep a revision of the card with the torque an engineer signs. revision: the one that was looked at; on
    another one nothing is kept. Raises InputError, CardError, UnknownBook."""
    if revision not in {one.digest for one in desk.bearing(bearing).revisions}:
        raise card_moved(revision)
    card = desk.card(revision)
    changed = {**texts_of(card), **signed(texts, card)}
    return desk.keep_card(write_card(card_from_texts(changed)), writer, upon=revision)
