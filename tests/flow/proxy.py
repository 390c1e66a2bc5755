"""A reverse proxy as small as one can be, for tests: https in front, two or more servers behind, each in turn.

It does what docs/plant.md asks of one: hands the Host on as it came, says who asked and that they asked by https
in headers that it sets itself, waits for long answers, and asks the next server where one does not answer at all.
"""

from __future__ import annotations

import http.client
import ssl
import threading
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer

OWN = (
    "connection",
    "keep-alive",
    "transfer-encoding",
    "x-forwarded-for",
    "x-forwarded-proto",
    "x-forwarded-host",
)
"""Headers that are between two ends only (RFC 9110, 7.6.1), and those that nobody in front may say."""


@dataclass
class Proxy:
    """port: where it listens. behind: ports of the servers. asked: which of them answered each request."""

    behind: list[int]
    port: int = 0
    asked: list[tuple[str, int]] = field(default_factory=list)
    turn: int = 0
    lock: threading.Lock = field(default_factory=threading.Lock)

    def next(self) -> int:
        """The server whose turn it is."""
        with self.lock:
            self.turn += 1
            return self.behind[self.turn % len(self.behind)]


def _asker(proxy: Proxy) -> type[BaseHTTPRequestHandler]:
    class Asker(BaseHTTPRequestHandler):
        protocol_version = "HTTP/1.1"

        def _pass_on(self) -> None:
            body = self.rfile.read(int(self.headers.get("content-length", "0")))
            headers = {name: text for name, text in self.headers.items() if name.lower() not in OWN}
            headers |= {
                "X-Forwarded-For": self.client_address[0], "X-Forwarded-Proto": "https",
                "X-Forwarded-Host": self.headers["host"],
            }  # fmt: skip
            for _ in proxy.behind:
                port = proxy.next()
                line = http.client.HTTPConnection("127.0.0.1", port, timeout=60)
                try:
                    line.connect()
                except OSError:
                    continue
                try:
                    line.request(self.command, self.path, body, headers)
                    answer = line.getresponse()
                    said = answer.read()
                except (OSError, http.client.HTTPException):
                    break
                finally:
                    line.close()
                proxy.asked.append((self.path, port))
                self._answer(answer.status, answer.getheaders(), said)
                return
            self._answer(502, [], b"")

        def _answer(self, status: int, headers: list[tuple[str, str]], body: bytes) -> None:
            self.send_response(status)
            for name, text in headers:
                if name.lower() not in (*OWN, "content-length"):
                    self.send_header(name, text)
            self.send_header("Content-Length", str(len(body)))
            self.end_headers()
            self.wfile.write(body)

        do_GET = do_POST = _pass_on  # noqa: N815

        def log_message(self, format: str, *given: object) -> None:
            """Nothing is written down."""

    return Asker


@contextmanager
def a_proxy(behind: list[int], certificate: str, key: str) -> Iterator[Proxy]:
    """A proxy in front of servers on this machine, for as long as it is needed."""
    proxy = Proxy(behind)
    server = ThreadingHTTPServer(("127.0.0.1", 0), _asker(proxy))
    server.daemon_threads = True
    context = ssl.SSLContext(ssl.PROTOCOL_TLS_SERVER)
    context.load_cert_chain(certificate, key)
    server.socket = context.wrap_socket(server.socket, server_side=True)
    proxy.port = server.server_port
    thread = threading.Thread(target=server.serve_forever, daemon=True)
    thread.start()
    try:
        yield proxy
    finally:
        server.shutdown()
        server.server_close()
        thread.join(10)
