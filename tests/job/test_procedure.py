"""The procedure follows from how the bearing is built; what protects people and the order of trust cannot go
silently. Which step a build needs is common practice, written out here by hand."""

from __future__ import annotations

import re
from dataclasses import replace
from pathlib import Path

import pytest

from whitemetal.card import Card, card_from_texts
from whitemetal.errors import InputError
from whitemetal.gauging import METHODS
from whitemetal.job.fit_matrix import POINTS
from whitemetal.job.procedure.generate import all_keys, generate
from whitemetal.job.procedure.plant import applied, read_plant
from whitemetal.job.procedure.rules import RULES, RULES_OF
from whitemetal.job.procedure.step import STAGES

BASE = {
    "machine.tag": "T-1", "machine.name": "Fan (invented)", "machine.kind": "fan", "machine.speed": "990 rpm",
    "bearing.position": "drive end", "bearing.journal_diameter": "160.00 mm", "bearing.length": "140 mm",
}  # fmt: skip


def a_card(**more: str) -> Card:
    """A card with further texts; double underscores stand for points: ``construction__shell``."""
    return card_from_texts(BASE | {key.replace("__", "."): text for key, text in more.items()})


def keys(**more: str) -> list[str]:
    return [step.key for step in generate(a_card(**more))]


BUILDS: dict[str, tuple[dict[str, str], set[str], set[str]]] = {
    "split shell, loose above": (
        {"construction__shell": "split", "construction__upper_held": "lies loose in the cap"},
        {"as_found.upper_loose", "strip.rolled_out", "close.crush", "as_found.crush_found", "inspect.crown"},
        {"strip.upper_screwed", "strip.upper_dowelled", "strip.drawn_off"},
    ),
    "screwed to the cap": (
        {"construction__shell": "split", "construction__upper_held": "screwed to the cap"},
        {"strip.upper_screwed"}, {"as_found.upper_loose", "strip.upper_dowelled"},
    ),
    "held by dowels": (
        {"construction__shell": "split", "construction__upper_held": "held by dowels"},
        {"strip.upper_dowelled"}, {"as_found.upper_loose", "strip.upper_screwed"},
    ),
    "solid": (
        {"construction__shell": "solid"},
        {"strip.drawn_off", "as_found.lift_found", "close.lift"},
        {"as_found.cap_off", "as_found.loosened", "as_found.wire_found", "close.wire", "close.nuts",
         "close.crush", "strip.rolled_out", "close.closed", "close.locked"},
    ),
    "poured in the housing": (
        {"construction__shell": "poured in the housing"},
        {"as_found.cap_off", "close.wire"},
        {"close.crush", "as_found.crush_found", "strip.rolled_out", "inspect.crown", "close.pins"},
    ),
    "shims": (
        {"joint__filling": "shims", "joint__left": "0.30 mm", "joint__right": "0.30 mm",
         "joint__shim_sits": "shell joint"},
        {"as_found.shims_found", "close.same_shims"}, {"as_found.joint_found", "as_found.gasket_found"},
    ),
    "gasket": (
        {"joint__filling": "gasket", "joint__left": "0.40 mm", "joint__right": "0.40 mm",
         "joint__shim_sits": "housing joint"},
        {"as_found.gasket_found", "close.new_gasket"}, {"as_found.shims_found", "as_found.joint_found"},
    ),
    "oil ring": (
        {"bearing__lubrication": "ring-oiled"},
        {"run_in.ring_seen", "close.ring", "strip.ring_out", "run_in.level"},
        {"run_in.pressure_first", "isolate.bled"},
    ),
    "fed under pressure": (
        {"bearing__lubrication": "pressure-fed"},
        {"isolate.bled", "run_in.pressure_first", "close.fed", "as_found.oil_fed"},
        {"run_in.ring_seen", "close.ring", "run_in.level", "close.filled"},
    ),
    "insulated motor": (
        {"machine__kind": "motor", "construction__insulated": "yes"},
        {"inspect.insulation", "close.insulation_left", "close.air_gap"},
        {"inspect.maybe_insulated", "close.impeller", "isolate.flow_blocked"},
    ),
    "motor of which nobody said": (
        {"machine__kind": "motor"}, {"inspect.maybe_insulated", "isolate.blocked"}, {"inspect.insulation"},
    ),
    "no thrust faces, no seals": (
        {"construction__thrust_faces": "no", "construction__seals": "none"},
        set(), {"close.float", "as_found.float_found", "close.seals"},
    ),
    "spherical seat": ({"bearing__seat": "spherical"}, {"close.tips"}, set()),
    "cylindrical seat": ({"bearing__seat": "cylindrical"}, set(), {"close.tips"}),
    "pressure dam": ({"bearing__profile": "pressure dam"}, {"close.lift"}, {"close.wire"}),
    "scraping forbidden": ({"bearing__scraping_allowed": "no"}, {"close.no_scraping"}, set()),
    "jacking oil": ({"construction__jacking_oil": "yes"}, {"isolate.bled"}, set()),
    "probes": ({"construction__probes": "two Pt100"}, {"isolate.probes_off", "close.probes_on"}, set()),
}  # fmt: skip


