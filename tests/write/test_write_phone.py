"""The page for the phone says what the printed pages say, and runs nothing but its own script."""

from __future__ import annotations

import base64
import hashlib
import re
from dataclasses import replace
from html.parser import HTMLParser
from pathlib import Path

import pytest

from cutopt.model.plan import Plan
from cutopt.pipeline import Printing, draw_plan, make_plan
from cutopt.read.job import read_job
from cutopt.solve.params import Search, Unwatched
from cutopt.steps.setups import visits
from cutopt.steps.store import store_sheets
from cutopt.write.phone import phone_html

SAMPLES = Path(__file__).resolve().parents[2] / "sample_jobs"
VOID = {"meta", "input", "rect", "polygon", "polyline", "path", "circle"}
UNKIND = '<script>alert(1)</script>" onload="alert(2)'


class Reader(HTMLParser):
    """Gathers what a page holds: its tags, the words in each, and whether all are closed."""

    def __init__(self) -> None:
        super().__init__()
        self.tags: list[tuple[str, dict[str, str | None]]] = []
        self.open: list[str] = []
        self.words: list[str] = []
        self.scripts: list[str] = []
        self.styles: list[str] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.append((tag, dict(attrs)))
        if tag not in VOID:
            self.open.append(tag)

    def handle_startendtag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.append((tag, dict(attrs)))

    def handle_endtag(self, tag: str) -> None:
        assert self.open.pop() == tag

    def handle_data(self, data: str) -> None:
        if self.open and self.open[-1] == "script":
            self.scripts.append(data)
        elif self.open and self.open[-1] == "style":
            self.styles.append(data)
        else:
            self.words.append(data)

    @property
    def text(self) -> str:
        return re.sub(r"\s+", " ", "".join(self.words))


def planned(name: str) -> Plan:
    job = read_job(SAMPLES / name)
    return make_plan(job, Search(effort=0), Unwatched())


def page_of(plan: Plan) -> Reader:
    output = draw_plan(plan, Printing())
    reader = Reader()
    reader.feed(phone_html(output.plan, output.look, output.documents))
    reader.close()
    assert not reader.open
    return reader


@pytest.fixture(scope="module")
def locker() -> Plan:
    return planned("mudroom_locker")


def test_every_cut_setting_and_part_is_on_the_page(locker: Plan) -> None:
    page = page_of(locker)
    boxes = [attrs for tag, attrs in page.tags if tag == "input"]
    said = [attrs["aria-label"] or "" for attrs in boxes]
    assert len({attrs["id"] for attrs in boxes}) == len(boxes)
    for part in locker.job.parts:
        for copy in range(1, part.qty + 1):
            assert f"{part.name}, {copy} of {part.qty}" in said
    for sheet in store_sheets(locker):
        for cut in sheet.cuts:
            assert [f"Cut {cut.step} of {one}" in said for one in sheet.ids] == [True] * len(
                sheet.ids
            )
            assert cut.where in page.text
    for visit in visits(locker):
        assert visit.title in page.text
        for setup in visit.setups:
            for line in setup.lines:
                passes = [
                    words for words in said if words.startswith(f"{line.action} {line.source}")
                ]
                assert len(passes) >= min(line.boxes, 24)
                assert line.result in page.text


def test_each_box_has_a_name_and_each_tab_a_place(locker: Plan) -> None:
    page = page_of(locker)
    assert all(
        attrs.get("aria-label")
        for tag, attrs in page.tags
        if tag in {"input", "button"} and attrs.get("type") != "submit"
    )
    ids = {attrs.get("id") for _, attrs in page.tags}
    tabs = [attrs["href"] or "" for tag, attrs in page.tags if tag == "a"]
    assert tabs == ["#buy", "#store", "#saws", "#parts"]
    assert {tab[1:] for tab in tabs} <= ids


def test_the_page_needs_no_network_and_has_no_handlers(locker: Plan) -> None:
    page = page_of(locker)
    for tag, attrs in page.tags:
        assert tag not in {"link", "img", "iframe", "object", "embed", "base"}
        assert not any(name.startswith("on") or name in {"src", "style"} for name in attrs)
        assert all("//" not in (attrs.get(name) or "") for name in ("href", "action"))


def test_style_and_script_are_allowed_by_their_fingerprints_alone(locker: Plan) -> None:
    """Reference: W3C Content Security Policy Level 3, hash sources: base64 of SHA-256."""
    page = page_of(locker)
    policy = next(
        attrs["content"] or ""
        for tag, attrs in page.tags
        if tag == "meta" and attrs.get("http-equiv") == "Content-Security-Policy"
    )
    assert "default-src 'none'" in policy
    assert "unsafe" not in policy
    for texts in (page.scripts, page.styles):
        assert len(texts) == 1
        digest = base64.b64encode(hashlib.sha256(texts[0].encode()).digest()).decode()
        assert f"'sha256-{digest}'" in policy


def test_names_never_become_tags(locker: Plan) -> None:
    parts = tuple(
        replace(part, name=UNKIND, note=UNKIND, group=UNKIND) for part in locker.job.parts
    )
    stock = tuple(replace(row, note=UNKIND) for row in locker.job.stock)
    unkind = replace(locker, job=replace(locker.job, name=UNKIND, parts=parts, stock=stock))
    page = page_of(unkind)
    assert len(page.scripts) == 1
    assert "alert" not in page.scripts[0]
    assert not any(name.startswith("on") for _, attrs in page.tags for name in attrs)
    assert UNKIND in page.text


def test_a_job_of_boards_shows_marks_and_stops() -> None:
    page = page_of(planned("potting_bench"))
    assert "Hook the tape on the left end" in page.text
    assert any((attrs.get("aria-label") or "").startswith("Board L1") for _, attrs in page.tags)
