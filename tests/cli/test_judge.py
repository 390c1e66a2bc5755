"""judge: a verdict is an answer whichever it is, and every reading stands at its place."""

from __future__ import annotations

import json
import re
from pathlib import Path
from typing import Any

import jsonschema
import pytest

from tests.cli.conftest import Command
from whitemetal.job.judgement_schema import judgement_schema

SIX = {
    "DE left": "0.191", "DE top": "0.202", "DE right": "0.193", "OE left": "0.194", "OE top": "0.205",
    "OE right": "0.196",
}  # fmt: skip
"""Six readings [mm], no two the same."""


def csv(readings: dict[str, str] = SIX) -> str:
    return "place;reading [mm]\n" + "".join(f"{place};{text}\n" for place, text in readings.items())


def told(answer: Any) -> dict[str, Any]:
    """The judgement that was printed, which must be JSON that any reader takes."""

    def refuse(word: str) -> None:
        raise AssertionError(f"{word} is no JSON")

    judgement: dict[str, Any] = json.loads(answer.out, parse_constant=refuse)
    return judgement


@pytest.mark.parametrize(
    ("minimum", "maximum", "verdict"),
    [
        ("0.15 mm", "0.25 mm", "within limits"),
        ("0.30 mm", "0.40 mm", "outside limits"),
        ("0.19 mm", "0.25 mm", "not proven"),
    ],
)
def test_a_verdict_is_an_answer_whichever_it_is(
    judge: Command, mill: Path, minimum: str, maximum: str, verdict: str
) -> None:
    card = mill / "fan_drive_end.toml"
    text = card.read_text(encoding="utf-8")
    changed = text.replace('"0.15 mm"', f'"{minimum}"').replace('"0.25 mm"', f'"{maximum}"')
    card.write_text(changed.replace('"0.35 mm"', '"0.50 mm"'), encoding="utf-8")
    shown = judge(csv())
    assert (shown.status, shown.err) == (0, "")
    assert f"The check: {verdict.upper()}\n" in shown.out
    as_data = judge(csv(), "--json")
    assert as_data.status == 0
    assert told(as_data)["verdict"] == verdict


def test_the_json_carries_what_a_script_needs(judge: Command) -> None:
    judgement = told(judge(csv(), "--json"))
    assert judgement["format"] == "whitemetal.judgement/1"
    clearance = judgement["clearance"]
    assert {"diametral_m", "radial_m", "u_m", "dof", "end_to_end_m", "places"} <= set(clearance)
    assert clearance["radial_m"] == pytest.approx(clearance["diametral_m"] / 2)
    assert clearance["diametral_m"] == pytest.approx(0.199e-3, abs=4e-6)
    assert 1e-6 < clearance["u_m"] < 20e-6
    needed = {"label", "axial_m", "angle_rad", "diametral_m", "radial_m", "u_m", "verdict"}
    assert [place["label"] for place in clearance["places"]] == list(SIX)
    for place in clearance["places"]:
        assert needed <= set(place)
        assert place["reading_m"] == pytest.approx(float(SIX[place["label"]]) * 1e-3)
        assert place["radial_m"] == pytest.approx(place["diametral_m"] / 2)
        side = {"left": -1.0, "top": 0.0, "right": 1.0}[place["label"].split()[1]]
        assert place["angle_rad"] == pytest.approx(0.2 * side)
    limits = judgement["limits"]
    assert (limits["minimum_m"], limits["maximum_m"]) == (pytest.approx(0.15e-3), pytest.approx(0.25e-3))
    assert (limits["basis"], limits["rung"]) == ("diametral", "maker's figure for this machine")
    assert limits["source"].startswith("maker's book, section 6, table 3")
    assert 0.95 <= judgement["probability"] <= 1.0
    for key in ("reasons", "warnings", "next", "budget"):
        assert isinstance(judgement[key], list)
    assert judgement["reasons"] and judgement["next"]
    assert sum(line["share"] for line in judgement["budget"]) == pytest.approx(1.0)
    jsonschema.Draft202012Validator(judgement_schema()).validate(judgement)


def test_no_clearance_is_no_crash(command: Command, mill: Path) -> None:
    """A card without limits, and nothing but one reading."""
    arguments = ("judge", mill / "motor_drive_end.toml", "-")
    answer = command(*arguments, typed="place;reading\nDE top;0,243 mm\n")
    assert answer.status == 0
    assert "The check: NOT PROVEN" in answer.out
    assert "none with authority on this card" in answer.out
    judgement = told(command(*arguments, "--json", typed="place;reading\nDE top;0,243 mm\n"))
    assert judgement["limits"] is None
    assert {hold["severity"] for hold in judgement["warnings"]} >= {"hold"}


def drawing(text: str) -> list[str]:
    """The lines of the picture, from its upper edge to its lower."""
    lines = text.splitlines()
    top = next(number for number, line in enumerate(lines) if "┌" in line)
    bottom = next(number for number, line in enumerate(lines) if "└" in line)
    return lines[top : bottom + 1]


