"""The work pack as printed: what it must hold, in which order, and that it can be printed on both sides.

Spanner sizes: ISO 4032 and ASME B18.2.2, from memory; torques of the rounds by hand: 30, 60 and 100 % of the
final one, 70 % left after the first step of loosening.
"""

from __future__ import annotations

import io
import re
from importlib import resources

import pytest
from pypdf import PdfReader

from tests.sheets.qr_reader import read_qr
from whitemetal.card import Card, read_card
from whitemetal.closing.bolts import thread
from whitemetal.desk.work_pack import pack
from whitemetal.errors import InputError
from whitemetal.job.procedure.bring import bring, spanner
from whitemetal.job.procedure.generate import generate
from whitemetal.job.procedure.plant import applied, read_plant
from whitemetal.job.procedure.sheets_wanted import sheets_wanted
from whitemetal.sheets.work_pack import LastTaken, qr_svg

ADDRESS = "http://mill.example:8470/jobs/abcdefghijklmnopqrstuvwxyz"


def demo(name: str) -> Card:
    return read_card(resources.files("whitemetal.demo_mill").joinpath(f"{name}.toml").read_text("utf-8"))


FAN = demo("fan_drive_end")
STEPS = generate(FAN)
LAST = {"wire": LastTaken("as left", "TM-4000", "2024-04-02", (("DE top", "0,204"), ("OE top", "0,198")))}


def pages_of(pdf: bytes) -> list[str]:
    return [
        " ".join(page.extract_text().replace("’", "'").split()) for page in PdfReader(io.BytesIO(pdf)).pages
    ]


@pytest.fixture(scope="module")
def pdf() -> bytes:
    return pack(FAN, STEPS, address=ADDRESS, last=LAST)


@pytest.fixture(scope="module")
def pages(pdf: bytes) -> list[str]:
    return pages_of(pdf)


def squeezed(text: str) -> str:
    """Without blanks, hyphens and breaking places: lines of a narrow cell break anywhere."""
    return re.sub(r"[\s\u200b\u00ad-]", "", text).replace("’", "'")


def test_the_first_page_says_what_to_bring_and_where_the_job_is(pages: list[str]) -> None:
    first = pages[0]
    assert squeezed(ADDRESS) in squeezed(first)
    for thing in ("Ø 0.35 mm", "36 mm", "126 N m … 420 N m", "150 … 175 mm", "ISO VG 68", "Permit number"):
        assert squeezed(thing) in squeezed(first), thing
    assert "0.15 mm … 0.25 mm" in pages[1] and "maker's figure for this machine" in pages[1]


def test_every_step_and_every_caution_is_printed_with_a_box(pages: list[str]) -> None:
    printed = squeezed(" ".join(pages[2:7]))
    for step in STEPS:
        assert squeezed(step.text) in printed, step.key
        for caution in step.cautions:
            assert squeezed(caution.text) in printed
    assert printed.count("HOLDPOINT") == sum(step.hold for step in STEPS)


def begun(pages: list[str]) -> dict[int, int]:
    """The page on which each sheet begins."""
    found: dict[int, int] = {}
    for number, text in enumerate(pages, start=1):
        for one in re.findall(r"Sheet (\d+) · ", text):
            found.setdefault(int(one), number)
    return found


def test_the_usual_pack_is_short_and_its_sheets_follow_side_by_side(pages: list[str]) -> None:
    """Sheets by hand from the order of trust: seat 8, tightening 10, crush 11, contact 12, clearance 13,
    seals 16, alignment 17; condition 1 and clearance 3 as found; closed up 15."""
    starts = begun(pages)
    assert list(starts) == [1, 3, 8, 10, 11, 12, 13, 15, 16, 17]
    named = {one.number: one for one in sheets_wanted(STEPS)}
    for number, page in starts.items():
        assert f"Sheet {number} · {named[number].title}" in pages[page - 1]
        assert named[number].purpose.upper() in pages[page - 1]
    assert len(pages) <= 25
    assert any(page % 2 == 0 for page in starts.values()), "sheets begin on backs too"


