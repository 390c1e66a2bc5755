"""The published schema says what the loader says, as far as a schema can."""

from __future__ import annotations

import tomllib
from importlib import resources

import jsonschema
import pytest

from whitemetal.card import CARD_FIELDS, card_from_texts, card_schema, read_card, texts_of, write_card
from whitemetal.card.build import Cell, build
from whitemetal.card.fields import TABLES
from whitemetal.errors import CardError
from whitemetal.gauging.wire.influences import DEFAULTS

DEMO = ["fan_drive_end", "gear_pinion_coupling_end", "motor_drive_end"]
VALIDATOR = jsonschema.Draft202012Validator(card_schema())


def demo(name: str) -> str:
    return resources.files("whitemetal.demo_mill").joinpath(f"{name}.toml").read_text("utf-8")


def test_the_schema_is_a_schema() -> None:
    jsonschema.Draft202012Validator.check_schema(card_schema())


@pytest.mark.parametrize("name", DEMO)
def test_demo_cards_fit_the_schema(name: str) -> None:
    VALIDATOR.validate(tomllib.loads(demo(name)))
    VALIDATOR.validate(tomllib.loads(write_card(read_card(demo(name)))))


@pytest.mark.parametrize(
    ("old", "new"),
    [
        ('format = "whitemetal.card/1"', ""),
        ('kind = "fan"', 'kind = "fann"'),
        ('"160.00 mm"', '"160.00"'),
        ('"160.00 mm"', '"160.00 lb"'),
        ('"160.00 mm"', "160.0"),
        ("count = 4", 'count = "four"'),
        ("count = 4", "count = 0"),
        ("scraping_allowed = true", 'scraping_allowed = "perhaps"'),
        ('tag = "TM-31-F02"', 'tga = "TM-31-F02"'),
        ('basis = "diametral"', ""),
        ('ends = ["drive end", "other end"]', 'ends = ["drive end"]'),
    ],
)
def test_schema_and_loader_refuse_alike(old: str, new: str) -> None:
    text = demo("fan_drive_end")
    assert old in text
    wrong = text.replace(old, new)
    assert list(VALIDATOR.iter_errors(tomllib.loads(wrong)))
    with pytest.raises(CardError):
        read_card(wrong)


def test_every_declared_default_is_the_default_of_the_card() -> None:
    bare = {
        "machine.tag": "1", "machine.name": "fan", "machine.kind": "fan", "machine.speed": "990 rpm",
        "bearing.position": "x", "bearing.journal_diameter": "160 mm", "bearing.length": "140 mm",
        "limit.1.maximum": "0.2 mm", "limit.1.basis": "diametral", "limit.1.rung": "owner's standard",
        "limit.1.document": "d", "limit.1.revision": "1",
    }  # fmt: skip
    stated = dict(bare)
    for field in CARD_FIELDS:
        if field.default is not None:
            path = field.path.replace("limit.", "limit.1.")
            assert path not in bare
            stated[path] = field.default
    one, other = card_from_texts(bare), card_from_texts(stated)
    assert len(stated) > len(bare)
    assert (one.machine, one.bearing, one.joint, one.fasteners, one.oil, one.duty, one.limits) == (
        other.machine, other.bearing, other.joint, other.fasteners, other.oil, other.duty, other.limits,
    )  # fmt: skip


def test_every_attribute_of_a_card_is_declared() -> None:
    card = read_card(demo("fan_drive_end"))
    attributes = {
        f"{table}.{name}"
        for table in TABLES
        if table not in ("limit", "uncertainty")
        for name in vars(getattr(card, table))
    } | {f"limit.{name}" for name in vars(card.limits[0])}
    assert attributes == {field.path for field in CARD_FIELDS if field.table != "uncertainty"}


def test_uncertainty_on_a_card_is_what_the_wire_method_asks() -> None:
    declared = {field.key: field for field in CARD_FIELDS if field.table == "uncertainty"}
    assert set(declared) == set(DEFAULTS)
    kinds = {"m": "length", "K": "temperature difference", "of the thickness": "ratio"}
    assert {key: field.dimension for key, field in declared.items()} == {
        key: kinds[default.unit] for key, default in DEFAULTS.items()
    }


@pytest.mark.parametrize("name", DEMO)
def test_a_form_makes_the_same_card_as_the_file(name: str) -> None:
    card = read_card(demo(name))
    assert card_from_texts(texts_of(card)) == card


def test_a_form_names_every_problem() -> None:
    with pytest.raises(CardError) as caught:
        card_from_texts(
            {"machine.tag": "1", "bearing.legnth": "3 mm", "limit.1.minimum": "1 mm", "oil.grade": " "}
        )
    fields = {problem.field for problem in caught.value.problems}
    assert {"machine.name", "bearing.legnth", "bearing.length", "limit.1.basis"} <= fields


def test_nothing_typed_is_lost_in_a_card() -> None:
    card, problems = build({"machine.tag": Cell("A")}, set())
    assert card is None
    assert problems


LIMIT_OF_CRUSH = """
[[limit]]
of = "crush"
minimum = "-0.01 mm"
maximum = "0.04 mm"
basis = "diametral"
rung = "owner's standard"
document = "shop sheet 4 (invented)"
revision = "1"
"""


@pytest.mark.parametrize(
    ("old", "new"),
    [
        ('of = "crush"', 'of = "crsh"'),
        ('"0.04 mm"', '"0.04 Mohm"'),
        ('basis = "diametral"', 'basis = "radial"'),
        ('basis = "diametral"', ""),
        ('of = "crush"', 'of = "contact arc"'),
    ],
)
def test_schema_and_loader_agree_on_a_limit_of_another_quantity(old: str, new: str) -> None:
    right = demo("fan_drive_end") + LIMIT_OF_CRUSH
    assert list(VALIDATOR.iter_errors(tomllib.loads(right))) == []
    limit = read_card(right).limits[-1]
    assert (limit.of, limit.minimum, limit.maximum) == ("crush", -1e-5, 4e-5)
    wrong = demo("fan_drive_end") + LIMIT_OF_CRUSH.replace(old, new)
    assert list(VALIDATOR.iter_errors(tomllib.loads(wrong)))
    with pytest.raises(CardError):
        read_card(wrong)


def test_a_joint_gap_is_carried_to_a_diametral_figure_by_pi() -> None:
    """Excess of circumference over excess of diameter: pi, derived from geometry."""
    text = demo("fan_drive_end") + LIMIT_OF_CRUSH.replace('"diametral"', '"joint gap"').replace("-0.01", "0")
    crush = read_card(text).limits[-1]
    assert crush.in_main_basis("maximum") == pytest.approx(4e-5 / 3.14159265, rel=1e-8)
    assert crush.maximum == 4e-5


def test_a_quantity_with_one_basis_needs_none_said() -> None:
    text = demo("fan_drive_end") + (
        '[[limit]]\nof = "insulation resistance"\nminimum = "1 Mohm"\nrung = "owner\'s standard"\n'
        'document = "shop sheet 5 (invented)"\nrevision = "1"\n'
    )
    insulation = read_card(text).limits[-1]
    assert (insulation.minimum, insulation.basis) == (1e6, "as it is")
