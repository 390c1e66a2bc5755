"""What is said about how a reading was taken, whatever the method."""

MESSAGES: dict[str, str] = {
    "torque_differs": "The cap was tightened to {used}, but the card says {final}. Tighten as for running and measure again.",
}
