"""Migrations of the record's tables, in order. Each is tested with rows in it."""
