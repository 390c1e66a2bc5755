"""The data sheet: what must stand on it, and what must not break it."""

from __future__ import annotations

import io
import re
import statistics
import time
from dataclasses import replace
from functools import cache
from importlib import resources
from itertools import groupby
from typing import Any

import pytest
from pypdf import PdfReader

from tests.gauging.build import card
from tests.sheets import build
from whitemetal.card import Card, read_card
from whitemetal.fitting.consequence import Consequence, consequence
from whitemetal.fitting.rules import rules_for
from whitemetal.gauging.contract import Fact, Field, Named, Result
from whitemetal.gauging.wire import WIRE
from whitemetal.job.judge import judge_readings
from whitemetal.job.judgement_json import as_json
from whitemetal.quantity import Influence, Quantity
from whitemetal.sheets import JobHead, blank_sheet, press
from whitemetal.words import say

HOSTILE = '#panic() $x$ *b* _i_ <script> [x] \\ "q" @ref `raw` // /* = h ' + "\x00\x1b\u202e"
ENDLESS = "W" * 700


@pytest.fixture(scope="module")
def printed() -> str:
    return build.text_of(build.sheet())


def squeezed(text: str) -> str:
    return "".join(text.split())


def test_text_can_be_extracted_and_says_who_what_and_when(printed: str) -> None:
    for words in (
        "TM-FAN-12", "induced-draught fan", "drive end bearing", "WO-7731", "Opening of the fan", "AS FOUND",
        "2026-03-02", "page 1 of", "0.0.0", "A. Fitter", "2026-03-02 10:00 +01:00",
    ):  # fmt: skip
        assert words in printed


def test_verdict_stands_beside_the_open_hold_points(printed: str) -> None:
    assert "WITHIN LIMITS" in printed
    assert "NOT FIT" in printed
    assert say("sheet.no_leave") in printed
    assert "alignment" in printed
    after = printed[printed.index(say("sheet.still_open")) :]
    assert after.index("alignment") < 200


def test_without_a_job_no_hold_point_counts_as_closed() -> None:
    judgement = as_json(judge_readings(WIRE, build.CARD, build.PLACES, build.FACTS, build.taken()))
    text = build.text_of(build.sheet(judgement=judgement))
    assert "NOT FIT" in text
    assert say("sheet.no_leave") in text
    assert say("sheet.no_holds_kept") in text


def test_both_bases_with_their_uncertainty_are_printed() -> None:
    judgement = as_json(judge_readings(WIRE, build.CARD, build.PLACES, build.FACTS, build.taken()))
    clearance = judgement["clearance"]
    text = build.text_of(build.sheet())
    assert f"{1e3 * clearance['diametral_m']:.3f} mm" in text
    assert f"{1e3 * clearance['diametral_m'] / 2:.4f} mm" in text
    digits = 3 if clearance["expanded_m"] >= 10e-6 else 4
    assert f"{1e3 * clearance['expanded_m']:.{digits}f} mm" in text
    assert 1e3 * clearance["diametral_m"] == pytest.approx(0.240, abs=1e-3)


def test_every_reading_stands_as_typed_in_table_and_drawing() -> None:
    text = build.text_of(build.sheet())
    for reading in build.taken():
        assert text.count(reading.text) >= 3
    typed = tuple(replace(one, text=f"0,24{i}0 mm") for i, one in enumerate(build.taken()))
    text = build.text_of(build.sheet(readings=typed))
    for reading in typed:
        assert reading.text in text


def test_struck_and_unreadable_readings_stay_visible() -> None:
    text = build.text_of(build.sheet(unreadable=(("E3", "OE top", "a quarter"),)))
    assert text.count("0.432 mm") >= 2
    assert "struck by B. Helper: misread the barrel" in text
    assert "a quarter" in text
    assert say("sheet.not_read") in text


def test_limits_carry_rung_source_basis_and_acceptance_edges(printed: str) -> None:
    judgement = as_json(judge_readings(WIRE, build.CARD, build.PLACES, build.FACTS, build.taken()))
    edges = judgement["limits"]["accept_from_m"], judgement["limits"]["accept_to_m"]
    assert "0.200 … 0.280" in printed
    assert "0.1000 … 0.1400" in printed
    assert " … ".join(f"{1e3 * edge:.3f}" for edge in edges) in printed
    assert "maker's figure for this machine" in printed
    assert "invented drawing 12-3, revision C" in printed
    assert "written diametral" in printed


def test_without_a_makers_figure_the_rules_stand_side_by_side_and_provisional() -> None:
    one = card(limits=())
    text = build.text_of(build.sheet(card=one))
    rules = rules_for(one)
    assert len(rules) >= 3
    assert say("sheet.rules_of_thumb") in text
    for figures in rules:
        assert squeezed(figures.rule.source) in squeezed(text)
    assert say("sheet.provisional") in text


