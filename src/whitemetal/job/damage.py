"""What was seen of damage, and what people said is known of the bearing: as the entries leave it."""

from __future__ import annotations

from whitemetal.errors import InputError, Problem
from whitemetal.inspect.looks import LOOKS
from whitemetal.inspect.where import cells_of
from whitemetal.job.account import Account
from whitemetal.job.state import Answer, Damage
from whitemetal.words import say

FINDING = "finding/1"
ANSWER = "known/1"

ASKED = ("dirt", "oil_bad", "oil_failed", "hot", "many_starts", "film_low")
"""Facts of `causes.Known` that a person may state where no check tells them."""

SAYS = ("yes", "no", "not known")


def damage_of(account: Account) -> tuple[Damage, ...]:
    """The damage seen, in the order of the links, struck ones among them."""
    found = []
    for one in account.all(FINDING):
        cells = tuple(str(cell) for cell in one.body["where"])
        at_feed = one.text("at_feed") == "yes"
        found.append(
            Damage(
                one.id,
                one.text("look"),
                cells,
                at_feed,
                one.text("text"),
                one.by,
                one.at,
                account.struck_words(one.id),
            )
        )
    return tuple(found)


def answers_of(account: Account) -> tuple[Answer, ...]:
    """What people said, of each fact the last; two where neither had seen the other."""
    return tuple(
        Answer(one.id, one.text("fact"), one.text("says"), one.text("text"), one.by, one.at)
        for one in account.all(ANSWER)
    )


def may_find(look: str, cells: tuple[str, ...]) -> None:
    """Raises InputError, with every problem, unless the look and the cells are known."""
    problems: list[Problem] = []
    if look not in LOOKS:
        problems.append(Problem("look", look, say("inspect.look", known=", ".join(LOOKS))))
    try:
        cells_of(cells)
    except InputError as bad:
        problems.extend(bad.problems)
    if problems:
        raise InputError(*problems)


def may_answer(fact: str, says: str) -> None:
    """Raises InputError unless this is a fact that a person may state, and an answer to it."""
    if fact not in ASKED:
        raise InputError(Problem("fact", fact, say("ledger.one_of", choices=", ".join(ASKED))))
    if says not in SAYS:
        raise InputError(Problem("says", says, say("ledger.one_of", choices=", ".join(SAYS))))