def test_what_is_left_out_is_said_on_the_first_page_and_at_its_step(pages: list[str]) -> None:
    said = squeezed(pages[0]).split(squeezed("Sheets not printed"))[1].split("Bring")[0]
    left_out = [one for one in sheets_wanted(STEPS) if one.number not in begun(pages)]
    assert [one.number for one in left_out] == [2, 4, 5, 6, 7, 9, 14, 18]
    for one in left_out:
        assert squeezed(f"{one.number} {one.title}, {one.purpose}") in said
    procedure = squeezed(" ".join(pages[2:7]))
    assert squeezed("sheet 7, not printed") in procedure and squeezed("on sheet 8") in procedure


def test_a_person_chooses_the_sheets() -> None:
    everything = pages_of(pack(FAN, STEPS, ["all"]))
    assert list(begun(everything)) == [one.number for one in sheets_wanted(STEPS)]
    assert "Sheets not printed" not in everything[0]
    one = pages_of(pack(FAN, STEPS, ["none", "inspect.journal"]))
    assert list(begun(one)) == [7]
    more = pages_of(pack(FAN, STEPS, ["usual,inspect.journal"]))
    assert list(begun(more)) == [1, 3, 7, 8, 10, 11, 12, 13, 15, 16, 17]
    assert begun(pages_of(pack(FAN, STEPS, ["none"]))) == {}
    with pytest.raises(InputError, match=r"inspect\.jurnal"):
        pack(FAN, STEPS, ["inspect.jurnal"])


def test_the_nuts_stand_numbered_with_the_torque_of_every_round(pages: list[str]) -> None:
    nuts = next(text for text in pages if "Nuts: order and torque" in text)
    # 4 nuts in two rows: from the middle pair diagonally outwards is across the diagonals, 1-3-2-4
    assert [text for text in ("294 N m", "126 N m", "252 N m", "420 N m") if text not in nuts] == []
    assert re.search(r"126 N m 1 3 2 4", nuts)
    assert re.findall(r"(\d) turn (\d)", nuts) == [("1", "1"), ("2", "3"), ("3", "2"), ("4", "4")]
    assert re.search(r"294 N m 4 2 3 1", nuts)
    inch = pack(demo("gear_pinion_coupling_end"), generate(demo("gear_pinion_coupling_end")))
    told = next(text for text in pages_of(inch) if "Nuts: order and torque" in text)
    assert [
        text for text in ("238 lbf ft", "102 lbf ft", "204 lbf ft", "340 lbf ft") if text not in told
    ] == []


def test_without_a_torque_or_a_number_of_nuts_the_pack_says_so() -> None:
    motor = demo("motor_drive_end")
    told = " ".join(pages_of(pack(motor, generate(motor))))
    assert "No torque on the card: the maker's book, or a figure that an engineer signs." in told
    bare = read_card(
        resources.files("whitemetal.demo_mill").joinpath("motor_drive_end.toml").read_text("utf-8")
        .replace("count = 4\n", "")
    )  # fmt: skip
    assert "The card does not say how many nuts hold the cap" in " ".join(
        pages_of(pack(bare, generate(bare)))
    )


def test_the_last_readings_stand_on_the_sheet_they_compare_with(pages: list[str]) -> None:
    on = [text for text in pages if "Last readings, to compare: as left, job TM-4000, 2024-04-02" in text]
    assert len(on) == 2, "as found and as left are each compared with the last time"
    assert all("0,204" in text and "Soft-wire clearance" in text for text in on)
    assert "as left, TM-4000, 2024-04-02" in pages[1]


def test_a_step_the_plant_dropped_is_printed_as_dropped_and_its_sheet_is_left_out() -> None:
    text = (
        'format = "whitemetal.procedure/1"\nsigned_by = "Engineer B (invented)"\n'
        '[[drop]]\nstep = "close.contact"\nwhy = "no blue on this lining"\n'
        '[[drop]]\nstep = "inspect.bond"\nwhy = "done by the foundry"\n'
    )
    steps = applied(STEPS, read_plant(text))
    told = squeezed(" ".join(pages_of(pack(FAN, steps))))
    assert squeezed("dropped by the plant by Engineer B (invented): no blue on this lining") in told
    methods = {one.method for one in sheets_wanted(steps)}
    assert "bond" not in methods and "contact" not in methods


