"""Figures recorded with their limits, and gaps measured round a ring."""

MESSAGES: dict[str, str] = {
    "gauge": "gauge, permissible error",
    "no_readings": "No gap has been read.",
    "one_side": "{piece}: gaps are read on one side only; the clearance across needs both.",
    "across": "{piece}, {direction}",
    "upright": "up and down",
    "sideways": "side to side",
}
