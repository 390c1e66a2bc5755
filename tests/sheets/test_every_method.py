"""Paper for every gauging method there is and for made-up ones: nothing of a declaration or a judgement is lost."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import Any
from xml.etree import ElementTree

import pytest

from tests.gauging.build import card
from tests.gauging.made_up import DAB, MADE_UP, SHOVE, SPIN
from tests.sheets import build
from whitemetal.card import LIMITED, Card, Limit
from whitemetal.drawing import carrier_of
from whitemetal.gauging import METHODS
from whitemetal.gauging.contract import Fact, Method, Place, Reading
from whitemetal.job.judge import judge_readings
from whitemetal.job.judgement import Struck
from whitemetal.job.judgement_json import as_json
from whitemetal.sheets import blank_sheet, data_sheet, pictures_of
from whitemetal.sheets.facts import as_typed
from whitemetal.words import say

EVERY = (*METHODS.values(), *MADE_UP)
CARD = card(limits=())
USUAL = {
    "length": "0.02 mm", "ratio": "0.2 %", "resistance": "50 Mohm", "angle": "60 deg", "torque": "210 N m",
    "temperature": "20 degC", "force": "50 N", "velocity": "1.0 mm/s",
}  # fmt: skip
BY_KIND = {"number": "12", "date": "2027-03-01", "yes or no": "yes", "text": "noted"}


def facts_for(method: Method) -> dict[str, Fact]:
    """A plausible text for every fact of the check."""
    return {
        field.key: Fact(
            USUAL[str(field.dimension)] if field.kind == "quantity"
            else field.choices[0] if field.choices
            else BY_KIND[field.kind]
        )
        for field in method.fields
        if field.scope == "check"
    }  # fmt: skip


def readings_for(method: Method, places: Sequence[Place]) -> tuple[Reading, ...]:
    """A reading at every place, each typed differently: choices in turn, else lengths."""
    found = []
    for i, place in enumerate(places):
        if method.reading_field.kind == "choice":
            word = i % len(method.reading_field.choices)
            found.append(Reading(place.label, method.reading_field.choices[word], float(word), 0.0))
        else:
            text = f"{160.0 + 0.001 * i if method.key in ('bore', 'journal') else 0.3 + 0.001 * i:.3f}"
            found.append(Reading(place.label, f"{text} mm", float(text) * 1e-3, 1e-6, 1, "M-7"))
    return tuple(replace(one, entry=f"E{i}") for i, one in enumerate(found))


def made(method: Method, one: Card = CARD, **changed: Any) -> tuple[str, dict[str, Any]]:
    """Text of a method's data sheet, and its judgement."""
    places = method.default_places(one)
    facts = {**facts_for(method), **changed.pop("facts", {})}
    readings = changed.pop("readings", readings_for(method, places))
    judgement = as_json(
        judge_readings(method, one, places, facts, readings, struck=changed.pop("struck", ()))
    )  # fmt: skip
    pdf = data_sheet(
        judgement, one, method, places=places, readings=readings, facts=facts, job=build.JOB,
        entries=build.entries(len(readings)), **changed,
    )  # fmt: skip
    return squeezed(build.text_of(pdf)), judgement


def squeezed(text: str) -> str:
    return "".join(text.split())


def ids(method: Method) -> str:
    return method.key


@pytest.mark.parametrize("method", EVERY, ids=ids)
def test_the_data_sheet_carries_the_whole_judgement(method: Method) -> None:
    text, judgement = made(method)
    assert squeezed(method.title) in text
    assert judgement["verdict"].upper().replace(" ", "") in text
    for one in (*judgement["reasons"], *judgement["next"], *judgement["settle"], *judgement["unknown"]):
        assert squeezed(one) in text
    for warned in judgement["warnings"]:
        assert squeezed(f"{warned['severity']}{warned['place']}{warned['text']}") in text
    for place in (judgement["clearance"] or {"places": ()})["places"]:
        figures = f"{1e3 * place['diametral_m']:.3f}{1e3 * place['radial_m']:.4f}"
        title = place["title"] if method.key != "wire" else ""
        assert place["label"] in text.replace(squeezed(place["label"]), place["label"])
        assert squeezed(title) in text
        assert figures in text
    for quantity in judgement["assessed"]:
        assert squeezed(quantity["label"]) in text
        assert squeezed(quantity["note"]) in text
        for rule in quantity["rules"]:
            assert squeezed(f"{rule['title']}, {rule['source']}") in text


