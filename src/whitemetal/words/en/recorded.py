"""Figures recorded with their limits, and gaps measured round a ring."""

MESSAGES: dict[str, str] = {
    "gauge": "gauge, permissible error",
    "no_readings": "No gap has been read.",
    "one_side": "{piece}: gaps are read on one side only; the clearance across needs both.",
    "across": "{piece}, {direction}",
    "upright": "up and down",
    "sideways": "side to side",
    "cannot_be": "a figure that cannot be: below nothing, or a share above the whole",
    "below_nothing": '{label}: "{typed}" is below nothing; write it without its sign.',
    "above_all": '{label}: "{typed}" is more than the whole.',
    "no_gap": "There is no air gap anywhere at one end: the rotor cannot touch all round. Read it again.",
}
