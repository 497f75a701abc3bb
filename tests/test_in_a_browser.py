"""Every page as a browser and those who listen to it have it.

reference library: axe-core by way of axe-playwright-python, in Debian's Chromium. Where no Chromium
is to be found these tests are left out, and say so.
"""

from __future__ import annotations

import shutil
from collections.abc import Iterator
from pathlib import Path

import pytest
from axe_playwright_python.sync_playwright import Axe  # type: ignore[import-untyped]
from playwright.sync_api import Browser, Page, sync_playwright

from tests.conftest import STUDIES
from tests.make_reports import REPORTS
from tests.pages import COMMANDS, SMALL, make_pages

CHROMIUM = shutil.which("chromium") or shutil.which("chromium-browser")
PHONE, TABLET, DESK = 390, 820, 1440
NAMES = (*COMMANDS, "validation", "index")

pytestmark = pytest.mark.skipif(CHROMIUM is None, reason="there is no chromium to look with")


@pytest.fixture(scope="module")
def pages(tmp_path_factory: pytest.TempPathFactory) -> dict[str, Path]:
    made = make_pages(tmp_path_factory.mktemp("pages"))
    return made | {name: REPORTS / f"{name}.html" for name in ("validation", "index")}


@pytest.fixture(scope="module")
def browser() -> Iterator[Browser]:
    with sync_playwright() as playwright:
        # Its own sandbox needs rights that a container does not give; the pages are ours.
        opened = playwright.chromium.launch(executable_path=CHROMIUM, args=["--no-sandbox"])
        yield opened
        opened.close()


@pytest.fixture
def phone(browser: Browser) -> Iterator[Page]:
    page = browser.new_page(viewport={"width": PHONE, "height": 800})
    yield page
    page.close()


def show(page: Page, file: Path) -> None:
    page.goto(file.as_uri())


def overhang(page: Page) -> int:
    """Return by how much a page is wider than its window, in pixels."""
    found = page.evaluate("document.documentElement.scrollWidth - window.innerWidth")
    return int(found)


@pytest.mark.parametrize("name", NAMES)
def test_nobody_is_shut_out(name: str, pages: dict[str, Path], phone: Page) -> None:
    """Deque, axe-core: its rules after WCAG 2.2 and its advice, in light and in dark."""
    show(phone, pages[name])
    found = Axe().run(phone).response
    assert found["passes"]
    told = [(one["id"], one["nodes"][0]["html"][:200]) for one in found["violations"]]
    phone.emulate_media(color_scheme="dark")
    dark = Axe().run(phone, options={"runOnly": ["color-contrast"]}).response
    told += [(one["id"], one["nodes"][0]["html"][:200]) for one in dark["violations"]]
    assert told == []


@pytest.mark.parametrize("name", NAMES)
def test_no_page_is_wider_than_its_window(name: str, pages: dict[str, Path], phone: Page) -> None:
    show(phone, pages[name])
    for width in (PHONE, TABLET, DESK):
        phone.set_viewport_size({"width": width, "height": 800})
        assert overhang(phone) == 0, width


@pytest.mark.parametrize("name", NAMES)
def test_a_page_fetches_nothing_and_breaks_no_rule_of_its_own(
    name: str, pages: dict[str, Path], phone: Page
) -> None:
    fetched: list[str] = []
    said: list[str] = []
    phone.on("request", lambda request: fetched.append(request.url))
    phone.on("console", lambda message: said.append(message.text))
    phone.on("pageerror", lambda error: said.append(str(error)))
    show(phone, pages[name])
    assert fetched == [pages[name].as_uri()]
    assert said == []


def column(page: Page, place: int) -> list[str]:
    """Return the words of a column of the page's first ranking."""
    rows = page.locator("table.ranking").first.locator("tbody tr")
    return [row.locator("th, td").nth(place).inner_text() for row in rows.all()]


def size(words: str) -> float:
    return 0.0 if words.startswith(("≈", "~")) else float(words)


def test_a_ranking_is_sorted_by_size_both_ways_and_set_back(
    pages: dict[str, Path], phone: Page
) -> None:
    show(phone, pages["run"])
    heads = phone.locator("table.ranking").first.locator("thead th")
    place = heads.all_inner_texts().index("removed, as set")
    ranked = column(phone, place)
    heads.nth(place).locator("button").click()
    assert heads.nth(place).get_attribute("aria-sort") == "descending"
    falling = [size(words) for words in column(phone, place)]
    assert falling == sorted(falling, reverse=True)
    assert falling != [size(words) for words in ranked]
    heads.nth(place).locator("button").click()
    rising = [size(words) for words in column(phone, place)]
    assert rising == sorted(rising)
    assert heads.nth(place).get_attribute("aria-sort") == "ascending"
    heads.nth(place).locator("button").click()
    assert column(phone, place) == ranked
    assert heads.nth(place).get_attribute("aria-sort") is None


def test_a_ranking_is_sorted_by_name_where_there_are_no_sizes(
    pages: dict[str, Path], phone: Page
) -> None:
    show(phone, pages["run"])
    head = phone.locator("table.ranking").first.locator("thead th").first
    head.locator("button").focus()
    phone.keyboard.press("Enter")
    assert head.get_attribute("aria-sort") == "ascending"
    assert column(phone, 0) == sorted(column(phone, 0))


HOSTILE = {
    "script": "<script>document.title='taken'</script><img src=x onerror=document.title='taken'>",
    "quotes": "\"'`</title></style>--><svg onload=document.title='taken'>",
    "long": "splash" * 1667,
    "right to left": "‮قطرات الماء و ‏تاج‬",
}


@pytest.mark.parametrize("kind", HOSTILE)
def test_a_hostile_title_is_text(kind: str, tmp_path: Path, phone: Page) -> None:
    title = HOSTILE[kind]
    text = (STUDIES / "barn-table.toml").read_text(encoding="utf-8")
    quoted = title.replace("\\", "\\\\").replace('"', '\\"')
    lines = text.splitlines()
    (place,) = (row for row, line in enumerate(lines) if line.startswith("title"))
    lines[place] = f'title = "{quoted}"'
    study = tmp_path / "hostile.toml"
    study.write_text("\n".join(lines), encoding="utf-8")
    made = make_pages(tmp_path, {"hostile": ("run", str(study), *SMALL)})
    show(phone, made["hostile"])
    heading = phone.locator("h1").inner_text()
    assert heading.split() == "".join(c if c.isprintable() else " " for c in title).split()
    assert phone.title() != "taken"
    assert phone.locator("h1").count() == 1
    assert overhang(phone) == 0
