"""Signing a torque: a new revision of the bearing's card, with its source and who signed it."""

from __future__ import annotations

from collections.abc import Mapping

from whitemetal.card import card_from_texts, texts_of, write_card
from whitemetal.closing.proposal import signed
from whitemetal.desk.desk import Desk
from whitemetal.desk.rows import KeptCard, Writer
from whitemetal.errors import InputError, Problem
from whitemetal.words import say


def sign_torque(
    desk: Desk, bearing: str, revision: str, texts: Mapping[str, str], writer: Writer
) -> KeptCard:
    """Keep a revision of the card with the torque an engineer signs. revision: the one that was looked at; on
    another one nothing is kept. Raises InputError, CardError, UnknownBook."""
    card = desk.bearing(bearing).card
    if card.digest != revision:
        raise InputError(Problem(say("closing.f_card"), revision[:8], say("closing.card_moved")))
    changed = {**texts_of(card), **signed(texts, card)}
    return desk.keep_card(write_card(card_from_texts(changed)), writer)