def test_every_reading_stands_at_its_place(judge: Command) -> None:
    """Each text below its own label: left at the left, the far end above, each number once."""
    lines = drawing(judge(csv()).out)
    found = {}
    numbers = {}
    for number, line in enumerate(lines):
        for label in re.finditer(r"\d (OE|DE) (left|top|right)", line):
            below = lines[number + 1]
            near = [
                text.group()
                for text in re.finditer(r"\d[.]\d+", below)
                if text.start() < label.end() and label.start() < text.end()
            ]
            found[label.group()[2:]] = (near, number, label.start())
            numbers[int(label.group()[0])] = label.group()[2:]
    assert [numbers[number] for number in range(1, 7)] == list(SIX)
    assert {place: near for place, (near, *_) in found.items()} == {p: [text] for p, text in SIX.items()}
    assert found["OE top"][1] < found["DE top"][1]
    assert found["DE left"][2] < found["DE top"][2] < found["DE right"][2]
    assert sum(line.count("0.202") for line in lines) == 1


def test_what_a_person_typed_is_drawn(judge: Command) -> None:
    lines = drawing(judge("place;reading\nDE top;0,20 mm\n").out)
    assert sum("0,20 mm" in line for line in lines) == 1


def test_the_sides_of_another_view(judge: Command, mill: Path) -> None:
    card = mill / "fan_drive_end.toml"
    text = card.read_text(encoding="utf-8")
    card.write_text(text.replace('view_from = "drive end"', 'view_from = "other end"'), encoding="utf-8")
    answer = judge(csv())
    assert "seen from the other end" in answer.out
    assert "seen from the drive end" not in answer.out


@pytest.mark.parametrize("form", ["csv", "toml"])
def test_readings_from_a_file_and_from_standard_input_are_the_same(
    command: Command, mill: Path, form: str
) -> None:
    if form == "csv":
        card, readings = mill / "fan_drive_end.toml", mill / "fan_drive_end.csv"
        more: tuple[str | Path, ...] = ("--facts", mill / "fan_drive_end.facts.toml")
    else:
        card = mill / "gear_pinion_coupling_end.toml"
        readings, more = mill / "gear_pinion_coupling_end.readings.toml", ()
    from_file = command("judge", card, readings, *more)
    piped = command("judge", card, "-", *more, typed=readings.read_bytes())
    assert from_file == piped
    assert from_file.status == 0
    assert from_file.out.count("The check:") == 1
    by_card = command("judge", "-", readings, *more, typed=card.read_bytes())
    assert by_card == from_file


def test_decimal_commas_and_points_are_the_same(judge: Command) -> None:
    commas = {place: text.replace(".", ",") for place, text in SIX.items()}
    assert told(judge(csv(commas), "--json")) == told(judge(csv(), "--json"))
    quoted = "place,reading\n" + "".join(f'{place},"{text} mm"\n' for place, text in commas.items())
    assert told(judge(quoted, "--json"))["clearance"] == told(judge(csv(), "--json"))["clearance"]


def test_facts_on_the_command_line_stand_over_those_of_the_file(judge: Command) -> None:
    usual, thin = (
        {warning["code"] for warning in told(judge(csv(), "--json", *more))["warnings"]}
        for more in ((), ("--fact", "wire_diameter=0.21 mm"))
    )
    assert thin - usual == {"wire.hardly_flattened", "wire.little_flattened"}


def test_a_unit_given_beside_the_readings(judge: Command) -> None:
    bare = csv().replace(" [mm]", "")
    assert judge(bare).status == 2
    assert told(judge(bare, "--json", "--unit", "mm")) == told(judge(csv(), "--json"))


def test_western_letters_are_read_and_said_beside_the_json(judge: Command) -> None:
    typed = (csv().replace("[mm]", "[mm];remark") + "OE top;0,205;süd\n").encode("cp1252")
    typed = typed.replace(b"OE top;0.205\n", b"")
    for more in ((), ("--json",)):
        answer = judge(typed, *more)
        assert answer.status == 0
        where = answer.err if more else answer.out
        assert "read as Windows-1252" in where
    assert told(judge(typed, "--json"))["verdict"] == told(judge(csv(), "--json"))["verdict"]
    found = {
        place["label"]: place["reading_m"] for place in told(judge(typed, "--json"))["clearance"]["places"]
    }
    assert found == {place: pytest.approx(float(text) * 1e-3) for place, text in SIX.items()}


def test_simple_acceptance_is_somebodys_decision(judge: Command, mill: Path) -> None:
    card = mill / "fan_drive_end.toml"
    text = card.read_text(encoding="utf-8")
    text = text.replace('"0.15 mm"', '"0.19 mm"\nwith_wire_method = true')
    card.write_text(text, encoding="utf-8")
    assert judge(csv(), "--rule", "simple").wrong == [
        "  --by: nothing was typed; expected the engineer's name with --by: simple acceptance is a decision somebody takes"
    ]
    judgement = told(
        judge(csv(), "--json", "--rule", "simple", "--by", "B. Fair", "--why", "stated together")
    )
    assert judgement["verdict"] == "within limits"
    assert "B. Fair" in judgement["decision_rule"]
    assert told(judge(csv(), "--json"))["verdict"] == "not proven"