@pytest.mark.parametrize("build", BUILDS)
def test_the_steps_follow_from_the_build(build: str) -> None:
    texts, there, not_there = BUILDS[build]
    found = set(keys(**texts))
    assert there - found == set()
    assert not_there & found == set()


def test_every_step_is_for_some_build_and_every_build_has_the_steps_that_protect_people() -> None:
    shown = {key for texts, _, _ in BUILDS.values() for key in keys(**texts)}
    sealant = keys(
        joint__filling="sealant", joint__left="0 mm", joint__right="0 mm", joint__shim_sits="shell joint"
    )
    shown |= set(sealant) | set(keys(machine__kind="gear unit"))
    assert {rule.key for rule in RULES} - shown == set()
    for texts, _, _ in BUILDS.values():
        found = keys(**texts)
        assert {"isolate.permit", "isolate.tried", "run_in.everybody_out", "strip.rotor_up"} <= set(found)
        assert {"isolate.blocked", "isolate.flow_blocked"} & set(found)


def test_the_order_is_the_order_of_the_work_and_of_trust() -> None:
    steps = generate(a_card(bearing__lubrication="ring-oiled"))
    stages = [STAGES.index(step.stage) for step in steps]
    assert stages == sorted(stages)
    trusted = [step.trust for step in steps if step.trust]
    # alignment and seals stand side by side at the end of the order of trust
    assert trusted[:5] == ["joint_faces", "tightening", "crush", "contact", "clearance"]
    assert sorted(trusted) == sorted(POINTS)
    at = [step.key for step in steps].index
    assert at("isolate.permit") < at("isolate.tried") < at("as_found.loosened") < at("as_found.cap_off")
    assert at("as_found.wire_found") < at("strip.cleaned"), "as found is taken before anything is cleaned"
    assert at("close.wire") < at("close.counted_out") < at("close.closed") < at("run_in.everybody_out")


def test_every_step_says_why_and_names_what_the_card_says() -> None:
    steps = generate(
        a_card(
            fasteners__count="4", fasteners__size="M24", fasteners__torque="420 N m", oil__grade="ISO VG 68",
            construction__cap_mass="85 kg", construction__jack_points="the coupling hub",
        )
    )  # fmt: skip
    assert all(step.text and step.why and "{" not in step.text + step.why for step in steps)
    told = {step.key: step.text for step in steps}
    assert "420 N m (4 of M24)" in told["close.nuts"]
    assert "85" in told["as_found.cap_off"]
    assert "the coupling hub" in told["strip.rotor_up"]
    bare = {step.key: step.text for step in generate(a_card())}
    assert "not said on the card" in bare["strip.rotor_up"], "what nobody said is told, not guessed"


def test_cautions_stand_where_they_apply_with_the_rules_they_point_to() -> None:
    steps = {step.key: step for step in generate(a_card(joint__filling="gasket", joint__left="0.4 mm",
             joint__right="0.4 mm", joint__shim_sits="shell joint"))}  # fmt: skip
    assert "29 CFR 1910.147" in steps["isolate.permit"].cautions[0].rules
    assert [one.key for one in steps["as_found.gasket_found"].cautions] == ["asbestos"]
    assert "1910.1001" in steps["as_found.gasket_found"].cautions[0].rules
    used = {word for rule in RULES for word in rule.cautions}
    assert used == set(RULES_OF), "no caution stands in a preface only"


