"""A server in a process of its own, as people meet it, and one kept-alive connection to it."""

from __future__ import annotations

import http.client
import json
import socket
import subprocess
import sys
import time
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent


class Client:
    """One connection, and the cookies the server set."""

    def __init__(self, port: int, cookies: Mapping[str, str] | None = None) -> None:
        self.port = port
        self.cookies = dict(cookies or {})
        self.connection = http.client.HTTPConnection("127.0.0.1", port, timeout=60)

    def get(self, path: str) -> str:
        """A page's text."""
        return self._ask("GET", path, None, "text/html")

    def post(self, path: str, body: Mapping[str, object]) -> str:
        """The answer to a JSON object."""
        return self._ask("POST", path, json.dumps(body).encode(), "application/json")

    def _ask(self, verb: str, path: str, body: bytes | None, accept: str) -> str:
        headers = {"accept": accept, "content-type": "application/json"}
        if self.cookies:
            headers["cookie"] = "; ".join(f"{name}={value}" for name, value in self.cookies.items())
        self.connection.request(verb, path, body, headers)
        answer = self.connection.getresponse()
        text = answer.read().decode()
        for line in answer.headers.get_all("set-cookie") or []:
            name, _, rest = line.partition("=")
            self.cookies[name] = rest.partition(";")[0]
        if answer.status >= 400:
            raise SystemExit(f"{verb} {path}: {answer.status}\n{text[:2000]}")
        return text


@contextmanager
def server(kind: str, where: Path) -> Iterator[int]:
    """Serve ``kind`` ("bare" or "whitemetal") over the database at ``where``; its port, once it answers."""
    with socket.socket() as free:
        free.bind(("127.0.0.1", 0))
        port = free.getsockname()[1]
    command = [sys.executable, "-m", "bench.served", kind, str(where), str(port)]
    running = subprocess.Popen(command, cwd=ROOT, stdin=subprocess.DEVNULL)
    try:
        _wait_for(port, running)
        yield port
    finally:
        running.terminate()
        running.wait(timeout=20)


def _wait_for(port: int, running: subprocess.Popen[bytes]) -> None:
    for _ in range(400):
        if running.poll() is not None:
            raise SystemExit("the server ended before it answered")
        try:
            socket.create_connection(("127.0.0.1", port), timeout=1).close()
            return
        except OSError:
            time.sleep(0.05)
    raise SystemExit("the server does not answer")


def main() -> None:
    """Serve, in this process, until told to stop."""
    import uvicorn

    kind, where, port = sys.argv[1:]
    if kind == "bare":
        from bench import bare

        app = bare.make_app(Path(where))
    else:
        from whitemetal.desk import Desk
        from whitemetal.web.app import make_app

        app = make_app(Desk.open(where))
    uvicorn.run(app, host="127.0.0.1", port=int(port), log_level="error", timeout_keep_alive=600)


if __name__ == "__main__":
    main()
