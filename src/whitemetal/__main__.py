"""Joins the faces: the command line, and the pages it serves."""

from __future__ import annotations

import argparse
import errno
import gc
import os
import signal
import socket
import sys
from contextlib import suppress
from dataclasses import dataclass
from datetime import UTC, datetime
from ipaddress import ip_network
from pathlib import Path
from typing import TYPE_CHECKING, Any

from whitemetal.errors import InputError, Problem
from whitemetal.words import say

if TYPE_CHECKING:
    from collections.abc import Callable

    import uvicorn
    from fastapi import FastAPI

    from whitemetal.desk import Desk
    from whitemetal.desk.provider import Provider

EVERYWHERE = ("0.0.0.0", "::")
"""Hosts that listen on every address: no other machine can open a page by them."""

NOBODYS = ("192.0.2.1", 9)
"""An address that belongs to nobody (RFC 5737), to see by which of its own this machine would reach it."""

PORTS_TRIED = 20
"""How many ports after the first are tried where it is taken. Our own."""

CIPHERS = "ECDHE+AESGCM:ECDHE+CHACHA20"
"""For TLS 1.2, as OpenSSL names them: forward secrecy and authenticated encryption only."""

LAST_ANSWERS = 5
"""Seconds that answers being given have when the program is stopped. Our own."""

PROVIDER = "WHITEMETAL_PROVIDER"
"""Variable with the file that names the plant's own provider, where no option does."""

TURNS = 0.0005
"""Seconds after which one thread lets another have the interpreter, a tenth of Python's own: who holds the
record's lock comes back from the database at each step and must not wait behind those that reckon.
Our own."""

SELDOM = 50
"""Collections of the middle generation to one of everything, five times Python's own number. Our own."""

KEPT_OPEN = 75
"""Seconds a connection stays open between two readings: a person measures a wire in less. Our own."""

THIS_MACHINE = ("127.0.0.1", "localhost", "::1")


def main() -> int:
    """The program ``whitemetal``. Returns the exit status."""
    from whitemetal.cli import run

    return run(sys.argv[1:], serve)


def serve(options: argparse.Namespace) -> int:
    """Serve the pages until stopped. Every step is told on standard error before it is taken."""
    from whitemetal.cli.record import make_demo
    from whitemetal.cli.screen import progress, progress_done
    from whitemetal.ledger.postgres import shown

    behind = proxies(options.proxy)
    check_names(options)
    listening = listen(options.host, options.port, progress, only=bool(behind))
    before = signal.signal(signal.SIGTERM, _stop)
    try:
        if options.demo and not options.read_only and _nothing_in(options.database):
            make_demo(options.database)
        progress(say("terminal.serve_opening", name=shown(options.database)))
        from whitemetal.desk import Desk

        desk = Desk.open(options.database, read_only=options.read_only)
        try:
            progress(say("terminal.serve_loading"))
            from whitemetal.web.app import make_app

            certified = _certified(options)
            address = _address(options, listening, certified)
            demand = bool(options.accounts or options.proxy or options.host not in THIS_MACHINE)
            if not desk.writable:
                progress_done(say("terminal.serve_reading"))
            provider = _provider(options, progress_done)
            if demand or provider is not None:
                _say_who_signs_in(desk, options, certified, address, progress_done)
            app = make_app(desk, options.name, demand=demand, provider=provider)
            server = _server(app, certified, behind, lambda: _ready(address, options.open, progress_done))
            _hand_out(options, certified, address, progress_done)
            with suppress(KeyboardInterrupt):
                server.run(sockets=[listening])
            progress_done(say("terminal.stopped"))
        finally:
            desk.close()
    finally:
        listening.close()
        signal.signal(signal.SIGTERM, before)
    return 0


def _provider(options: argparse.Namespace, tell: Callable[[str], None]) -> Provider | None:
    """The plant's own provider to sign in by, None where none is named. Raises InputError."""
    file = options.provider or os.environ.get(PROVIDER, "")
    if not file:
        return None
    from whitemetal.desk.provider import opened

    found = opened(file)
    tell(say("provider.ready", name=found.settings.name, back=found.settings.back))
    return found


