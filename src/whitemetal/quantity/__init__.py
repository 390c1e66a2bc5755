"""A number never travels alone: value, standard uncertainty, degrees of freedom, and where they came from."""

from whitemetal.quantity.budget import BudgetLine, budget
from whitemetal.quantity.chance import coverage_factor, probability_between, probability_within_box
from whitemetal.quantity.fit import LinearFit, fit_general, fit_linear
from whitemetal.quantity.value import Influence, Quantity, combine, covariance, covariance_matrix, exact

__all__ = [
    "BudgetLine",
    "Influence",
    "LinearFit",
    "Quantity",
    "budget",
    "combine",
    "covariance",
    "covariance_matrix",
    "coverage_factor",
    "exact",
    "fit_general",
    "fit_linear",
    "probability_between",
    "probability_within_box",
]