def test_a_step_names_only_methods_there_are() -> None:
    assert {step.method for step in generate(a_card())} - {""} <= set(METHODS)


PLANT = """\
format = "whitemetal.procedure/1"

[[add]]
step = "isolate.radio"
after = "isolate.tried"
text = "Control room told by radio."
why = "nobody starts what they know is open"
hold = true
people = true
cautions = ["rotor"]

[[drop]]
step = "strip.drained"
why = "drained by the lubrication crew"

[[drop]]
step = "isolate.cooled"
why = "cold plant"
by = "Engineer B (invented)"

[[reword]]
step = "close.contact"
text = "Contact by our own blue card."
why = "our standard"
by = "Engineer B (invented)"
"""


def test_a_plant_adds_drops_and_rewords() -> None:
    own = applied(generate(a_card()), read_plant(PLANT))
    at = [step.key for step in own]
    steps = {step.key: step for step in own}
    assert at.index("isolate.radio") == at.index("isolate.tried") + 1
    assert steps["isolate.radio"].hold and steps["isolate.radio"].people
    assert [one.key for one in steps["isolate.radio"].cautions] == ["rotor"]
    reworded = steps["close.contact"]
    assert reworded.text == "Contact by our own blue card."
    assert reworded.changed[0].was.startswith("Contact proven"), "its own words stay to be read"
    assert reworded.changed[0].by == "Engineer B (invented)"
    assert reworded.trust == "contact"
    assert len(own) == len(generate(a_card())) + 1, "a dropped step stays in the list, as dropped"


def test_an_added_step_follows_another_one_wherever_the_file_adds_it() -> None:
    """The second stands above the first in the file; a step that follows itself ends its stage."""
    add = '[[add]]\nstep = "isolate.{0}"\nafter = "isolate.{1}"\ntext = "{0}"\nwhy = "ours"\n'
    parts = (add.format(*pair) for pair in (("second", "first"), ("first", "tried"), ("alone", "alone")))
    own = applied(generate(a_card()), read_plant('format = "whitemetal.procedure/1"\n' + "".join(parts)))
    at = [step.key for step in own if step.stage == "isolate"]
    tried = at.index("isolate.tried")
    assert at[tried + 1 : tried + 3] == ["isolate.first", "isolate.second"]
    assert at[-1] == "isolate.alone"


def test_what_protects_people_is_dropped_only_with_a_name_and_a_reason_and_stays_visible() -> None:
    own = {step.key: step for step in applied(generate(a_card()), read_plant(PLANT))}
    dropped = own["isolate.cooled"].dropped
    assert dropped is not None
    assert (dropped.by, dropped.why) == ("Engineer B (invented)", "cold plant")
    assert own["isolate.cooled"].cautions, "its caution stays"
    silent = PLANT.replace('why = "cold plant"\nby = "Engineer B (invented)"', 'why = "cold plant"')
    with pytest.raises(InputError) as refused:
        read_plant(silent)
    assert [(one.field, one.line) for one in refused.value.problems] == [("drop.2.by", 16)]
    assert "cannot go silently" in refused.value.problems[0].expected
    without = PLANT.replace('why = "our standard"\nby = "Engineer B (invented)"', "")
    with pytest.raises(InputError) as both:
        read_plant(without)
    assert [one.field for one in both.value.problems] == ["reword.1.by", "reword.1.why"]


def test_a_signed_file_answers_for_its_changes() -> None:
    silent = PLANT.replace('by = "Engineer B (invented)"\n', "")
    signed = silent.replace("\n\n[[add]]", '\nsigned_by = "Keeper C (invented)"\n\n[[add]]', 1)
    own = {step.key: step for step in applied(generate(a_card()), read_plant(signed))}
    dropped = own["isolate.cooled"].dropped
    assert dropped is not None and dropped.by == "Keeper C (invented)"


@pytest.mark.parametrize("key", [key for key, protected in all_keys().items() if protected])
def test_no_protected_step_at_all_goes_silently(key: str) -> None:
    text = f'format = "whitemetal.procedure/1"\n[[drop]]\nstep = "{key}"\nwhy = ""\n'
    with pytest.raises(InputError):
        read_plant(text)


