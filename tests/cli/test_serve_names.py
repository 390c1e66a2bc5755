"""serve looks at names and certificate before it opens a record."""

from __future__ import annotations

import socket
from datetime import UTC, datetime
from pathlib import Path

import pytest

from whitemetal.__main__ import check_names, listen
from whitemetal.cli.options import parser
from whitemetal.errors import InputError
from whitemetal.web.authority import prepared


def asked(*typed: object) -> None:
    check_names(parser().parse_args(["serve", *map(str, typed)]))


@pytest.mark.parametrize("name", ["a b", "https://bench.local", "bench.local:8443", "-x.local", ""])
def test_a_name_that_cannot_be(name: str) -> None:
    with pytest.raises(InputError, match=r"--name: .* expected a host name or an address"):
        asked(f"--name={name}")


@pytest.mark.parametrize("name", ["bench.workshop.local", "10.2.0.5", "[fe80::1]", "Bench"])
def test_a_name_that_can_be(name: str) -> None:
    asked("--name", name)


def test_a_certificate_needs_the_key_that_belongs_to_it(tmp_path: Path) -> None:
    now = datetime.now(UTC)
    ours, others = (prepared(tmp_path / one, ["bench.local"], now) for one in "ab")
    asked("--certificate", ours.certificate, "--key", ours.key)
    for typed, said in (
        (("--certificate", ours.certificate), "--key: nothing was typed; expected a certificate and its key"),
        (("--key", ours.key), "--certificate: nothing was typed; expected a certificate and its key"),
        (("--certificate", tmp_path / "no.crt", "--key", ours.key), "no.crt.* expected a PEM file"),
        (("--certificate", ours.certificate, "--key", tmp_path / "no.key"), "--key: .*no.key.* a PEM file"),
        (("--certificate", ours.certificate, "--key", others.key), "--certificate: .*values mismatch"),
        (("--certificate", ours.key, "--key", ours.key), "--certificate: .* the unlocked key that belongs"),
    ):
        with pytest.raises(InputError, match=said):
            asked(*typed)


def test_on_every_address_a_name_is_needed_for_https() -> None:
    asked("--https", "--host", "0.0.0.0", "--name", "bench.local")
    with pytest.raises(InputError, match="--name: nothing was typed; expected the name or address"):
        asked("--https", "--host", "0.0.0.0")


def test_behind_a_proxy_no_other_port_is_taken() -> None:
    """The proxy asks at one port: a server that moves to the next one is not found, or found for another."""
    said: list[str] = []
    with socket.socket() as held:
        held.bind(("127.0.0.1", 0))
        held.listen()
        port = held.getsockname()[1]
        with pytest.raises(InputError, match=f'--port: "{port}" was typed; expected a port that is free'):
            listen("127.0.0.1", port, said.append, only=True)
    assert said == []
