"""The table of all failures: its rows, what may be chosen, and the script that sorts and chooses."""

import math
import shutil
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from dewpond.report import page
from dewpond.report.views import failures, register
from dewpond.report.views.blocks import Entry, Grid, Pick, Register, Report, Section, Text
from dewpond.report.views.drains import Ground
from dewpond.report.views.shown import NOTHING, Shown
from dewpond.study.outcome import Outcome, StudyResult


@pytest.fixture(scope="module")
def made(studied: StudyResult, metric: Shown) -> Register:
    block, *_ = register.register_blocks(studied, metric, failures.bad_pairs(studied))
    assert isinstance(block, Register)
    return block


def test_every_fault_alone_has_a_row_and_pairs_come_after_them(studied: StudyResult, made: Register) -> None:
    lone = failures.singles(studied)
    assert [e.cells[0] for e in made.entries[: len(lone)]] == [o.faults[0] for o in lone]
    assert all(" + " in e.cells[0] for e in made.entries[len(lone) :])
    assert len(made.entries) > len(lone) + 10
    assert made.picks[1].options == (register.ALONE, register.TWO)
    sorts = [set(e.picks[1]) for e in made.entries]
    assert sorts == [{0}] * len(lone) + [{1}] * (len(sorts) - len(lone))


def test_cells_and_keys_say_the_same(studied: StudyResult, made: Register) -> None:
    litres = made.head.index(failures.UNDRAINED)
    stopped = made.head.index("stopped")
    for entry in made.entries:
        assert len(entry.cells) == len(entry.keys) == len(made.head)
        assert [key for cell, key in zip(entry.cells, entry.keys, strict=True) if cell == NOTHING and key] == []
        if entry.cells[stopped] == "never":
            assert entry.keys[stopped] == math.inf
    worst = [o for o in failures.singles(studied) if o.told.on_floors > 0.0]
    assert [e.keys[litres] for e in made.entries[: len(worst)]] == [o.told.on_floors for o in worst]  # no drain there


def test_choices_are_those_of_the_outcomes(studied: StudyResult, made: Register) -> None:
    """Counted here from the outcomes themselves."""
    lone = failures.singles(studied)
    water, places = made.picks[3], made.picks[2]
    running = [o.faults[0] for o in lone if o.told.still_running]
    still = water.options.index("still running at the end")
    assert [e.cells[0] for e in made.entries[: len(lone)] if still in e.picks[3]] == running
    for number, place in enumerate(places.options[:-1]):
        wet = {o.faults[0]: v for o in lone if (v := o.told.by_place.get(place, 0.0)) > 1e-4}
        found = {e.cells[0]: e.picks[2][number] for e in made.entries[: len(lone)] if number in e.picks[2]}
        assert found == wet
    assert made.head[places.by] == "where"
    dry = [e for e in made.entries if len(places.options) - 1 in e.picks[2]]
    assert dry
    assert all(e.cells[places.by] == NOTHING for e in dry)


def test_of_many_pairs_those_that_add_most_are_kept_and_the_others_counted(
    studied: StudyResult, metric: Shown, monkeypatch: pytest.MonkeyPatch
) -> None:
    bad = failures.bad_pairs(studied)
    ground = Ground.under(studied)

    def told(outcome: Outcome, added: float) -> tuple[str, ...]:
        places = [f"{place} {v:.1e}" for place, v in outcome.told.by_place.items()]
        row = failures.row(outcome, metric, ground, added)
        return (outcome.who, outcome.told.order, metric.litres(added), *places, *row)

    monkeypatch.setattr(register, "MOST_PAIRS", 4)
    block, grid, text = register.register_blocks(studied, metric, bad)
    assert isinstance(block, Register)
    assert isinstance(grid, Grid)
    assert isinstance(text, Text)
    pairs = [e for e in block.entries if 1 in e.picks[1]]
    assert len(pairs) == 4
    held = sum(number for _, number in failures.merged([(*o.faults, *told(o, added)) for o, added in bad])[:4])
    assert held < len(bad)
    assert f"{len(bad)} do clearly more than the two alone add up to; the table holds the {held} of them" in text.text
    assert [row[0] for row in grid.rows] == [e.cells[0] for e in pairs]


def test_without_pairs_it_says_so_and_where_none_is_worse_too(studied: StudyResult, metric: Shown) -> None:
    lone = tuple(o for o in studied.failures if len(o.faults) == 1)
    block, text = register.register_blocks(replace(studied, failures=lone), metric, [])
    assert text == Text(register.NO_PAIRS)
    assert isinstance(block, Register)
    assert block.picks[1].options == (register.ALONE,)
    _, none = register.register_blocks(studied, metric, [])
    number = len(failures.pairs(studied))
    assert none == Text(f"None of the {number} runs with two faults does clearly more than the two alone add up to.")


# --- the script -------------------------------------------------------------------------------------------------------

# name, litres in the den and in the hall, time; an order of its own, so that every sort differs from it
ROWS = [("b 9", 3.0, 0.0, 60.0), ("a 10", 0.5, 200.0, math.inf), ("c", 0.0, 0.0, None), ("a 9", 20.0, 1.0, 7200.0)]
ROWS += [(f"z {number}", 0.001 * number, 0.0, 90000.0 + number) for number in range(1, 61)]


def planted() -> Register:
    """64 rows with names, figures and places that are known."""
    entries = tuple(
        Entry(
            (name, f"{den + hall:g} L", NOTHING if time is None else "never" if time == math.inf else f"{time:g} s"),
            (None, den + hall, time),
            ({at % 2: 0.0}, {k: v for k, v in enumerate((den, hall)) if v} or {2: 0.0}),
        )
        for at, (name, den, hall, time) in enumerate(ROWS)
    )
    picks = (Pick("who", ("away", "at home")), Pick("water in", ("den", "hall", "nowhere"), 1))
    return Register("All", ("fault", "litres", "stopped"), entries, picks, (1, 2), (0,), ())


