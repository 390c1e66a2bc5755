"""Writes the pages of docs/ that are made from the code; with --check only says what is stale or missing.

make docs        write them
make check       among other things, fail when one is stale or something is undocumented
"""

from __future__ import annotations

import importlib
import pkgutil
import sys
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
DOCS = ROOT / "docs"
sys.path[:0] = [str(ROOT)]


def collect() -> tuple[dict[str, str], list[str]]:
    """Every generated page by its path under docs/, and every gap."""
    import tools.pages

    texts: dict[str, str] = {}
    gaps: list[str] = []
    for found in pkgutil.iter_modules(tools.pages.__path__):
        module = importlib.import_module(f"tools.pages.{found.name}")
        if hasattr(module, "pages"):
            texts.update(module.pages())
            gaps.extend(module.gaps())
    return texts, gaps


def stale(texts: dict[str, str]) -> list[str]:
    """Pages whose file says something else, or is not there."""
    return [name for name, text in texts.items() if _kept(DOCS / name) != text]


def _kept(path: Path) -> str:
    return path.read_text(encoding="utf-8") if path.exists() else ""


def main() -> int:
    """Write the pages, or check them; the exit status says whether all is well."""
    texts, gaps = collect()
    old = stale(texts)
    if "--check" not in sys.argv:
        for name in old:
            (DOCS / name).parent.mkdir(parents=True, exist_ok=True)
            (DOCS / name).write_text(texts[name], encoding="utf-8")
            print(f"wrote docs/{name}")
        old = []
    for line in [f"stale: docs/{name} (make docs)" for name in old] + [
        f"undocumented: {gap}" for gap in gaps
    ]:
        print(line)
    if not old and not gaps:
        print(f"docs: {len(texts)} pages made from the code are up to date")
    return 1 if old or gaps else 0


if __name__ == "__main__":
    sys.exit(main())
