"""What vibration at a bearing says."""

MESSAGES: dict[str, str] = {
    "rule": "end of zone B, {group}",
    "shaft_rule": "end of zone B of shafts at this speed, and no more than 60 % of the clearance",
    "shaft_rule_speed": "end of zone B of shafts at this speed",
    "of_shaft": "shaft relative to the bearing, at the card's speed",
    "zone_a": "{label}: zone A ({row}; zones A, B and C end at {ends}).",
    "zone_b": "{label}: zone B ({row}; zones A, B and C end at {ends}).",
    "zone_c": "{label}: zone C, not for long running ({row}; zones A, B and C end at {ends}). Look for the cause; a limit on the card decides.",
    "zone_d": "{label}: zone D, strong enough to do damage ({row}; zones A, B and C end at {ends}). Do not leave it running.",
    "of_clearance": "{label}: {share} of the oil clearance, more than 70 %. The shaft nearly fills its bearing.",
    "maker_allows": "The maker's figure on the card allows it: is it the figure for running, and for this point?",
    "other_kind": "The zones of “{group}” are not those of a {kind}. Is it the right row?",
    "other_power": "“{group}” does not fit a machine of {power}. Is it the right row?",
    "no_power": "The card does not say the machine's power, so it cannot be seen whether “{group}” is its row.",
    "scope": "Below 15 kW, below 120 or above 30,000 rev/min these zones do not hold.",
    "no_clearance": "Neither the oil clearance nor a limit of it is known: the shaft is held against its speed only.",
}
