"""A light command against a bare interpreter, and a whole judgement against importing NumPy alone."""

from __future__ import annotations

import sys
from pathlib import Path

from bench import clock

ROOT = Path(__file__).resolve().parent.parent
MILL = ROOT / "src" / "whitemetal" / "demo_mill"
PROGRAM = str(Path(sys.executable).with_name("whitemetal"))


def rows() -> list[clock.Row]:
    """`whitemetal --help` and `whitemetal judge` as whole processes."""
    card, readings = MILL / "gear_pinion_coupling_end.toml", MILL / "gear_pinion_coupling_end.readings.toml"
    return [
        clock.compare(
            "whitemetal --help", clock.process(PROGRAM, "--help"),
            "python -c pass", clock.process(sys.executable, "-c", "pass"), turns=25, under=6,
        ),
        clock.compare(
            "whitemetal judge CARD READINGS", clock.process(PROGRAM, "judge", str(card), str(readings)),
            'python -c "import numpy"', clock.process(sys.executable, "-c", "import numpy"),
            turns=15, under=4,
        ),
    ]  # fmt: skip
