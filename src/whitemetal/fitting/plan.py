"""The plan of work: from the present state to within limits with the fewest openings, then the least metal,
then the fewest shims.

Effects of shims by their joint (`shim_effect`), passes over the unloaded half for the clearance, the loaded
half scraped for its contact only. Solved as a mixed-integer programme to proven optimality (`plan_solve`).
Where nothing works, the constraints that collide are named, and what is left to do.
"""

from __future__ import annotations

from dataclasses import dataclass

from whitemetal.card import Card
from whitemetal.fitting.plan_model import FINISHING, MOST_OF_ONE, Present, Work
from whitemetal.fitting.plan_predict import NO_WORK, Prediction, predict
from whitemetal.fitting.plan_present import NOTHING_SAID, Said, Taken, present_of
from whitemetal.fitting.plan_rows import Constraint
from whitemetal.fitting.plan_solve import Proof, Solution, solve
from whitemetal.fitting.plan_words import Step, remarks, sentence, steps, way_out
from whitemetal.gauging.contract import Facts, Result

__all__ = ["FINISHING", "MOST_OF_ONE", "Plan", "Said", "plan_work", "tried"]


@dataclass(frozen=True)
class Plan:
    """What to do. works: whether the work leads to within limits. steps: in order, for a fitter. openings,
    metal [m] (sum over the stations), shims: on each side, pieces added and taken. because: why nothing
    works; colliding: the constraints behind it; way_out: what is left then. remarks: what must be known.
    assumptions: with their sources. proof: of the solver, None for a trial of one's own."""

    works: bool
    present: Present
    work: Work
    prediction: Prediction
    steps: tuple[Step, ...]
    openings: int
    metal: float
    shims: int
    because: tuple[str, ...]
    colliding: tuple[Constraint, ...]
    way_out: tuple[str, ...]
    remarks: tuple[str, ...]
    assumptions: tuple[Taken, ...]
    proof: Proof | None


def plan_work(
    card: Card, clearance: Result, facts: Facts, crush: Result | None = None, said: Said = NOTHING_SAID
) -> Plan:
    """The best plan from the present state, or why there is none. Raises InputError, MethodRefused and
    NotConverged (see `present_of`, `plan_solve.solve`)."""
    present, taken = present_of(card, clearance, facts, crush, said)
    solution = solve(present)
    return _planned(card, present, taken, solution.work, solution)


def tried(
    card: Card,
    clearance: Result,
    facts: Facts,
    work: Work,
    crush: Result | None = None,
    said: Said = NOTHING_SAID,
) -> Plan:
    """Work of one's own in place of the best: what it would come to, and what it would not keep."""
    present, taken = present_of(card, clearance, facts, crush, said)
    return _planned(card, present, taken, work, None)


def _planned(
    card: Card, present: Present, taken: tuple[Taken, ...], work: Work | None, solution: Solution | None
) -> Plan:
    done = work if work is not None else NO_WORK
    foreseen = predict(present, done)
    colliding = solution.colliding if solution is not None else foreseen.broken
    contact = present.contact.passes if present.contact is not None else 0
    allowed = present.allowed
    return Plan(
        works=work is not None and not foreseen.broken,
        present=present,
        work=done,
        prediction=foreseen,
        steps=steps(card, present, done) if work is not None else (),
        openings=int(done.changes_shims) + done.rounds + contact,
        metal=sum(
            one.rough * allowed.rough.middle + one.finishing * allowed.finishing.middle for one in done.passes
        ),
        shims=sum(len(one.added) + len(one.taken) for one in done.shims),
        because=tuple(sentence(card, present, one) for one in colliding),
        colliding=colliding,
        way_out=way_out(colliding) if solution is not None else (),
        remarks=remarks(card, present, done, foreseen) if work is not None else (),
        assumptions=taken,
        proof=solution.proof if solution is not None else None,
    )
