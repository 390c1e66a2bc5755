"""Makes chromium available for the browser tests, where that is possible without asking anybody.

Finds it on the path; else installs the system's own package when apt-get is there and may be used (as root,
or with sudo that asks no password). Says what it did, and never fails: whether the tests may run without a
browser is for the tests to say (REQUIRE_BROWSER=1).
"""

from __future__ import annotations

import os
import shutil
import subprocess

NAMES = ("chromium", "chromium-browser")


def find() -> str | None:
    """Path of the browser, or None. The variable CHROMIUM names another one."""
    named = os.environ.get("CHROMIUM")
    if named:
        return shutil.which(named)
    return next((path for path in map(shutil.which, NAMES) if path), None)


def may_install() -> list[str] | None:
    """The words to put before apt-get, or None where it may not be used."""
    if shutil.which("apt-get") is None:
        return None
    if os.geteuid() == 0:
        return []
    sudo = shutil.which("sudo")
    if sudo and subprocess.run([sudo, "-n", "true"], capture_output=True, check=False).returncode == 0:
        return [sudo, "-n"]
    return None


def install(before: list[str]) -> bool:
    """Install the system's chromium quietly. True when apt-get said it did."""
    quiet = [*before, "env", "DEBIAN_FRONTEND=noninteractive", "apt-get", "-qq", "-y"]
    commands = ([*quiet, "update"], [*quiet, "install", "--no-install-recommends", "chromium"])
    for command in commands:
        done = subprocess.run(command, stdin=subprocess.DEVNULL, capture_output=True, text=True, check=False)
        if done.returncode != 0:
            print("· apt-get did not install chromium: " + done.stderr.strip()[-300:])
            return False
    return True


def main() -> None:
    """Find the browser or install it, and say which."""
    if find():
        return
    before = may_install()
    if before is None:
        print("· no chromium here and none may be installed: the browser tests will be skipped")
        return
    print("· installing the system's chromium for the browser tests", flush=True)
    if install(before):
        print(f"· chromium: {find()}")


if __name__ == "__main__":
    main()