@pytest.fixture(scope="module")
def browser() -> Iterator[Any]:
    found = shutil.which("chromium") or shutil.which("chromium-browser") or shutil.which("google-chrome")
    if found is None:
        pytest.skip("no browser of the system to open the page with")
    from playwright.sync_api import sync_playwright

    with sync_playwright() as play:
        opened = play.chromium.launch(executable_path=found, args=["--no-sandbox"])
        yield opened
        opened.close()


@pytest.fixture(scope="module")
def file(tmp_path_factory: pytest.TempPathFactory) -> Path:
    path = tmp_path_factory.mktemp("page") / "page.html"
    path.write_text(page.render(Report("T", "s", (Section("all", "All", (planted(),)),))), encoding="utf-8")
    return path


def names(view: Any) -> list[str]:
    return [str(name) for name in view.locator("tbody th").all_inner_texts()]


@pytest.mark.slow
def test_heads_sort_numbers_as_numbers_times_as_times_and_nothing_last(browser: Any, file: Path) -> None:
    view = browser.new_page(viewport={"width": 1280, "height": 800})
    wrong: list[str] = []
    view.on("pageerror", lambda error: wrong.append(str(error)))
    view.goto(file.as_uri())
    assert names(view)[:4] == ["b 9", "a 10", "c", "a 9"]
    assert view.locator("th[aria-sort=none]").count() == 3
    fault, litres, stopped = view.locator("thead button").all()
    fault.focus()
    view.keyboard.press("Enter")  # words rise first, and 9 comes before 10
    assert names(view)[:4] == ["a 9", "a 10", "b 9", "c"]
    assert view.locator("th[aria-sort=ascending]").inner_text().startswith("fault")
    view.keyboard.press("Space")
    assert names(view)[0] == "z 60"
    litres.click()  # numbers fall first
    assert names(view)[:3] == ["a 10", "a 9", "b 9"]
    assert view.locator("th[aria-sort=descending]").count() == 1
    assert view.get_by_role("status").inner_text() == "40 of 64 rows shown, sorted by “litres”, falling."
    stopped.click()
    assert names(view)[0] == "a 10"  # never is later than any time
    view.get_by_role("button", name="Show all 64 rows").click()
    assert names(view)[-1] == "c"  # what says nothing stands last
    assert view.evaluate("document.activeElement.textContent") == names(view)[40]
    stopped.click()
    assert [*names(view)[:3], names(view)[-2], names(view)[-1]] == ["b 9", "a 9", "z 1", "a 10", "c"]
    assert view.get_by_role("status").inner_text() == "All 64 rows shown, sorted by “stopped”, rising."
    assert wrong == []
    view.close()


@pytest.mark.slow
def test_lists_and_words_choose_rows_and_a_place_sorts_by_its_own_litres(browser: Any, file: Path) -> None:
    view = browser.new_page(viewport={"width": 1280, "height": 800})
    view.goto(file.as_uri())
    view.get_by_label("water in").select_option("hall")
    assert names(view) == ["a 10", "a 9"]
    assert view.get_by_role("status").inner_text() == (
        "2 of 2 rows shown, sorted by “litres”, falling; 64 rows in all."
    )
    view.get_by_label("water in").select_option("den")
    assert names(view)[:3] == ["a 9", "b 9", "a 10"]  # 200 L in the hall do not count
    view.get_by_label("who").select_option("at home")
    assert names(view)[:2] == ["a 9", "a 10"]
    view.get_by_label("words in a row").fill("10 a")
    assert names(view) == ["a 10"]
    view.get_by_role("button", name="All again, the worst first").click()
    assert names(view)[:4] == ["b 9", "a 10", "c", "a 9"]
    assert len(names(view)) == 40
    view.emulate_media(media="print")
    assert not view.locator(".picks").is_visible()
    assert view.get_by_role("status").inner_text().startswith("40 of 64 rows shown")  # what is on paper says so
    assert view.locator("tbody tr").count() == 40
    assert not view.locator("thead button").first.is_visible()
    assert view.locator("thead .paper").first.is_visible()
    view.close()


@pytest.mark.slow
def test_on_a_phone_a_list_sorts_and_no_hidden_button_is_reached(browser: Any, file: Path) -> None:
    view = browser.new_page(viewport={"width": 390, "height": 800})
    view.goto(file.as_uri())
    assert view.evaluate("document.documentElement.scrollWidth") <= 390
    assert not any(button.is_visible() for button in view.locator("thead button").all())
    view.get_by_label("sorted by").select_option("litres")
    assert names(view)[:3] == ["a 10", "a 9", "b 9"]
    for width in (800, 1000, 1220):
        view.set_viewport_size({"width": width, "height": 800})
        assert view.evaluate("document.documentElement.scrollWidth") <= width
    view.set_viewport_size({"width": 390, "height": 800})
    shown = view.locator("tbody td").first.evaluate("cell => getComputedStyle(cell, '::before').content")
    assert shown == '"litres: "'
    view.close()


@pytest.mark.slow
def test_without_scripts_the_whole_table_is_there_and_nothing_that_does_nothing(browser: Any, file: Path) -> None:
    context = browser.new_context(java_script_enabled=False)
    view = context.new_page()
    view.goto(file.as_uri())
    assert view.locator("tbody tr").count() == len(ROWS)
    assert view.locator("tbody tr").last.is_visible()
    assert not view.locator(".picks").is_visible()
    assert not view.locator(".rest button").is_visible()
    context.close()
