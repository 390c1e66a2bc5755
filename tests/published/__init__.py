"""Checks against the outside: standards, certified data, independent libraries, exact geometry."""
