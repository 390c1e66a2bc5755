"""The version of the program, in one place: package, sheets and ``--version`` take it from here."""

VERSION = "0.1.0"
