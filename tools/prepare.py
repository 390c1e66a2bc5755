"""Makes the environment and puts the pinned packages into it, saying what is happening.

    python3 tools/prepare.py run     what the program needs
    python3 tools/prepare.py dev     what tests and checks need besides

Standard library only, and nothing here needs a new Python to be read, so that an old one gets a sentence
and not a syntax error. Nothing is fetched that is not pinned with its hash: this package itself is installed
without build isolation, by the setuptools that the lock names.
"""

from __future__ import annotations

import hashlib
import importlib.util
import os
import re
import subprocess
import sys

ROOT = os.path.dirname(os.path.dirname(os.path.abspath(__file__)))
VENV = os.path.join(ROOT, ".venv")
LOCKS = {"run": "requirements.lock", "dev": "requirements-dev.lock"}
OLDEST = (3, 11)


def main() -> None:
    """Bring the environment up to date with the lock named on the command line."""
    wanted = sys.argv[1]
    refuse_old_python()
    if up_to_date(wanted):
        return
    make_environment()
    install(wanted)


def refuse_old_python() -> None:
    """Leave with a sentence when this Python is too old or cannot make an environment."""
    if sys.version_info < OLDEST:
        found = ".".join(map(str, sys.version_info[:2]))
        leave(
            f"python3 is Python {found}, but 3.11 or newer is needed.",
            "If another one is installed, name it: make PYTHON=python3.12 run",
        )
    if importlib.util.find_spec("venv") is None or importlib.util.find_spec("ensurepip") is None:
        package = "python{}.{}-venv".format(*sys.version_info[:2])
        leave(
            "This Python cannot make an environment: its part for that (venv, ensurepip) is not installed.",
            f"On Debian and its relatives: apt-get install {package} (or python3-venv)",
        )


def up_to_date(wanted: str) -> bool:
    """True when the environment already holds what the lock names.

    The development lock holds everything in the other one, so it counts for both.
    """
    return any(stamp_of(name) == read(stamp_file(name)) for name in {wanted, "dev"}) and environment_runs()


def stamp_of(name: str) -> str:
    """What an environment made from this lock, in this place, is known by."""
    parts = [read(os.path.join(ROOT, LOCKS[name])), read(os.path.join(ROOT, "pyproject.toml"))]
    return hashlib.sha256("\n".join([*parts, ROOT]).encode()).hexdigest()


def stamp_file(name: str) -> str:
    """Where the stamp of a finished installation is kept."""
    return os.path.join(VENV, "installed-" + name)


def read(path: str) -> str:
    """The text of a file, "" when there is none."""
    try:
        with open(path, encoding="utf-8") as file:
            return file.read()
    except FileNotFoundError:
        return ""


def python_inside() -> str:
    """The environment's own Python."""
    return os.path.join(VENV, "bin", "python")


def environment_runs() -> bool:
    """True when the environment's Python starts, has pip and is new enough."""
    code = f"import sys, pip; sys.exit(sys.version_info < {OLDEST})"
    silent = subprocess.DEVNULL
    try:
        return subprocess.run([python_inside(), "-c", code], stdout=silent, stderr=silent).returncode == 0
    except OSError:
        return False


def make_environment() -> None:
    """Make .venv, anew when the one that stands does not run."""
    if environment_runs():
        return
    import venv

    say("making the environment .venv")
    venv.create(VENV, with_pip=True, clear=True)


def install(wanted: str) -> None:
    """Install the pinned packages and then this package itself."""
    lock = LOCKS[wanted]
    names = re.findall(r"^([a-z0-9][a-z0-9._-]*)==", read(os.path.join(ROOT, lock)), re.MULTILINE)
    total = len(set(names))
    pip("install", "--require-hashes", "-r", lock, total=total, what="packages of " + lock)
    own = ("install", "--no-deps", "--no-build-isolation", "--no-index", "--editable", ".")
    pip(*own, total=0, what="whitemetal itself")
    with open(stamp_file(wanted), "w", encoding="utf-8") as file:
        file.write(stamp_of(wanted))


def pip(*arguments: str, total: int, what: str) -> None:
    """Run pip inside the environment, one line of progress for people; all it said when it fails."""
    say("installing " + what)
    command = [python_inside(), "-m", "pip", "--disable-pip-version-check", "--no-input", *arguments]
    said = []
    kept, closed = subprocess.PIPE, subprocess.DEVNULL
    with subprocess.Popen(
        command, cwd=ROOT, text=True, stdin=closed, stdout=kept, stderr=subprocess.STDOUT
    ) as running:
        count = 0
        for line in running.stdout or ():
            said.append(line)
            name = re.match(r"(?:Collecting|Requirement already satisfied:) ([A-Za-z0-9._-]+)", line)
            count += name is not None
            if total and name is not None:
                progress(f"{min(count, total):3d} of {total}  {name.group(1)}")
            elif total and line.startswith("Installing collected"):
                progress(f"{total} of {total}  unpacking")
    progress("")
    if running.returncode != 0:
        leave("".join(said[-15:]).rstrip(), f"Installing {what} did not work; what pip said stands above.")


def say(text: str) -> None:
    """One line about what is happening."""
    print("· " + text, flush=True)


def progress(text: str) -> None:
    """Rewrite the progress line; nothing where no person watches."""
    if sys.stdout.isatty():
        print("\r\033[K" + ("  " + text if text else ""), end="", flush=True)


def leave(*lines: str) -> None:
    """Say what is wrong and what to do, and stop."""
    for line in lines:
        print(line, file=sys.stderr)
    sys.exit(1)


if __name__ == "__main__":
    main()
