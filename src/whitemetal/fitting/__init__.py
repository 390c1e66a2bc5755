"""Decide: where limits come from, what the numbers prove, which wire to take."""