def test_budget_defaults_and_cautions_are_printed_with_their_source(printed: str) -> None:
    judgement = as_json(judge_readings(WIRE, build.CARD, build.PLACES, build.FACTS, build.taken()))
    bare = squeezed(printed)
    assert judgement["budget"]
    assert judgement["assumed"]
    for line in judgement["budget"]:
        assert squeezed(line["label"]) in bare
        assert squeezed(line["source"]) in bare
    for label, text, source in judgement["assumed"]:
        assert squeezed(label + text + source) in bare
    for key in (*WIRE.cautions, "defer"):
        assert say(f"caution.{key}") in printed


def test_signatures_digests_and_next_steps_are_printed(printed: str) -> None:
    assert say("sheet.did_it") in printed
    assert say("sheet.checked_it") in printed
    assert "ab" * 32 in printed
    for entry in build.entries(9):
        assert entry.digest in printed
    judgement = as_json(
        judge_readings(WIRE, build.CARD, build.PLACES, build.FACTS, build.taken(), holds=build.HOLDS)
    )
    assert judgement["next"]
    for line in judgement["next"]:
        assert line in printed


def test_a_check_without_readings_still_prints() -> None:
    text = build.text_of(build.sheet(readings=(), entries=()))
    assert "NOT PROVEN" in text
    assert say("sheet.no_result") in text


def test_a_stale_check_says_so() -> None:
    judgement = as_json(
        judge_readings(
            WIRE, build.CARD, build.PLACES, build.FACTS, build.taken(), stale="shims changed since."
        )
    )
    assert "No longer counts. shims changed since." in build.text_of(build.sheet(judgement=judgement))


def test_contradictions_are_printed() -> None:
    text = build.text_of(build.sheet(contradictions=("DE top: 0.240 mm and 0.260 mm.",)))
    assert say("sheet.contradiction") in text
    assert "DE top: 0.240 mm and 0.260 mm." in text


def test_any_method_prints_from_its_declaration() -> None:
    extra = Field("mood", "Mood of the fitter", "choice", choices=("good", "bad"))
    dummy = replace(WIRE, title="Invented check", fields=(*WIRE.fields, extra))
    text = build.text_of(
        build.sheet(method=dummy, facts={**build.FACTS, "mood": Fact("good"), "odd": Fact("7")})
    )
    assert "Invented check" in text
    assert "Mood of the fitter good" in text
    assert "odd 7" in text


def test_same_input_same_bytes_whatever_the_clock() -> None:
    first, undated, blank = build.sheet(), build.sheet(entries=()), blank_sheet(card(), WIRE)
    time.sleep(1.1)
    assert build.sheet() == first
    assert build.sheet(entries=()) == undated
    assert blank_sheet(card(), WIRE) == blank


def test_the_pdf_is_dated_from_the_entries_tagged_and_archivable() -> None:
    reader = PdfReader(io.BytesIO(build.sheet()))
    assert reader.metadata is not None
    assert str(reader.metadata["/CreationDate"]).startswith("D:20260302")
    root: Any = reader.trailer["/Root"]
    assert root["/MarkInfo"]["/Marked"]
    assert root["/Lang"] == "en"
    xmp = root["/Metadata"].get_object().get_data().decode()
    assert "<pdfaid:part>2</pdfaid:part>" in xmp
    assert "<pdfaid:conformance>A</pdfaid:conformance>" in xmp
    assert "<pdfuaid:part>1</pdfuaid:part>" in xmp
    sizes = {tuple(round(float(v)) for v in page.mediabox[2:]) for page in reader.pages}
    assert sizes == {(595, 842)}


@pytest.mark.parametrize("words", [HOSTILE, ENDLESS, "轴承 \U0001f600", "line\nline\n" * 50])
def test_hostile_or_endless_text_is_printed_as_text(words: str) -> None:
    head = JobHead(words, words, "as left", "B1", "cd" * 32)
    said = {**build.FACTS, "wire_material": Fact(words, by=words)}
    read = build.taken(text=words, instrument=words)
    judgement = as_json(judge_readings(WIRE, build.CARD, build.PLACES, build.FACTS, build.taken()))
    judgement["reasons"] = [words]
    judgement["struck"] = [{"place": "DE top", "text": words, "by": words, "why": words}]
    pdf = build.sheet(
        judgement=judgement, readings=read, facts=said, job=head, entries=build.entries(9, words),
        unreadable=(("E1", "DE top", words),), contradictions=(words,),
    )  # fmt: skip
    text = build.text_of(pdf)
    assert text.count("page 1 of") == 1
    printable = squeezed("".join(c if c.isprintable() else " " for c in words))
    if printable.isascii():
        assert squeezed(text).count(printable[:60]) >= 6
    else:
        assert say("sheet.letters_lacking") in text


def test_long_words_are_broken_to_stay_on_the_paper() -> None:
    """A capital W of the sheet's letters is at least 2.5 mm wide, the paper 210 mm."""
    head = JobHead("N" * 200, ENDLESS, "as left", "B1", "cd" * 32)
    pages = PdfReader(io.BytesIO(build.sheet(job=head))).pages
    lines = [line for page in pages for line in page.extract_text().replace("\u200b", "").splitlines()]
    runs = [len(run) for line in lines for run in re.findall(r"W{20,}|N{20,}", line)]
    assert sum(runs) >= 800
    assert max(runs) <= 210 / 2.5


