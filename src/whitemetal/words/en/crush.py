"""What the crush check says."""

MESSAGES: dict[str, str] = {
    "label": "Crush",
    "sign": "Above zero the shell is held tight, below it lies loose; diametral.",
    "none_exists": "The white metal is poured in the cap itself: there is no shell, and no crush exists.",
    "no_readings": "Nothing the crush can be worked out from has been read yet.",
    "not_final": "The cap was not at its final torque: crush is read under the final tightening.",
    "other_torque": "The cap was tightened to {used} N m; the final torque is {final} N m.",
    "wrong_joint": "The shims or wires lay in the shell's own joint. For this check they belong in the housing joint, with the shell's joint closed.",
    "shells_open": "The shell halves were not closed on each other: the gap at their joint is in the reading.",
    "shims_differ": "The shims left ({left}) and right ({right}) are not equal.",
    "not_positive": '{where}: "{typed}" cannot be a thickness.',
    "too_thin": "{where}: {typed} is {percent} % of the wire; below a third it has sunk in and reads thick.",
    "hardly_flattened": "{where}: {typed} is {percent} % of the wire; hardly flattened, it lay loose.",
    "cocked": "{station}: the joint wires left and right differ by {difference}: the cap is cocked.",
    "one_side": "{station}: read with one side slack only; do it from both sides, friction holds the shells.",
    "no_gap": "{station}: no gap opened. The crush is nothing or less; a feeler cannot tell how much less.",
    "tight": "{station}: the shell is tight by {by}.",
    "loose": "{station}: the shell is loose by {by}.",
    "loose_in_cylinder": "{station}: the shell is loose by {by} in a cylindrical seat; it will turn or fret.",
    "feel": "gap found by feel",
    "slide": "shells not slid all the way",
}