@pytest.mark.parametrize("method", EVERY, ids=ids)
def test_every_fact_and_every_line_of_the_sheet_stands_as_typed(method: Method) -> None:
    text, _ = made(method)
    facts = facts_for(method)
    for field in method.fields:
        if field.scope == "check":
            assert squeezed(field.label + facts[field.key].text) in text
    for line in method.sheet_lines:
        typed = facts[line.key].text if line.key in facts else ""
        assert squeezed(line.label + typed) in text


@pytest.mark.parametrize("method", [one for one in EVERY if one.reading_field.kind == "quantity"], ids=ids)
def test_every_reading_stands_in_the_drawing_and_in_both_tables(method: Method) -> None:
    places = method.default_places(CARD)
    text, _ = made(method)
    for number, (place, reading) in enumerate(
        zip(places, readings_for(method, places), strict=True), start=1
    ):
        assert text.count(squeezed(reading.text)) >= 3
        assert squeezed(f"{number}{place.label}") in text


@pytest.mark.parametrize("method", EVERY, ids=ids)
def test_the_drawing_that_carries_the_places_is_the_one_the_method_names(method: Method) -> None:
    places = method.default_places(CARD)
    judgement = as_json(judge_readings(method, CARD, places, {}, ()))
    drawn = pictures_of(judgement, CARD, places, method=method)
    named = {"unrolled half": "wm-unrolled", "round": "wm-round", "contact grid": "wm-grid", "": ""}
    assert bool(drawn.places) is bool(places)
    assert bool(drawn.section) is ("section" in method.views)
    if places:
        root = ElementTree.fromstring(drawn.places)
        assert named[carrier_of(method.views)] in root.get("class", "")
        said = root[1].text or ""
        assert all(place.label in said for place in places) or "contact grid" in method.views
    if drawn.section and "unrolled half" not in method.views:
        assert "wm-wire" not in drawn.section


@pytest.mark.parametrize("method", EVERY, ids=ids)
def test_the_blank_sheet_asks_everything_and_says_when_to_reject(method: Method) -> None:
    text = squeezed(build.text_of(blank_sheet(CARD, method)))
    for field in method.fields:
        assert squeezed(field.label) in text
        assert all(squeezed(choice) in text for choice in field.choices)
    for number, place in enumerate(method.default_places(CARD), start=1):
        label = place.label.removeprefix(place.piece).strip()
        if "contact grid" not in method.views:
            assert str(number) in text and (label[0].isdigit() or squeezed(label) in text)
    for asked in (
        *(p.text for p in method.hold_points),
        *(r.text for r in method.rejection_rules),
        *method.steps,
    ):
        assert squeezed(asked) in text
    for key in (*method.cautions, "defer"):
        assert squeezed(say(f"caution.{key}")) in text
    for rule in method.rules(CARD):
        assert squeezed(f"{rule.title}, {rule.source}") in text
    missing = squeezed(say("sheet.no_limit_on_card"))
    assert text.count(missing) == len(method.assesses)


@pytest.mark.parametrize("method", [one for one in EVERY if one.measures != "oil clearance"], ids=ids)
def test_nothing_is_said_of_a_clearance_nobody_measured(method: Method) -> None:
    text, judgement = made(method)
    assert judgement["clearance"] is None
    for room in ("no_result", "oil_clearance", "no_limits", "rules_of_thumb"):
        assert squeezed(say(f"sheet.{room}")) not in text


def limited(of: str, low: float | None, high: float | None, **more: Any) -> Card:
    limit = Limit(of, low, high, "maker's figure for this machine", "invented drawing 9", "B", **more)
    return card(limits=(limit,))


def test_an_assessed_quantity_carries_value_uncertainty_limit_and_word() -> None:
    """SPIN is good to 1 µm (normal, k = 1.96): readings 0.300 to 0.303 make 0.003 mm in each ring."""
    one = limited("journal out-of-round", None, 0.02e-3, renewal=0.05e-3)
    text, judgement = made(SPIN, one, facts={"bent": Fact("no")})
    assert judgement["verdict"] == "within limits"
    for ring in ("near", "far"):
        assert squeezed(f"{ring} 0.003 ± 0.0020 within limits") in text
    assert (
        squeezed(
            "judged by: at most 0.020 mm, maker's figure for this machine, invented drawing 9, revision B"
        )
        in text
    )
    assert squeezed("renewal 0.050 mm") in text
    assert squeezed(say("sheet.no_limit_on_card")) not in text


def test_a_limit_in_another_basis_says_how_it_was_written() -> None:
    """A joint gap of 0.157 mm is a diametral interference of 0.157 / pi = 0.050 mm."""
    one = limited("crush", 0.0785398e-3, 0.1570796e-3, basis="joint gap")
    text = squeezed(build.text_of(blank_sheet(one, METHODS["crush"])))
    assert (
        squeezed(
            "0.025 … 0.050 mm, maker's figure for this machine, invented drawing 9, revision B (written joint gap)"
        )
        in text
    )


