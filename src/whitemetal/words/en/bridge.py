"""What the bridge gauge says."""

MESSAGES: dict[str, str] = {
    "label": "Drop of the shaft",
    "no_readings": "No depth has been read.",
    "no_birth": "{where}: no value of installation is kept for this bearing. What was read is kept; enter the stamped constant.",
    "gear_unit": "For the wear of main reduction gears the bridge gauge is no longer used; measure the crown thickness.",
    "other_marks": "The feet did not stand on the original marks: another place is another depth.",
    "reshimmed": "The seat was shimmed since: the drop is wear and shims together.",
    "no_clearance": "the clearance itself: a bridge gauge shows a change only",
    "again": "reading it again another day",
}
