"""Putting it back: torque, the order of the nuts, passes, and the run-in."""
