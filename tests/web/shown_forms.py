"""The forms of a page as a browser has them: their boxes, ticks and choices, what would be sent, and filled in by
somebody who changes everything that can be changed."""

from __future__ import annotations

import re
from dataclasses import dataclass, field
from html import unescape
from html.parser import HTMLParser

Pairs = list[tuple[str, str]]
TEXTS = ("text", "search", "tel", "email", "url", "number", "date")
NEVER_BACK = ("password", "file")
"""A password is never handed back; a browser gives no page the name of a file."""
OF_PAGE = ("seen", "token", "id", "sent", "back")
"""Hidden words that are of the page as it is, not of what was typed."""


@dataclass
class Box:
    """A text box, a tick (kind "checkbox" or "radio"), a choice ("select") or something hidden."""

    name: str
    kind: str
    value: str = ""
    on: bool = True
    offered: list[str] = field(default_factory=list)
    most: int = 100_000
    needed: bool = False


@dataclass
class Form:
    """to: its address. boxes: in order. buttons: name and value of those that send it."""

    to: str
    boxes: list[Box] = field(default_factory=list)
    buttons: Pairs = field(default_factory=list)

    @property
    def key(self) -> tuple[object, ...]:
        """Which form of the page it is: its address and what it carries along hidden."""
        hidden = [
            (b.name, b.value)
            for b in self.boxes
            if b.kind == "hidden" and b.name.split(".")[0] not in OF_PAGE
        ]
        return self.to.partition("?")[0], tuple(sorted(hidden)), self.buttons[0] if self.buttons else ()

    @property
    def typed(self) -> list[Box]:
        """What a person may change and would want back."""
        return [b for b in self.boxes if b.kind not in ("hidden", *NEVER_BACK)]

    def sent(self) -> Pairs:
        """What a browser would send, with the first of its buttons."""
        texts = [(b.name, b.value) for b in self.boxes if b.on and b.kind != "file"]
        return texts + [two for two in self.buttons[:1] if two[0]]

    def state(self) -> dict[str, tuple[str, ...]]:
        """By name: the texts, the ticks that are set, what is chosen."""
        found: dict[str, tuple[str, ...]] = {}
        for box in self.typed:
            found[box.name] = (*found.get(box.name, ()), *((box.value,) if box.on else ()))
        return found


class _Reader(HTMLParser):
    def __init__(self) -> None:
        super().__init__()
        self.forms: list[Form] = []
        self._form: Form | None = None
        self._box: Box | None = None
        self._option: str | None = None
        self._said = ""
        self._chosen = False

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        a = {name: value or "" for name, value in attrs}
        if tag == "form" and a.get("method", "").casefold() == "post":
            self._form = Form(a.get("action", ""))
            self.forms.append(self._form)
        if self._form is None:
            return
        most = int(a.get("maxlength") or 100_000)
        if tag == "input" and a.get("name"):
            kind = a.get("type", "text")
            on = "checked" in a if kind in ("checkbox", "radio") else True
            value = a.get("value", "on" if kind in ("checkbox", "radio") else "")
            self._form.boxes.append(
                Box(
                    a["name"],
                    kind if kind not in TEXTS else "text",
                    value,
                    on,
                    most=most,
                    needed="required" in a,
                )
            )
        elif tag == "textarea" and a.get("name"):
            self._box, self._said = Box(a["name"], "text", most=most, needed="required" in a), ""
            self._form.boxes.append(self._box)
        elif tag == "select" and a.get("name"):
            self._box, self._chosen = Box(a["name"], "select"), False
            self._form.boxes.append(self._box)
        elif tag == "option" and self._box is not None:
            self._option, self._said = a.get("value"), ""
            self._take_option("selected" in a)
        elif tag == "button" and a.get("type", "submit") == "submit":
            self._form.buttons.append((a.get("name", ""), a.get("value", "")))

    def _take_option(self, selected: bool) -> None:
        self._waits = selected

    def handle_data(self, data: str) -> None:
        self._said += data

    def handle_endtag(self, tag: str) -> None:
        if tag == "form":
            self._form = None
        elif tag == "textarea" and self._box is not None:
            self._box.value, self._box = self._said.removeprefix("\n"), None
        elif tag == "option" and self._box is not None:
            value = self._option if self._option is not None else " ".join(self._said.split())
            self._box.offered.append(value)
            if self._waits or (not self._chosen and len(self._box.offered) == 1):
                self._box.value, self._chosen = value, self._waits
        elif tag == "select":
            self._box = None


def forms_of(html: str) -> list[Form]:
    """The forms of a page that send something."""
    reader = _Reader()
    reader.feed(html)
    return reader.forms


def filled(form: Form) -> Form:
    """Every text box filled with a text of its own, every tick turned over, of every choice the last one."""
    last = {b.name: b.value for b in form.boxes if b.kind == "radio"}
    boxes = []
    for n, b in enumerate(form.boxes):
        if b.kind == "text":
            made = Box(b.name, b.kind, f"typed {n} <b>&\"'"[: b.most], needed=b.needed)
        elif b.kind == "checkbox":
            made = Box(b.name, b.kind, b.value, not b.on)
        elif b.kind == "radio":
            made = Box(b.name, b.kind, b.value, last[b.name] == b.value)
        elif b.kind == "select":
            made = Box(b.name, b.kind, b.offered[-1] if b.offered else "", offered=b.offered)
        elif b.kind == "password":
            made = Box(b.name, b.kind, "not the right one")
        else:
            made = Box(b.name, b.kind, b.value, b.on)
        boxes.append(made)
    return Form(form.to, boxes, form.buttons)


Lost = dict[str, tuple[tuple[str, ...], tuple[str, ...]]]


def lost(sent: Form, html: str) -> Lost:
    """What the page that came back does not hold as it was sent: by name, sent and held. A text may stand
    anywhere on the page but in what is said to be wrong (it was kept, and is shown as what could not be read); a box that was empty has nothing to
    lose."""
    back = forms_of(html)
    there = [one.state() for one in back if one.key == sent.key]
    any_form = [one.state() for one in back if one.to.partition("?")[0] == sent.to.partition("?")[0]]
    wanted = sent.state()
    best: Lost | None = None
    for state in [*there, *any_form]:
        gone = {
            name: (held, state.get(name, ()))
            for name, held in wanted.items()
            if [one.strip() for one in state.get(name, ())] != [one.strip() for one in held]
        }
        if best is None or len(gone) < len(best):
            best = gone
    gone = {name: (held, ()) for name, held in wanted.items()} if best is None else best
    kinds = {b.name: b.kind for b in sent.typed}
    page = " ".join(unescape(re.sub(r'<div class="problems".*?</div>', "", html, flags=re.DOTALL)).split())
    return {
        name: two
        for name, two in gone.items()
        if any(two[0]) and not (kinds[name] == "text" and all(" ".join(t.split()) in page for t in two[0]))
    }
