"""A torque signed onto the card: sent again it is there once, and it undoes nothing that came between."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from tests.ledger.writing import ANN, BO, a_desk
from tests.web.test_close_up import ASKED, BARE
from whitemetal.desk import Desk
from whitemetal.desk.sending import sending
from whitemetal.desk.torque import sign_torque
from whitemetal.errors import InputError

SIGNED = {**ASKED, "torque": "600 N m", "signed_by": "Eva Invented"}


@pytest.fixture
def desk(tmp_path: Path) -> Iterator[Desk]:
    opened = a_desk(tmp_path / "record.sqlite3")
    yield opened
    opened.close()


def test_a_torque_sent_again_is_signed_once(desk: Desk) -> None:
    first = desk.keep_card(BARE, ANN)
    for _ in range(2):
        with sending("a torque, its answer lost"):
            kept = sign_torque(desk, first.bearing, first.digest, SIGNED, ANN)
            assert kept.digest == desk.bearing(first.bearing).card.digest
    assert len(desk.bearing(first.bearing).revisions) == 2
    assert desk.bearing(first.bearing).card.fasteners.torque == 600.0


def test_a_torque_undoes_nothing_that_another_changed_while_it_was_signed(
    desk: Desk, monkeypatch: pytest.MonkeyPatch
) -> None:
    first = desk.keep_card(BARE, ANN)
    keep = desk.keep_card
    other = BARE.replace('length = "140 mm"', 'length = "141 mm"')

    def overtaken(*given: object, **named: object) -> object:
        monkeypatch.setattr(desk, "keep_card", keep)
        keep(other, BO)
        return keep(*given, **named)  # type: ignore[arg-type]

    monkeypatch.setattr(desk, "keep_card", overtaken)
    with pytest.raises(InputError, match="changed meanwhile"):
        sign_torque(desk, first.bearing, first.digest, SIGNED, ANN)
    assert desk.bearing(first.bearing).card.bearing.length == pytest.approx(0.141)
    with pytest.raises(InputError, match="changed meanwhile"):
        sign_torque(desk, first.bearing, "of another card", SIGNED, ANN)
