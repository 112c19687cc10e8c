"""The page: one file that asks nothing of the network, and says what the views say."""

import html
import re
import shutil
from collections.abc import Iterator
from html.parser import HTMLParser
from pathlib import Path

import pytest

from dewpond.report import page
from dewpond.report.views.blocks import Block, Fold, Grid, Items, Notice, Register, Report, Section, Story, Text
from dewpond.report.views.study import study_report
from dewpond.study.outcome import StudyResult

EMPTY = {"meta", "br", "hr", "img", "input", "link"}


@pytest.fixture(scope="module")
def report(studied: StudyResult) -> Report:
    return study_report(studied)


@pytest.fixture(scope="module")
def text(report: Report) -> str:
    return page.render(report)


class Tree(HTMLParser):
    """Keeps open elements, and what was met."""

    def __init__(self) -> None:
        super().__init__()
        self.open: list[str] = []
        self.met: list[tuple[str, dict[str, str | None], tuple[str, ...]]] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.met.append((tag, dict(attrs), tuple(self.open)))
        if tag not in EMPTY:
            self.open.append(tag)

    def handle_startendtag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.met.append((tag, dict(attrs), tuple(self.open)))

    def handle_endtag(self, tag: str) -> None:
        assert self.open.pop() == tag


@pytest.fixture(scope="module")
def tree(text: str) -> Tree:
    tree = Tree()
    tree.feed(text)
    tree.close()
    return tree


def test_every_element_is_closed_in_its_turn(tree: Tree) -> None:
    assert tree.open == []
    assert len(tree.met) > 500


def test_page_asks_nothing_of_the_network(text: str, tree: Tree) -> None:
    assert not re.search(r"""(?:src|href|action)=["']?(?:https?:)?//""", text)
    assert not re.search(r"@import|url\((?!#)", text)
    assert "fetch(" not in text
    assert {tag for tag, _, _ in tree.met} & {"link", "img", "iframe", "form", "object"} == set()


@pytest.mark.slow
def test_same_report_gives_the_same_bytes(report: Report, text: str) -> None:
    assert page.render(report) == text


def test_headings_tables_and_folds_are_such_as_a_screen_reader_wants(tree: Tree) -> None:
    tags = [tag for tag, _, _ in tree.met]
    assert tags.count("h1") == 1
    assert {"header", "nav", "main", "footer"} <= set(tags)
    assert next(attrs for tag, attrs, _ in tree.met if tag == "html")["lang"] == "en"
    assert tags.count("table") == tags.count("caption") > 3
    assert tags.count("details") == tags.count("summary") > 3
    assert all(attrs.get("scope") for tag, attrs, _ in tree.met if tag == "th")
    assert all(attrs.get("aria-label") for tag, attrs, _ in tree.met if attrs.get("tabindex") == "0")


def test_links_lead_to_sections_of_the_page(tree: Tree) -> None:
    ids = [attrs["id"] for _, attrs, _ in tree.met if "id" in attrs]
    assert len(ids) == len(set(ids))
    links = [str(attrs["href"]) for tag, attrs, _ in tree.met if tag == "a"]
    assert {link.removeprefix("#") for link in links} <= set(ids)


def words(blocks: tuple[Block, ...]) -> Iterator[str]:
    """Every text that a view holds."""
    for block in blocks:
        if isinstance(block, Text):
            yield block.text
        elif isinstance(block, Items):
            yield from block.items
        elif isinstance(block, Notice):
            yield from (block.where, block.code, block.what, *block.remedy.split("\n"))
        elif isinstance(block, Grid):
            yield from (block.caption, *block.head, *(cell for row in block.rows for cell in row), block.more)
        elif isinstance(block, Register):
            yield from (block.caption, *block.head, *(cell for entry in block.entries for cell in entry.cells))
            yield from (word for pick in block.picks for word in (pick.name, *pick.options))
        elif isinstance(block, Story):
            yield from (text for line in block.lines for text in (line.clock, line.text))
            yield from block.ending
        elif isinstance(block, Fold):
            yield block.title
            yield from words(block.blocks)


def test_page_says_every_word_of_its_views(report: Report, text: str) -> None:
    said = html.unescape(text.replace("<code>", "`").replace("</code>", "`")).replace("\u00a0", " ")
    every = [word for section in report.sections for word in (section.title, *words(section.blocks))]
    assert len(every) > 500
    assert [word for word in every if word not in said] == []


def test_long_table_is_folded_after_its_first_rows_and_a_short_one_is_not() -> None:
    def drawn(count: int) -> Tree:
        rows = tuple((f"row {n}", "—") for n in range(count))
        tree = Tree()
        tree.feed(page.render(Report("t", "", (Section("s", "S", (Grid("C", ("a", "b"), rows, more="and more"),)),))))
        return tree

    least = page.OPEN_ROWS + page.FEW_MORE
    for count, open_ in ((least, least), (least + 1, page.OPEN_ROWS)):
        rows = [path for tag, _, path in drawn(count).met if tag == "tr" and "tbody" in path]
        assert len(rows) == count
        assert sum("details" not in path for path in rows) == open_
    tags = [tag for tag, _, _ in drawn(least + 1).met]
    assert tags.count("table") == tags.count("caption") == tags.count("thead") == 2
    assert all("none" in str(attrs["class"]) for tag, attrs, _ in drawn(2).met if tag == "td")


def test_table_of_which_all_must_be_seen_is_not_folded() -> None:
    rows = tuple((f"IL-{n:02}", "holds") for n in range(40))
    drawn = page.render(Report("t", "", (Section("s", "S", (Grid("C", ("a", "b"), rows, whole=True),)),)))
    tree = Tree()
    tree.feed(drawn)
    assert len([path for tag, _, path in tree.met if tag == "tr" and "tbody" in path and "details" not in path]) == 40
    assert '<th role="rowheader" scope="row" class="short">IL-07</th>' in drawn


