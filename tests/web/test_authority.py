"""The workshop's own certificates, checked by OpenSSL through Python's own client."""

from __future__ import annotations

import socket
import ssl
import stat
import subprocess
import sys
import threading
import time
from collections.abc import Iterator
from contextlib import closing, contextmanager
from datetime import UTC, datetime, timedelta
from pathlib import Path
from urllib.request import urlopen

import pytest
from cryptography import x509

from whitemetal.errors import InputError
from whitemetal.web import authority
from whitemetal.web.authority import Files, fingerprint, prepared

NOW = datetime.now(UTC)
pytestmark = pytest.mark.sqlite_only


def read(path: Path) -> x509.Certificate:
    return x509.load_pem_x509_certificate(path.read_bytes())


@contextmanager
def answering(files: Files) -> Iterator[int]:
    """A TLS server with these files that says good day once to whoever shakes hands."""
    context = ssl.SSLContext(ssl.PROTOCOL_TLS_SERVER)
    context.load_cert_chain(files.certificate, files.key)
    listening = socket.create_server(("127.0.0.1", 0))

    def serve() -> None:
        while True:
            try:
                raw, _ = listening.accept()
                with context.wrap_socket(raw, server_side=True) as one:
                    one.sendall(b"good day")
            except ssl.SSLError:
                continue
            except OSError:
                return

    threading.Thread(target=serve, daemon=True).start()
    with closing(listening):
        yield listening.getsockname()[1]


def said(port: int, name: str, trusted: Path) -> bytes:
    context = ssl.create_default_context(cafile=str(trusted))
    raw = socket.create_connection(("127.0.0.1", port), timeout=60)
    with context.wrap_socket(raw, server_hostname=name) as one:
        return one.recv(20)


@pytest.mark.parametrize("name", ["127.0.0.1", "bench.workshop.local"])
def test_a_device_that_trusts_the_authority_trusts_the_server(tmp_path: Path, name: str) -> None:
    files = prepared(tmp_path, [name], NOW)
    with answering(files) as port:
        assert said(port, name, files.authority) == b"good day"
        with pytest.raises(ssl.SSLCertVerificationError, match=r"match|mismatch"):
            said(port, "other.workshop.local", files.authority)


@pytest.mark.parametrize(
    ("made_for", "rogue"),
    [
        ("bench.workshop.local", "bank.example"),
        ("127.0.0.1", "localhost"),
        ("bench.workshop.local", "127.0.0.1"),
    ],
)
def test_the_authority_can_vouch_for_no_other_site(tmp_path: Path, made_for: str, rogue: str) -> None:
    """Whoever steals its key still cannot stand in for another site on a device that trusts it."""
    files = prepared(tmp_path, [made_for], NOW)
    authority._make_leaf(
        files.certificate, files.key, files.authority, tmp_path / "authority.key", (rogue,), NOW
    )
    with (
        answering(files) as port,
        pytest.raises(ssl.SSLCertVerificationError, match=r"permitted|excluded|subtree"),
    ):
        said(port, rogue, files.authority)


def test_a_leaf_is_valid_for_less_than_398_days_and_keys_are_the_users_own(tmp_path: Path) -> None:
    files = prepared(tmp_path / "kept", ["bench.local", "192.168.1.20"], NOW)
    leaf, above = read(files.certificate), read(files.authority)
    assert leaf.not_valid_after_utc - leaf.not_valid_before_utc < timedelta(days=398)
    basic = above.extensions.get_extension_for_class(x509.BasicConstraints)
    assert basic.critical and basic.value.ca and basic.value.path_length == 0
    assert above.extensions.get_extension_for_class(x509.NameConstraints).critical
    for key in (files.key, tmp_path / "kept" / "authority.key"):
        assert stat.S_IMODE(key.stat().st_mode) == 0o600
    assert stat.S_IMODE((tmp_path / "kept").stat().st_mode) == 0o700


def test_the_same_authority_serves_until_its_names_change_and_leaves_are_renewed(tmp_path: Path) -> None:
    first = prepared(tmp_path, ["bench.local"], NOW)
    mark, leaf = fingerprint(first.authority), fingerprint(first.certificate)
    again = prepared(tmp_path, ["bench.local"], NOW + timedelta(days=10))
    assert (fingerprint(again.authority), fingerprint(again.certificate)) == (mark, leaf)
    later = prepared(tmp_path, ["bench.local"], NOW + timedelta(days=370))
    assert fingerprint(later.authority) == mark and fingerprint(later.certificate) != leaf
    other = prepared(tmp_path, ["press.local"], NOW)
    assert fingerprint(other.authority) != mark
    kept = [path for path in tmp_path.glob("authority-until-*.crt") if fingerprint(path) == mark]
    assert len(kept) == 1, "devices may still hold it"


@pytest.mark.parametrize("name", ["", "two words", "-bench", "a" * 64, "bench..local", "bénch", "*.local"])
def test_a_name_that_is_none_is_asked_back(tmp_path: Path, name: str) -> None:
    with pytest.raises(InputError, match="host name"):
        prepared(tmp_path, [name], NOW)


def test_the_program_serves_https_and_hands_its_authority_out_on_plain_http(tmp_path: Path) -> None:
    with socket.create_server(("127.0.0.1", 0)) as free:
        port = free.getsockname()[1]
    words = ["serve", "--database", str(tmp_path / "plant.db"), "--port", str(port), "--https"]
    with subprocess.Popen(
        [sys.executable, "-m", "whitemetal", *words],
        stdout=subprocess.DEVNULL,
        stderr=subprocess.PIPE,
        text=True,
    ) as running:
        try:
            assert running.stderr is not None
            told = []
            for line in running.stderr:
                told.append(line)
                if line.startswith("Ready"):
                    break
            plain = next(word for line in told for word in line.split() if word.startswith("http://"))
            trusted = tmp_path / "taken.crt"
            until = time.monotonic() + 120
            while not trusted.exists() and time.monotonic() < until:
                try:
                    with urlopen(f"{plain}authority.crt", timeout=30) as answer:
                        der = answer.read()
                    trusted.write_text(ssl.DER_cert_to_PEM_cert(der), encoding="ascii")
                except OSError:
                    time.sleep(0.1)
            context = ssl.create_default_context(cafile=str(trusted))
            with urlopen(f"https://127.0.0.1:{port}/", timeout=60, context=context) as answer:
                assert answer.status == 200 and b"whitemetal" in answer.read()
            with urlopen(plain, timeout=30) as answer:
                page = answer.read().decode()
            assert fingerprint(trusted) in page and "<svg" in page and f"https://127.0.0.1:{port}/" in page
            assert any(fingerprint(trusted) in line for line in told)
        finally:
            running.terminate()