WRONG = {
    "no format": ('[[drop]]\nstep = "strip.drained"\nwhy = "x"\n', "format", 1),
    "run-in demanded in a word": (
        'format = "whitemetal.procedure/1"\nrun_in_before_signing = "yes"\n', "run_in_before_signing", 2,
    ),
    "unknown step": (
        'format = "whitemetal.procedure/1"\n[[drop]]\nstep = "strip.draned"\nwhy = "x"\n', "drop.1.step", 3,
    ),
    "unknown key": (
        'format = "whitemetal.procedure/1"\n[[drop]]\nstep = "strip.drained"\nreason = "x"\nwhy = "x"\n',
        "drop.1.reason", 4,
    ),
    "a taken key": (
        'format = "whitemetal.procedure/1"\n[[add]]\nstep = "strip.drained"\ntext = "x"\nwhy = "y"\n',
        "add.1.step", 3,
    ),
    "no such stage": (
        'format = "whitemetal.procedure/1"\n[[add]]\nstep = "cleaning.mop"\ntext = "x"\nwhy = "y"\n',
        "add.1.step", 3,
    ),
    "no reason": (
        'format = "whitemetal.procedure/1"\n[[add]]\nstep = "strip.mop"\ntext = "x"\n', "add.1.why", 2,
    ),
    "unknown caution": (
        'format = "whitemetal.procedure/1"\n[[add]]\nstep = "strip.mop"\ntext = "x"\nwhy = "y"\n'
        'cautions = ["leed"]\n', "add.1.cautions", 6,
    ),
    "true in quotes": (
        'format = "whitemetal.procedure/1"\n[[add]]\nstep = "strip.mop"\ntext = "x"\nwhy = "y"\nhold = "yes"\n',
        "add.1.hold", 6,
    ),
    "one table instead of a list": (
        'format = "whitemetal.procedure/1"\n[drop]\nstep = "strip.drained"\nwhy = "x"\n', "drop", 2,
    ),
    "a caution without brackets": (
        'format = "whitemetal.procedure/1"\n[[add]]\nstep = "strip.mop"\ntext = "x"\nwhy = "y"\ncautions = "lead"\n',
        "add.1.cautions", 6,
    ),
    "a caution that is no word": (
        'format = "whitemetal.procedure/1"\n[[add]]\nstep = "strip.mop"\ntext = "x"\nwhy = "y"\n'
        'cautions = [["lead"], {a = 1}]\n', "add.1.cautions", 6,
    ),
    "brackets without end": ("a = " + "[" * 5000, "procedure", 1),
    "no TOML": ('format = "whitemetal.procedure/1"\nwhat is this\n', "procedure", 2),
}  # fmt: skip


@pytest.mark.parametrize("what", WRONG)
def test_a_wrong_file_is_refused_with_the_line(what: str) -> None:
    text, field, line = WRONG[what]
    with pytest.raises(InputError) as refused:
        read_plant(text)
    assert (field, line) in [(one.field, one.line) for one in refused.value.problems]


def test_an_empty_file_changes_nothing() -> None:
    steps = generate(a_card())
    assert applied(steps, read_plant(" \n")) == steps


def test_a_change_of_a_step_this_bearing_does_not_have_does_nothing() -> None:
    plant = read_plant('format = "whitemetal.procedure/1"\n[[drop]]\nstep = "close.mesh"\nwhy = "no gears"\n')
    steps = generate(a_card())
    assert applied(steps, plant) == steps
    geared = replace(plant)
    dropped = [
        step.key for step in applied(generate(a_card(machine__kind="gear unit")), geared) if step.dropped
    ]
    assert dropped == ["close.mesh"]


PAGE = Path(__file__).parents[2] / "docs" / "procedure.md"


def test_the_page_on_the_procedure_lists_every_step_and_its_example_is_read() -> None:
    text = PAGE.read_text(encoding="utf-8")
    listed = re.findall(r"^\| `(\w+\.\w+)` \| (yes)? *\| ([^|]*) \|", text, re.MULTILINE)
    meant = [
        (rule.key, "yes" if rule.hold else "",
         "people" if rule.people else f"trust: {rule.trust}" if rule.trust else "")
        for rule in RULES
    ]  # fmt: skip
    assert [(key, hold, protects.strip()) for key, hold, protects in listed] == meant
    example = read_plant(text.split("```toml\n")[1].split("```")[0])
    assert [len(each) for each in (example.adds, example.drops, example.rewords)] == [1, 1, 1]
