"""The page for the phone in a real browser, at the size of a phone and of a desk."""

from __future__ import annotations

import shutil
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from cutopt.pipeline import Printing, run_plan
from cutopt.read.job import read_job
from cutopt.solve.params import Search, Unwatched

pytestmark = pytest.mark.browser
selenium = pytest.importorskip("selenium.webdriver", reason="needs selenium: make test-browser")

SAMPLES = Path(__file__).resolve().parents[1] / "sample_jobs"
SIZES = {"phone": (390, 844), "small phone": (320, 640), "desk": (1280, 900)}
UNKIND = "<script>document.title='run'</script>\" onload=\"document.title='run'"

# Relative luminance and contrast as WCAG 2.2 defines them.
CONTRAST = """
const seen = [];
function light(text) {
  const [r, g, b] = text.match(/[\\d.]+/g).slice(0, 3).map(v => v / 255)
    .map(v => v <= 0.04045 ? v / 12.92 : ((v + 0.055) / 1.055) ** 2.4);
  return 0.2126 * r + 0.7152 * g + 0.0722 * b;
}
for (const node of document.querySelectorAll('main *:not(svg *), header *')) {
  if (!node.childNodes.length || !node.offsetParent || node.closest('svg')) continue;
  if (![...node.childNodes].some(c => c.nodeType === 3 && c.data.trim())) continue;
  let under = node;
  while (under && getComputedStyle(under).backgroundColor === "rgba(0, 0, 0, 0)")
    under = under.parentElement;
  const ground = light(getComputedStyle(under || document.documentElement).backgroundColor);
  const ink = light(getComputedStyle(node).color);
  seen.push((Math.max(ground, ink) + 0.05) / (Math.min(ground, ink) + 0.05));
}
return Math.min(...seen);
"""


@pytest.fixture(scope="module")
def plan_page(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("locker")
    job = read_job(SAMPLES / "mudroom_locker")
    run_plan(job, Search(effort=0), Unwatched(), Printing(), folder / "plan", force=False)
    return folder / "plan" / "plan.html"


@pytest.fixture(scope="module")
def browser() -> Iterator[Any]:
    program, driver = shutil.which("chromium"), shutil.which("chromedriver")
    if program is None or driver is None:
        pytest.skip("needs chromium and chromedriver")
    options = selenium.ChromeOptions()
    options.binary_location = program
    for argument in ("--headless=new", "--no-sandbox", "--disable-gpu"):
        options.add_argument(argument)
    options.set_capability("goog:loggingPrefs", {"browser": "ALL"})
    opened = selenium.Chrome(options=options, service=selenium.ChromeService(driver))
    yield opened
    opened.quit()


def look(browser: Any, page: Path, size: str, *, dark: bool = False, tab: str = "buy") -> None:
    width, height = SIZES[size]
    browser.execute_cdp_cmd(
        "Emulation.setDeviceMetricsOverride",
        {"width": width, "height": height, "deviceScaleFactor": 1, "mobile": width < 500},
    )
    scheme = {"name": "prefers-color-scheme", "value": "dark" if dark else "light"}
    browser.execute_cdp_cmd("Emulation.setEmulatedMedia", {"features": [scheme]})
    browser.get(f"{page.as_uri()}#{tab}")
    browser.refresh()


@pytest.mark.parametrize("size", SIZES)
@pytest.mark.parametrize("tab", ["buy", "store", "saws", "parts"])
def test_one_tab_is_shown_and_nothing_runs_off_the_side(
    browser: Any, plan_page: Path, size: str, tab: str
) -> None:
    look(browser, plan_page, size, tab=tab)
    shown = browser.execute_script(
        "return [...document.querySelectorAll('section')]"
        ".filter(s => s.offsetParent).map(s => s.id)"
    )
    assert shown == [tab]
    wide = browser.execute_script("return document.documentElement.scrollWidth - innerWidth")
    assert wide <= 0
    assert browser.get_log("browser") == []


@pytest.mark.parametrize("tab", ["buy", "store", "saws", "parts"])
def test_targets_are_large_enough_for_a_dusty_finger(
    browser: Any, plan_page: Path, tab: str
) -> None:
    look(browser, plan_page, "phone", tab=tab)
    low = browser.execute_script(
        "return [...document.querySelectorAll('section:target label, nav a')]"
        ".map(e => e.getBoundingClientRect()).filter(r => r.height < 54 || r.width < 54).length"
    )
    assert low == 0


@pytest.mark.parametrize("dark", [False, True])
@pytest.mark.parametrize("tab", ["buy", "store", "saws", "parts"])
def test_words_stand_out_from_their_ground(
    browser: Any, plan_page: Path, tab: str, *, dark: bool
) -> None:
    """WCAG 2.2, success criterion 1.4.3: at least 4.5 to 1."""
    look(browser, plan_page, "phone", dark=dark, tab=tab)
    assert browser.execute_script(CONTRAST) >= 4.5


def test_ticks_stay_and_are_counted(browser: Any, plan_page: Path) -> None:
    look(browser, plan_page, "phone")
    browser.execute_script("localStorage.clear()")
    look(browser, plan_page, "phone")
    total = len(browser.find_elements("css selector", "input[type=checkbox]"))
    done = browser.find_element("id", "done")
    assert done.text == f"0 of {total} done"
    for label in browser.find_elements("css selector", "#buy label")[:2]:
        label.click()
    assert done.text == f"2 of {total} done"
    browser.refresh()
    assert browser.find_element("id", "done").text == f"2 of {total} done"
    ticked = browser.find_elements("css selector", "#buy input:checked")
    assert len(ticked) == 2


def test_a_drawing_opens_large_and_closes(browser: Any, plan_page: Path) -> None:
    look(browser, plan_page, "phone", tab="store")
    browser.find_element("css selector", "#store .larger").click()
    width = browser.execute_script(
        "return document.querySelector('#large svg').getBoundingClientRect().width"
    )
    assert width > SIZES["phone"][0] * 2
    browser.find_element("css selector", "#large button").click()
    assert not browser.execute_script("return document.getElementById('large').open")


def test_a_name_never_runs(browser: Any, tmp_path: Path) -> None:
    name = UNKIND.replace('"', '""')
    (tmp_path / "parts.csv").write_text(f'part,qty,length,material\n"{name}",2,30,pine\n')
    (tmp_path / "stock.csv").write_text(
        "stock,kind,material,section,length,price\n8 ft,board,pine,1x4,96,5\n"
    )
    (tmp_path / "job.toml").write_text(
        'name = "<img src=x onerror=document.title=1>"\nunits = "inch"\n'
        'parts = "parts.csv"\nstock = "stock.csv"\n'
    )
    job = read_job(tmp_path)
    run_plan(job, Search(effort=0), Unwatched(), Printing(), tmp_path / "plan", force=False)
    look(browser, tmp_path / "plan" / "plan.html", "phone", tab="parts")
    assert "plan" in browser.title
    assert "<script>" in browser.find_element("id", "parts").text
    assert browser.get_log("browser") == []