def _say_who_signs_in(
    desk: Desk, options: argparse.Namespace, certified: Certified | None, address: str,
    tell: Callable[[str], None],
) -> None:  # fmt: skip
    """How the first account is opened, where there is none; that passwords can be read, where they can."""
    from whitemetal.desk.people import first_code

    if certified is None and options.host not in THIS_MACHINE:
        tell(say("people.plain_http"))
    if not desk.writable:
        return
    code = first_code(desk)
    if code:
        tell(say("people.first_here", address=address, code=code))


def _nothing_in(where: str) -> bool:
    """Whether there is no such file, or nothing in the database, so that the demo may go in."""
    if "://" not in where:
        return not Path(where).exists()
    from whitemetal.desk import Desk

    desk = Desk.open(where)
    try:
        return not desk.plant()
    finally:
        desk.close()


def _stop(number: int, frame: object) -> None:
    """SIGTERM stops the program as Ctrl+C does, so that the record is closed."""
    raise KeyboardInterrupt


def listen(host: str, port: int, tell: Callable[[str], object], *, only: bool = False) -> socket.socket:
    """A listening socket on the port or, where it is taken, on the next free one. only: on that one, for a
    proxy asks nowhere else. Raises InputError."""
    if not 0 <= port <= 65535:
        raise InputError(Problem("--port", str(port), say("terminal.serve_port_range")))
    last = port if only else min(port + PORTS_TRIED, 65535) if port else 0
    for tried in range(port, last + 1):
        try:
            return _bound(host, tried)
        except OSError as bad:
            if bad.errno != errno.EADDRINUSE:
                reason = (bad.strerror or type(bad).__name__).lower()
                field = "--port" if bad.errno == errno.EACCES else "--host"
                typed = str(port) if bad.errno == errno.EACCES else host
                raise InputError(Problem(field, typed, say("terminal.serve_host", reason=reason))) from None
            if tried < last:
                tell(say("terminal.serve_port", port=tried, other=tried + 1))
    raise InputError(Problem("--port", str(port), say("terminal.serve_no_port", port=port, last=last)))


def _bound(host: str, port: int) -> socket.socket:
    family = socket.AF_INET6 if ":" in host else socket.AF_INET
    made = socket.socket(family, socket.SOCK_STREAM, socket.IPPROTO_TCP)  # named, or answers wait for 40 ms
    try:
        made.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        made.bind((host, port))
        made.listen(128)
    except BaseException:
        made.close()
        raise
    return made


@dataclass(frozen=True)
class Certified:
    """What https is served with. authority: the workshop's own, None with an operator's certificate."""

    certificate: str
    key: str
    names: tuple[str, ...]
    authority: Path | None = None


def _certified(options: argparse.Namespace) -> Certified | None:
    """The certificate to serve with, made where it is asked for and missing; None for plain http."""
    if options.certificate:
        return Certified(options.certificate, options.key, tuple(options.name))
    if not options.https:
        return None
    from whitemetal.web.authority import prepared

    names = options.name or [options.host]
    made = prepared(Path(_beside(options.database)), names, datetime.now(UTC))
    return Certified(str(made.certificate), str(made.key), made.names, made.authority)


def _beside(database: str) -> str:
    """The folder of certificates: beside a file, in the present folder for a database's address."""
    return "whitemetal.https" if "://" in database else f"{database}.https"


def _hand_out(
    options: argparse.Namespace, certified: Certified | None, address: str, tell: Callable[[str], None]
) -> None:
    """Serve the workshop's authority on plain http, on the next free port, in a thread of its own."""
    if certified is None or certified.authority is None:
        return
    import threading

    import uvicorn

    from whitemetal.web.arriving import Patient
    from whitemetal.web.authority import fingerprint
    from whitemetal.web.trust import make_trust_app

    port = int(address.rsplit(":", 1)[1].rstrip("/"))
    beside = listen(options.host, port + 1, tell)
    plain = _address(options, beside, None)
    app = make_trust_app(certified.authority, address, plain)
    manners: dict[str, Any] = {"http": Patient, "proxy_headers": False, "server_header": False}
    config = uvicorn.Config(app, log_level="warning", access_log=False, lifespan="off", **manners)
    other = uvicorn.Server(config)
    threading.Thread(target=other.run, kwargs={"sockets": [beside]}, daemon=True).start()
    tell(say("authority.ready", address=plain))
    tell(say("authority.fingerprint", fingerprint=fingerprint(certified.authority)))


