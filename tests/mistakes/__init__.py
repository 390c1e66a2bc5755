"""Mistakes that cost machines, each made in a real job, and what catches it."""
