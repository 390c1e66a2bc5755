"""What a bearing's life says."""

MESSAGES: dict[str, str] = {
    "one_opening": "One opening says nothing about wear.",
    "too_few": "No run between two openings counts: same shells, measured alike and after bedding-in.",
    "one_run": "The rate rests on one run alone: a wipe in it cannot be told from wear.",
    "backwards": "at least {before:g}, as at the opening before",
    "against_hours": "running hours",
    "against_starts": "starts",
    "against_calendar": "calendar time",
    "other_shells": "other shells ({shells})",
    "unlike": "not measured alike ({before}; {after})",
    "bedding_in": "bedding-in, left out of the rate",
    "no_hours": "running hours not known at both ends",
    "no_starts": "starts not known at both ends",
    "no_calendar": "dates not known at both ends",
    "no_run": "the machine did not run in between",
    "step": "a step: more than the rate of the other runs explains; look for a wipe",
    "no_limit": "No renewal limit with authority on the card: no run can be given.",
    "not_left": "The clearance was not taken at the last opening.",
    "no_end": "The rate is not known well enough to say when the limit is reached.",
    "risk_label": "Chance of passing the limit",
    "risk": "a chance above 0 and below 0.5",
}