def test_only_the_fonts_of_the_package_are_used() -> None:
    families = {font.family for font in press._fonts().fonts()}
    assert families == {
        "Libertinus Serif", "New Computer Modern", "New Computer Modern Math", "DejaVu Sans Mono",
    }  # fmt: skip


def test_many_entries_are_counted_where_they_are_not_listed() -> None:
    text = build.text_of(build.sheet(entries=build.entries(450)))
    assert "50 earlier entries" in text.replace(say("sheet.entries_left_out")[:15], "earlier entries")
    assert build.entries(450)[-1].digest in text
    assert build.entries(450)[0].digest not in text


def test_a_warm_sheet_takes_less_than_half_a_second() -> None:
    """Of the processor's time, of all its threads, which others at work on the machine do not lengthen."""
    build.sheet()
    taken = []
    for _ in range(5):
        start = time.process_time()
        build.sheet()
        taken.append(time.process_time() - start)
    assert statistics.median(taken) < 0.5


def heights(pdf: bytes) -> list[list[tuple[str, float]]]:
    """What stands on each page, and how high above the paper's lower edge [1/72 in]; head and foot left out."""
    found: list[list[tuple[str, float]]] = []
    for page in PdfReader(io.BytesIO(pdf)).pages:
        here: list[tuple[str, float]] = []

        def note(
            words: str, cm: list[float], tm: list[float], *_: object, into: list[tuple[str, float]] = here
        ) -> None:
            y = cm[1] * tm[4] + cm[3] * tm[5] + cm[5]
            if words.strip() and not 0.0 <= y <= 48.0 and y < 790.0:
                into.append((words.strip(), y))

        page.extract_text(visitor_text=note)
        found.append(here)
    return found


def lowest(pdf: bytes) -> list[float]:
    """How far down each page what stands on it reaches [share of the height]; above 1 is off the paper."""
    return [1.0 - min((y for _, y in page), default=842.0) / 842.0 for page in heights(pdf)]


@cache
def film() -> tuple[Card, Consequence]:
    """The demo fan's card and what a gap means for its oil."""
    fan = read_card((resources.files("whitemetal.demo_mill") / "fan_drive_end.toml").read_text("utf-8"))
    mean, change = (
        Quantity.of(value, Influence(name, name, 3e-6))
        for name, value in (("mean", 0.2e-3), ("turn", 0.05e-3))
    )
    return fan, consequence(fan, Result(mean, named=(Named("end_to_end", "end to end", change),)))


def disagreements(count: int) -> tuple[str, ...]:
    return tuple(f"Invented disagreement {i}." for i in range(count))


@pytest.mark.parametrize("notes", [0, 8, 16, 24])
def test_no_page_is_left_a_third_blank_for_the_films_pictures(notes: int) -> None:
    """More and more that was noticed pushes the pictures down."""
    fan, found = film()
    one = replace(build.CARD, oil=fan.oil, duty=fan.duty)
    pages = lowest(build.sheet(film=found, card=one, contradictions=disagreements(notes)))
    assert len(pages) >= 4
    assert min(pages[:-1]) > 2 / 3


def lines_of(page: list[tuple[str, float]]) -> list[tuple[str, float]]:
    """Letters that follow each other at one height as a line without spaces."""
    return [
        (squeezed("".join(words for words, _ in group)), height)
        for height, group in groupby(page, key=lambda one: round(one[1], 1))
    ]


def test_the_films_pictures_stand_beside_each_other() -> None:
    """The maps begin above the end of the window: no column is left empty below the section."""
    fan, found = film()
    one = replace(build.CARD, oil=fan.oil, duty=fan.duty)
    pages = [lines_of(page) for page in heights(build.sheet(film=found, card=one))]
    window, maps = squeezed(say("film.hatched")), squeezed(f"{say('film.map_gap')}, µm")
    [page] = [page for page in pages if any(window in line for line, _ in page)]
    [ends] = [y for line, y in page if window in line]
    begins = max(y for line, y in page if line.startswith(maps))
    assert begins > ends


@pytest.mark.parametrize("notes", range(0, 40, 4))
def test_the_readings_as_taken_stay_together_wherever_a_page_ends(notes: int) -> None:
    """More and more that was noticed pushes the table down; all nine rows stay on the page of its head."""
    pdf = build.sheet(contradictions=disagreements(notes))
    pages = [page.extract_text() for page in PdfReader(io.BytesIO(pdf)).pages]
    [on] = [text for text in pages if say("sheet.readings") in text]
    after = on[on.index(say("sheet.readings")) :]
    assert after.count("M-7") == len(build.taken())


def test_a_table_of_readings_longer_than_a_page_goes_on_over_it() -> None:
    many = tuple(replace(one, squeeze=i) for i in range(1, 12) for one in build.taken())
    pdf = build.sheet(readings=many)
    assert build.text_of(pdf).count("M-7") >= len(many)
    assert max(lowest(pdf)) < 1.0
