"""Bad input: exit status 2, every problem named on standard error, never a traceback, nothing guessed."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.cli.conftest import Command

CASES = {
    "empty": (b"", "line 1: readings:", "the file is empty"),
    "blank": (b"\n \n", "line 1: readings:", "the file is empty"),
    "a picture": (b"\x89PNG\r\n\x1a\n", "readings:", "a text file"),
    "a workbook": (b"PK\x03\x04\x14\x00", "readings:", "a text file"),
    "no encoding": (b"place;reading\nDE top;0.2 \x81mm\n", "line 2: readings:", "text in UTF-8; byte 0x81"),
    "no header": (b"DE top;0.2 mm\n", "line 1: header:", "the columns' names"),
    "thousands": (b'place;reading\nDE top;1,234 mm\n', 'line 2: reading DE top: "1,234 mm"', "1.234 or 1234"),
    "comma between commas": (b"place,reading\nDE top,0,243 mm\n", "line 2: row:", "quotation marks"),
    "no unit": (b"place;reading\nDE top;0.2\n", 'line 2: reading DE top: "0.2"', "a unit with the number"),
    "unknown unit": (b"place;reading\nDE top;0.2 ell\n", "line 2: reading DE top:", "one of the units mm"),
    "negative": (b"place;reading\nDE top;-0.2 mm\n", 'line 2: reading DE top: "-0.2 mm"', "above zero"),
    "zero": (b"place;reading\nDE top;0.000 mm\n", 'line 2: reading DE top: "0.000 mm"', "above zero"),
    "above the wire": (b"place;reading\nDE top;0.36 mm\n", "line 2: reading DE top:", "the wire's 0.35 mm"),
    "a milliard": (b"place;reading\nDE top;1e9 mm\n", 'line 2: reading DE top: "1e9 mm"', "a number below"),
    "written out": (b"place;reading\nDE top;1000000000 mm\n", "line 2: reading DE top:", "a number below"),
    "NaN": (b"place;reading\nDE top;NaN mm\n", 'line 2: reading DE top: "NaN mm"', "a number with its unit"),
    "infinite": (b"place;reading\nDE top;inf mm\n", "line 2: reading DE top:", "a number with its unit"),
    "a formula": (b"place;reading\nDE top;=A1\n", 'line 2: reading DE top: "=A1"', "a number with its unit"),
    "twice": (b"place;reading\nDE top;0.2 mm\nDE top;0.2 mm\n", "line 3: place DE top:", "read in line 2"),
    "nowhere": (b"place;reading\nDE tip;0.2 mm\n", 'line 2: place: "DE tip"', '"DE top"?'),
    "unknown instrument": (
        b"place;reading;instrument\nDE top;0.2 mm;M9\n", 'line 2: instrument: "M9"', "described: M1",
    ),
    "unknown column": (b"place;reading;colour\nDE top;0.2 mm;red\n", "line 1: header:", "a known column"),
    "binary": (bytes(range(256)), "line 2: readings:", "text in UTF-8; byte 0x80"),
}  # fmt: skip


@pytest.mark.parametrize("name", CASES)
def test_one_problem_is_named_with_its_line(judge: Command, name: str) -> None:
    typed, where, expected = CASES[name]
    for more in ((), ("--json",)):
        (problem,) = judge(typed, *more).wrong
        assert problem.startswith("  -: ")
        assert where in problem
        assert expected in problem


def test_all_problems_at_once_in_the_order_of_lines(judge: Command) -> None:
    texts = ("1,234 mm", "-1 mm", "0 mm", "0.2", "1e9 mm", "nan")
    places = ("DE left", "DE top", "DE right", "OE left", "OE top", "OE right")
    rows = [f"{place};{text};M1" for place, text in zip(places, texts, strict=True)]
    typed = "\n".join(["place;reading;instrument", *rows, "DE top;0.2 mm;M7", "ZZ;0.2 mm;M1"])
    found = judge(typed, "--fact", "wires_out=-4").wrong
    assert [problem.split(": ")[1] for problem in found if "line" in problem] == [
        *(f"line {number}" for number in range(2, 8)), "line 8", "line 8", "line 9",
    ]  # fmt: skip
    assert "wires_out" in found[0]
    for text in (*texts, "M7", "ZZ", "-4"):
        assert sum(f'"{text}" was typed' in problem for problem in found) == 1


def test_nothing_is_taken_for_a_place_with_a_bad_reading(judge: Command) -> None:
    """One bad cell holds everything: no verdict from the rest."""
    answer = judge("place;reading\nDE top;0.2 mm\nDE left;0.2 mm\nDE right;oops\n")
    assert len(answer.wrong) == 1
    assert "NOT PROVEN" not in answer.out + answer.err


def changed(mill: Path, *pairs: tuple[str, str]) -> Path:
    card = mill / "fan_drive_end.toml"
    text = card.read_text(encoding="utf-8")
    for old, new in pairs:
        assert text.count(old) == 1
        text = text.replace(old, new)
    card.write_text(text, encoding="utf-8")
    return card


@pytest.mark.parametrize("verb", ["card", "wire", "judge", "sheet"])
def test_a_card_with_several_faults_names_each_with_its_line(command: Command, mill: Path, verb: str) -> None:
    card = changed(
        mill,
        ('"990 rpm"', '"fast"'),
        ('"160.00 mm"', '"160,000 mm"'),
        ('"140 mm"', '"140"'),
        ('lubrication = "ring-oiled"', 'lubricaton = "ring-oiled"'),
        ('minimum = "0.15 mm"', 'minimum = "0.45 mm"'),
    )
    more = {"judge": ("-",), "sheet": ("-o", mill / "out.pdf")}.get(verb, ())
    found = command(verb, card, *more, typed="place;reading\nDE top;0.2 mm\n").wrong
    lines = card.read_text(encoding="utf-8").splitlines()
    for key, field in (
        ("speed", "machine.speed"),
        ("journal_diameter", "bearing.journal_diameter"),
        ("length", "bearing.length"),
        ("lubricaton", "bearing.lubricaton"),
        ("minimum", "limit.1.minimum"),
    ):
        number = 1 + next(n for n, line in enumerate(lines) if line.startswith(f"{key} "))
        assert [p for p in found if p.startswith(f"  {card}: line {number}: {field}: ")] != []
    assert len(found) == 5
    assert not (mill / "out.pdf").exists()


def test_a_limit_with_its_minimum_above_its_maximum(command: Command, mill: Path) -> None:
    card = changed(mill, ('minimum = "0.15 mm"', 'minimum = "0.26 mm"'))
    (problem,) = command("card", card).wrong
    assert "limit.1.minimum" in problem
    assert '"0.26 mm" was typed; expected a minimum below the maximum of 0.25 mm' in problem


def test_an_empty_card_and_a_card_that_is_a_picture(command: Command) -> None:
    assert "the file is empty" in command("card", "-").wrong[0]
    assert "a text file" in command("card", "-", typed=b"\xff\xd8\xff\xe0").wrong[0]


def test_files_that_cannot_be_read(command: Command, mill: Path) -> None:
    card, missing = mill / "fan_drive_end.toml", mill / "missing.csv"
    assert "no such file" in command("judge", card, missing).wrong[0]
    assert "is a directory" in command("judge", card, mill).wrong[0]
    assert str(missing) in command("judge", missing, card).wrong[0]
    large = mill / "large.csv"
    with large.open("wb") as file:
        file.truncate(5_000_001)
    assert "at most 5 MB" in command("judge", card, large).wrong[0]


def test_standard_input_is_read_once(command: Command, mill: Path) -> None:
    card = mill / "fan_drive_end.toml"
    for arguments in (("-", "-"), (card, "-", "--facts", "-"), ("-", card, "--facts", "-")):
        assert "one file from standard input" in command("judge", *arguments, typed=b"x").wrong[0]


def test_options_that_cannot_be(judge: Command) -> None:
    good = "place;reading\nDE top;0.2 mm\n"
    assert "KEY=TEXT" in judge(good, "--fact", "wire").wrong[0]
    assert '"wire_diameter"?' in judge(good, "--fact", "wire_diametr=0.35 mm").wrong[0]
    assert len(judge(good, "--fact", "torque=1 N m", "--fact", "torque=2 N m").wrong) == 1
    assert "a unit of length" in judge(good, "--unit", "furlong").wrong[0]
    assert "one of wire" in judge(good, "--method", "wires").wrong[0]
    assert "described: M1" in judge(good, "--instrument", "M2").wrong[0]


def test_nothing_typed_shows_the_help(command: Command) -> None:
    answer = command()
    assert (answer.status, answer.out) == (2, "")
    assert answer.err.startswith("usage: whitemetal")


def test_a_bore_for_which_wires_are_wrong(command: Command, mill: Path) -> None:
    card = changed(mill, ('profile = "plain"', 'profile = "tilting pad"'))
    answer = command("wire", card)
    assert (answer.status, answer.out) == (2, "")
    assert answer.err.startswith("Not done: ")
    assert "pad" in answer.err
    judged = command("judge", card, "-", typed="place;reading\nDE top;0.2 mm\n")
    assert (judged.status, judged.err) == (0, "")
    assert "refused: " in judged.out
    assert "The check: NOT PROVEN" in judged.out
    clearance = judged.out[judged.out.index("Oil clearance") :]
    assert clearance.splitlines()[1].startswith("  refused: The soft-wire method is wrong")
    assert "none from these readings" not in judged.out, "something was read, and refused"


def test_a_fault_of_the_program_itself_is_said_without_a_traceback(
    command: Command, mill: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    from whitemetal.fitting import wire_choice

    def broken(card: object) -> None:
        raise ZeroDivisionError("made for this test")

    monkeypatch.setattr(wire_choice, "advise", broken)
    answer = command("wire", mill / "fan_drive_end.toml")
    assert (answer.status, answer.out) == (1, "")
    assert "The program itself is at fault (ZeroDivisionError: made for this test)" in answer.err
    assert "Traceback" not in answer.err
    with pytest.raises(ZeroDivisionError):
        command("wire", mill / "fan_drive_end.toml", "--trace")
