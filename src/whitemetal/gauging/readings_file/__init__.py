"""Readings from a file: CSV and TOML, texts with their units as typed, every problem with its line."""

from whitemetal.gauging.readings_file.blank import blank_csv, blank_toml
from whitemetal.gauging.readings_file.content import FORMAT, ReadingsFile, Row
from whitemetal.gauging.readings_file.csv_in import read_csv
from whitemetal.gauging.readings_file.schema import readings_schema
from whitemetal.gauging.readings_file.toml_in import read_toml

__all__ = [
    "FORMAT",
    "ReadingsFile",
    "Row",
    "blank_csv",
    "blank_toml",
    "read_csv",
    "read_toml",
    "readings_schema",
]