def test_the_same_input_gives_the_same_bytes_and_no_promise(pdf: bytes, pages: list[str]) -> None:
    assert pack(FAN, STEPS, address=ADDRESS, last=LAST) == pdf
    assert "safe" not in " ".join(pages).casefold()


def test_text_the_fonts_lack_is_printed_as_far_as_they_have_it() -> None:
    text = resources.files("whitemetal.demo_mill").joinpath("fan_drive_end.toml").read_text("utf-8")
    odd = read_card(text.replace("bark boiler", "bark boiler \U0001f525"))
    assert "Work pack" in pages_of(pack(odd, generate(odd)))[0]


@pytest.mark.parametrize(
    ("size", "flats"),
    [("M24", "36 mm"), ("M12", "18 mm"), ("M36 x 3", "55 mm"), ("1 in", "1 5/8 in"), ("3/4-10", "1 1/4 in"),
     ("1 1/4-7 UNC", "2 in"), ("1/2", "7/8 in"), ("M11 x 1", "")],
)  # fmt: skip
def test_spanner_sizes(size: str, flats: str) -> None:
    assert spanner(thread(size)) == flats


def test_what_to_bring_follows_the_card() -> None:
    things = {one.name: one for one in bring(FAN, STEPS)}
    # 2 stations, a piece laid across at each, for two checks of two squeezes each: 2 x 2 x 2 = 8 pieces
    assert "8 pieces" in things["Soft lead wire"].note
    gear = demo("gear_pinion_coupling_end")
    brought = {one.name: one for one in bring(gear, generate(gear))}
    # a 4.0000 in journal lies at the end of one range and the beginning of the next
    assert brought["Outside micrometer"].size == "3 … 4, 4 … 5 in"
    assert brought["For the joint"].size == "shims, 0.0050 in left and 0.0050 in right"
    assert "Soft lead wire" not in {one.name for one in bring(FAN, ())}


@pytest.mark.parametrize("sheets", [[], ["all"], ["none"]])
def test_no_side_of_a_leaf_is_left_empty(sheets: list[str]) -> None:
    """Only the back of the last leaf may be ruled for notes; the head and foot of a page alone are some 120
    letters."""
    pages = pages_of(pack(FAN, STEPS, sheets))
    bare = [number for number, text in enumerate(pages, start=1) if len(text) < 150]
    noted = [number for number, text in enumerate(pages, start=1) if "Work pack Notes" in text]
    assert bare == noted and noted in ([], [len(pages)])
    assert len(pages) % 2 == 0, "the last back is printed or ruled"


def test_a_caution_stands_on_the_page_of_its_step(pages: list[str]) -> None:
    for step in STEPS:
        page = next(squeezed(text) for text in pages[2:7] if squeezed(step.text) in squeezed(text))
        before = page.split(squeezed(step.text))[0]
        assert all(squeezed(one.text) in before for one in step.cautions), step.key


@pytest.mark.parametrize(
    "address",
    [
        ADDRESS,
        "http://127.0.0.1:8470/jobs/yixtqwrw2crpp53v7urxe33yxa",
        "https://workshop.tarn-mill.example/jobs/yixtqwrw2crpp53v7urxe33yxa",
    ],
)
def test_the_qr_code_reads_as_the_address_of_the_job(address: str) -> None:
    assert read_qr(qr_svg(address)) == address


def test_a_damaged_code_would_not_read_so() -> None:
    """The reader puts nothing right, so that it would notice a wrong module: here two change places."""
    drawn = qr_svg(ADDRESS)
    middle = drawn.index("h1m1 0", len(drawn) * 3 // 5)
    damaged = f"{drawn[:middle]}m1 0h1{drawn[middle + 6 :]}"
    assert len(damaged) == len(drawn) and damaged != drawn
    assert _read_or_none(damaged) != ADDRESS


def _read_or_none(svg: str) -> str | None:
    try:
        return read_qr(svg)
    except (AssertionError, KeyError, ValueError):
        return None
