"""The command line: parse and show, nothing else."""

from whitemetal.cli.run import run

__all__ = ["run"]
