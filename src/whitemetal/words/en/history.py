"""What a bearing's life says."""

MESSAGES: dict[str, str] = {
    "one_opening": "One opening says nothing about wear.",
    "too_few": "At least {count} runs between openings with the same shells, measured alike and after bedding-in, are needed for a rate.",
    "backwards": "at least {before:g}, as at the opening before",
    "other_shells": "other shells ({shells})",
    "unlike": "not measured alike ({before}; {after})",
    "bedding_in": "bedding-in, left out of the rate",
    "step": "a step: more than the rate of the other runs explains; look for a wipe",
    "no_limit": "No renewal limit with authority on the card: no run can be given.",
    "not_left": "The clearance was not taken as left at the last closing.",
    "no_end": "The rate is not known well enough to say when the limit is reached.",
    "risk": "a chance above 0 and below 0.5",
}
