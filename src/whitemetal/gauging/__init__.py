"""Gauging methods: typed readings in, quantities with uncertainty and warnings out. One file a method."""

from whitemetal.gauging.contract import Method
from whitemetal.gauging.register import METHODS, method_named, register

__all__ = ["METHODS", "Method", "method_named", "register"]
