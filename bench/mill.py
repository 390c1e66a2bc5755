"""Records to measure on: one job at the bench, alone or among many, with few entries or with many."""

from __future__ import annotations

from importlib import resources
from pathlib import Path

from whitemetal.desk import Desk, Writer

WRITER = Writer(name="bench", device="bench-device")
CARD = resources.files("whitemetal.demo_mill").joinpath("fan_drive_end.toml").read_text(encoding="utf-8")
FACTS = {
    "wire_diameter": "0.40 mm", "journal_down": "yes", "joint": "metal to metal", "tightened": "final value",
    "wires_in": "2", "wires_out": "2",
}  # fmt: skip
GAUGE = {
    "anvil": "ball", "mpe": "0.004 mm", "zero_before": "0.000 mm", "zero_after": "0.000 mm",
    "calibration_due": "2099-01-01",
}  # fmt: skip


def make(where: Path, *, entries: int = 0, other_jobs: int = 0) -> tuple[str, str]:
    """A record at ``where`` with one check, a reading at each of its places. Returns its job and check.

    entries: the job's entries are filled up to this number, by facts typed again and again as a busy job
    would have them. other_jobs: jobs of other bearings beside it, each with its own entries.
    """
    desk = Desk.open(str(where))
    try:
        for number in range(other_jobs):
            kept = desk.keep_card(CARD.replace("TM-31-F02", f"TM-99-{number:05d}"), WRITER)
            desk.open_job(kept.bearing, f"WO-{number}", "another job", WRITER)
        desk.keep_instrument("M-7", GAUGE, WRITER)
        job = desk.open_job(desk.keep_card(CARD, WRITER).bearing, "WO-1", "the job", WRITER)
        check = desk.start_check(job, "wire", "as found", WRITER)
        for key, text in FACTS.items():
            desk.keep_fact(job, check, key, text, WRITER)
        for place in desk.job(job).state.checks[check].places:
            desk.keep_reading(job, check, place.label, "0.203 mm", WRITER, instrument="M-7")
        for number in range(desk.job(job).state.entries, entries):
            desk.keep_fact(job, check, "part_temperature", f"{20 + number % 7} degC", WRITER)
    finally:
        desk.close()
    return job, check
