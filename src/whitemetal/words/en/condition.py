"""What is said of the condition as found."""

MESSAGES: dict[str, str] = {
    "shims_differ": "The shims of the two sides differ by {by}: each goes back on its own side, and the cap may have sat askew.",
    "not_measured": "The shims on the {side} were counted but not measured.",
    "below_nothing": "The shims on the {side} cannot be thinner than nothing: read it again.",
    "none_but_thick": "No shim was counted on the {side}, and yet a thickness was measured there: which is right?",
}
