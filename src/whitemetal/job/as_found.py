"""What is said when the clearance was not taken as found: it cannot be taken afterwards, and without it
nobody knows how far the bearing had worn.

It stops nobody. It is asked when the bearing is stripped, its fit changed or a check "as left" begun, and
stands beside the clearance as left until somebody has noted why it was missed.
"""

from __future__ import annotations

from whitemetal.gauging.contract import Finding
from whitemetal.job.fit_matrix import CLEARANCE
from whitemetal.job.kinds import AS_FOUND, is_as_found
from whitemetal.job.state import JobState
from whitemetal.job.typed import method_or_none
from whitemetal.words import say

ASK = AS_FOUND
"""What `Kept.ask` says where it is asked why the clearance was missed as found."""

LATE = "as_found.late"
MISSED = "as_found.missed"
OF_CLEARANCE = f"clearance {AS_FOUND}"
"""What an entry "missed" is about where it is about the clearance as found."""


def question(state: JobState) -> str:
    """What is to be asked of this job now, "" for nothing."""
    if state.as_found == "taken" or why_missed(state):
        return ""
    if state.as_found == "missed":
        return say("fit.ask_missed")
    left = any(not is_as_found(check.purpose) for check in state.checks.values())
    return say("fit.ask_due") if left else ""


def why_missed(state: JobState) -> str:
    """Why it was missed and who said so, "" where nobody did."""
    return "; ".join(say("fit.missed_why", why=one.why, by=one.by) for one in state.missed)


def findings(state: JobState, check: str) -> tuple[Finding, ...]:
    """What this adds to the judgement of a check: a question on readings as found that were written late,
    and beside a clearance as left a warning until it was said why there is none as found."""
    found = state.checks[check]
    late = tuple(Finding(LATE, "question", text, "common practice") for text in found.late)
    method = method_or_none(found.method)
    if method is None or method.proves != CLEARANCE or is_as_found(found.purpose):
        return late
    why = why_missed(state)
    if why and state.as_found != "taken":
        return (*late, Finding(MISSED, "note", say("fit.was_missed", why=why)))
    asked = question(state)
    return (*late, Finding(MISSED, "warning", asked, "common practice")) if asked else late