def test_what_a_keeper_typed_is_shown_and_never_run() -> None:
    evil = '<script>alert(1)</script> & "tap"'
    drawn = page.render(Report(evil, evil, (Section("s", evil, (Text(evil), Grid(evil, (evil,), ((evil,),)))),)))
    assert "<script>alert" not in drawn
    # title, heading, subtitle, link, section, paragraph, caption, column head, row head
    assert drawn.count("&lt;script&gt;alert(1)") == 9


def test_what_is_to_be_typed_stands_out_without_its_backticks() -> None:
    blocks = (Text("Write `at most: <5 min>`, not a lone ` in it."), Items(("Ask `dewpond drill`.",)))
    drawn = page.render(Report("t", "", (Section("s", "S", blocks),)))
    assert "Write <code>at most: &lt;5 min&gt;</code>, not a lone ` in it." in drawn
    assert "Ask <code>dewpond drill</code>." in drawn


@pytest.fixture(scope="module")
def chromium() -> str:
    found = shutil.which("chromium") or shutil.which("chromium-browser") or shutil.which("google-chrome")
    if found is None:
        pytest.skip("no browser of the system to open the page with")
    return found


@pytest.mark.slow
def test_page_fits_a_phone_and_works_by_keyboard(chromium: str, text: str, tmp_path: Path) -> None:
    from playwright.sync_api import sync_playwright

    file = tmp_path / "page.html"
    file.write_text(text, encoding="utf-8")
    with sync_playwright() as play:
        browser = play.chromium.launch(executable_path=chromium, args=["--no-sandbox"])
        view = browser.new_page(viewport={"width": 390, "height": 800})
        asked: list[str] = []
        said: list[str] = []
        view.on("request", lambda request: asked.append(request.url))
        view.on("console", lambda message: said.append(message.text))
        view.goto(file.as_uri())
        assert view.evaluate("document.documentElement.scrollWidth") <= 390
        for drawing in view.locator("figure svg:visible").all():
            box = drawing.bounding_box()
            assert box is not None
            assert 250 < box["width"] <= 390  # charts take the width, a small schematic its own
            assert box["x"] + box["width"] <= 390
        rest = view.locator("details.rest tbody tr").first
        assert not rest.is_visible()
        view.emulate_media(media="print")
        assert rest.is_visible()
        assert view.locator("figure .broad svg").first.is_visible()
        for key in ("assumed", "stories", "kinds"):  # no bare headings on paper
            inside = view.locator(f"#{key} > details:not(.screen) > :not(summary)")
            assert inside.count() > 0
            assert all(block.is_visible() for block in inside.all())
        later = view.locator("#stories details.screen")
        assert later.locator("> summary").is_visible()
        assert not later.locator("> details").first.is_visible()
        view.emulate_media(media="screen")
        summary = view.locator("summary").first
        summary.focus()
        view.keyboard.press("Enter")
        assert view.locator("details").first.evaluate("fold => fold.open") is True
        view.get_by_text("Open all folded parts").click()
        assert view.locator("details:not([open])").count() == 0
        assert view.evaluate("document.documentElement.scrollWidth") <= 390
        browser.close()
    assert asked == [file.as_uri()]
    assert said == []


@pytest.mark.slow
def test_printed_page_begins_with_a_sheet_for_the_wall_and_is_not_a_book(
    chromium: str, text: str, tmp_path: Path
) -> None:
    """What stood on 45 sheets and more stands on few; the cautions end on the first; no heading may end a sheet."""
    from playwright.sync_api import sync_playwright

    file = tmp_path / "page.html"
    file.write_text(text, encoding="utf-8")
    with sync_playwright() as play:
        browser = play.chromium.launch(executable_path=chromium, args=["--no-sandbox"])
        view = browser.new_page()
        view.goto(file.as_uri())
        printed = view.pdf(prefer_css_page_size=True, tagged=False, outline=False)
        view.set_viewport_size({"width": 703, "height": 1000})  # 210 mm less 24 mm of margins
        view.emulate_media(media="print")
        ends = view.locator("#cautions").evaluate("section => section.getBoundingClientRect().bottom")
        torn = view.locator("h2, caption, summary, thead").evaluate_all(
            "all => all.filter(one => one.checkVisibility() && getComputedStyle(one).breakAfter !== 'avoid').length"
        )
        browser.close()
    sheets = len(re.findall(rb"/Type\s*/Page\b", printed))
    assert 3 <= sheets <= 16
    assert ends < 1024.0  # 297 mm less 26 mm of margins
    assert torn == 0


def shaped(*blocks: Block) -> str:
    """A page whose first section holds these."""
    return page.render(Report("t", "s", (Section("one", "One", blocks), Section("two", "Two", (Text("x"),)))))


def test_contents_stand_before_a_first_section_that_is_long_and_after_a_short_one() -> None:
    for block, first in ((Grid("c", ("a",), (("b",),)), True), (Text("short"), False)):
        text = shaped(block)
        assert text.count("<nav") == 1
        assert (text.index("<nav") < text.index('<section id="one"')) is first
        assert text.index("<nav") < text.index('<section id="two"')


def test_only_a_page_with_later_stories_or_tables_to_choose_from_speaks_of_them(text: str) -> None:
    assert "On paper stands everything but the later stories, unless they are open; of a table" in text
    plain = shaped(Fold("more", (Text("x"),), printed=False), Grid("c", ("a",), (("b",),)))
    assert "On paper stands everything.<" in plain
    told = shaped(Fold("more", (Story((), ("x",)),), printed=False))
    assert "On paper stands everything but the later stories, unless they are open.<" in told