def _address(options: argparse.Namespace, listening: socket.socket, certified: Certified | None) -> str:
    host = options.name[0] if options.name else options.host
    host = _own_address() if host in EVERYWHERE else host
    named = f"[{host}]" if ":" in host else host
    scheme = "http" if certified is None else "https"
    return f"{scheme}://{named}:{listening.getsockname()[1]}/"


def _own_address() -> str:
    """This machine's address where it reaches others, its name without one. Nothing is sent."""
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as found:
        try:
            found.connect(NOBODYS)
        except OSError:
            return socket.gethostname()
        return str(found.getsockname()[0])


def proxies(typed: list[str]) -> list[str]:
    """The addresses or networks of the proxies that are believed. Raises InputError."""
    for text in typed:
        try:
            ip_network(text)
        except ValueError:
            raise InputError(Problem("--proxy", text, say("terminal.proxy_expected"))) from None
    return typed


def check_names(options: argparse.Namespace) -> None:
    """Names and certificate that can be, looked at before anything is opened. Raises InputError."""
    from whitemetal.web.authority import host_checked

    for name in options.name:
        host_checked(name)
    if bool(options.certificate) != bool(options.key):
        missing = "--key" if options.certificate else "--certificate"
        raise InputError(Problem(missing, "", say("authority.both")))
    if options.certificate:
        _check_pair(options.certificate, options.key)
    elif options.https and options.host in EVERYWHERE and not options.name:
        raise InputError(Problem("--name", "", say("authority.names_needed")))


def _check_pair(certificate: str, key: str) -> None:
    import ssl

    for option, file in (("--certificate", certificate), ("--key", key)):
        if not Path(file).is_file():
            raise InputError(Problem(option, file, say("authority.a_file")))
    try:
        ssl.SSLContext(ssl.PROTOCOL_TLS_SERVER).load_cert_chain(certificate, key, password="")
    except (OSError, ssl.SSLError) as bad:
        reason = (getattr(bad, "reason", None) or bad.strerror or type(bad).__name__).lower()
        raise InputError(
            Problem("--certificate", certificate, say("authority.a_pair", reason=reason.replace("_", " ")))
        ) from None


def _server(
    app: FastAPI, certified: Certified | None, behind: list[str], ready: Callable[[], None]
) -> uvicorn.Server:
    """A server that says when it answers. behind: the proxies whose word about who asks is believed; without
    one that of nobody."""
    import uvicorn

    from whitemetal.web.arriving import Patient

    class Saying(uvicorn.Server):
        """Calls ``ready`` once it has started."""

        async def startup(self, sockets: list[Any] | None = None) -> None:
            await super().startup(sockets)
            if self.started:
                settle()
                ready()

    tls = {}
    if certified is not None:
        tls = {"ssl_certfile": certified.certificate, "ssl_keyfile": certified.key, "ssl_ciphers": CIPHERS}
    sys.setswitchinterval(TURNS)
    patience: dict[str, Any] = {
        "timeout_graceful_shutdown": LAST_ANSWERS, "timeout_keep_alive": KEPT_OPEN, **tls
    }  # fmt: skip
    patience |= {"http": Patient, "proxy_headers": bool(behind), "forwarded_allow_ips": behind}
    return Saying(uvicorn.Config(app, log_level="warning", access_log=False, server_header=False, **patience))


def settle() -> None:
    """Have the collector of garbage leave alone what was loaded, and look through the rest less often: it
    stops every thread, and whoever waits for an answer, for a tenth of a second each time."""
    gc.collect()
    gc.freeze()
    young, middle, _ = gc.get_threshold()
    gc.set_threshold(young, middle, SELDOM)


def _ready(address: str, show: bool, tell: Callable[[str], None]) -> None:
    tell(say("terminal.serve_at", address=address))
    if show:
        import webbrowser

        webbrowser.open(address)


if __name__ == "__main__":
    sys.exit(main())