def test_a_fault_outranks_numbers_and_is_printed_first() -> None:
    one = limited("end float", 0.0, 1e-3)
    text, judgement = made(SHOVE, one, facts={"cracked": Fact("yes"), "bar": Fact("jack")})
    assert judgement["verdict"] == "outside limits"
    assert squeezed("fault The thrust collar is cracked.") in text
    fine, _ = made(SHOVE, one, facts={"cracked": Fact("no")})
    assert "faultThe" not in fine
    judgement["warnings"] = [
        {"code": severity, "severity": severity, "text": f"Invented {severity}.", "source": "", "place": ""}
        for severity in ("note", "warning", "question", "hold", "refused", "fault")
    ]
    pdf = data_sheet(judgement, one, SHOVE, places=(), readings=(), facts={})
    text = build.text_of(pdf)
    at = [
        text.index(f"Invented {severity}.") for severity in ("fault", "refused", "hold", "question", "note")
    ]
    assert at == sorted(at)


def test_a_place_carries_the_word_of_the_quantity_assessed_there() -> None:
    """Gaps of 0.300 to 0.307 mm against at most 0.2 mm: every place of the air gap is outside."""
    method = METHODS["air_gap"]
    one = limited("motor air gap", None, 0.2e-3)
    places = method.default_places(one)
    readings = readings_for(method, places)
    judgement = as_json(judge_readings(method, one, places, facts_for(method), readings))
    drawn = pictures_of(judgement, one, places, readings, method=method)
    assert (ElementTree.fromstring(drawn.places)[1].text or "").count("outside limits") == len(places)


def test_what_was_seen_in_each_cell_is_drawn_and_listed_with_who_and_when() -> None:
    places = DAB.default_places(CARD)
    text, _ = made(DAB)
    heavy = [place.label for place in places][::3]
    assert (
        squeezed(" ".join(heavy) + " 1 heavy A. Fitter 2026-03-02 10:00 +01:00 – 2026-03-02 10:09 +01:00")
        in text
    )
    assert squeezed(say("sheet.places_and_readings")) not in text
    struck = (Struck(places[0].label, "light", "B. Helper", "smeared"),)
    assert squeezed("struck by B. Helper: smeared") in made(DAB, struck=struck)[0]
    unread, _ = made(DAB, unreadable=(("E1", places[1].label, "blueish"),))
    assert squeezed("blueish (could not be read)") in unread


def test_a_check_of_facts_alone_prints_no_empty_tables() -> None:
    text, _ = made(SHOVE)
    for heading in ("places_and_readings", "readings", "limits_heading"):
        assert squeezed(say(f"sheet.{heading}")) not in text or heading == "limits_heading"
    assert squeezed("Insulation of the wall 50 Mohm") in text


def test_several_readings_of_one_place_are_drawn_as_their_mean() -> None:
    """0.300 and 0.304 at the first place: 0.302 on the drawing, both as typed in the tables."""
    places = SPIN.default_places(CARD)
    first = readings_for(SPIN, places)
    again = replace(first[0], text="0.304 mm", value=0.304e-3)
    drawn = pictures_of(
        as_json(judge_readings(SPIN, CARD, places, {}, (*first, again))),
        CARD,
        places,
        (*first, again),
        method=SPIN,
    )
    assert "near 0: 0.302 (×2)" in (ElementTree.fromstring(drawn.places)[1].text or "")


@pytest.mark.parametrize(
    ("typed", "shown"),
    [
        ("0.50", "0.50 (mm)"), ("0,50", "0,50 (mm)"), ("5e-1", "5e-1 (mm)"), ("0.50 mm", "0.50 mm"),
        ("20 thou", "20 thou"), ("thick", "thick"),
    ],
)  # fmt: skip
def test_a_bare_number_is_printed_with_the_unit_it_was_read_in(typed: str, shown: str) -> None:
    [wire] = [field for field in METHODS["wire"].fields if field.key == "wire_diameter"]
    assert as_typed(wire, typed, CARD) == shown
    [rag] = DAB.fields
    assert as_typed(rag, typed, CARD) == typed


def test_a_bare_wire_diameter_carries_its_unit_on_the_sheet() -> None:
    text = squeezed(build.text_of(build.sheet(facts={**build.FACTS, "wire_diameter": Fact("0.50", 0.5e-3)})))
    assert squeezed("Wire diameter 0.50 (mm)") in text


def test_every_quantity_a_method_assesses_can_be_shown() -> None:
    for method in EVERY:
        assert set(method.assesses) <= set(LIMITED)
