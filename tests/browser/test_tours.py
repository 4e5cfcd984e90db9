"""A whole tour: an educator and three shoppers in browsers of their own, one of them without a signal."""

from __future__ import annotations

import csv
import io
import re
from pathlib import Path

import pytest
from playwright.sync_api import Locator, expect

from shelfcheck.words import say
from tests.browser.conftest import Arrive
from tests.browser.driving import DESK, GRANOLA, LABEL, Shopper
from tests.browser.screens import guessed_tour
from tests.making import eat

pytestmark = pytest.mark.browser
LIVE_MS = 15_000
"""More than a look at the tour can take, on a busy machine too."""


def sample_tour(lead: Shopper) -> str:
    """Make the sample tour by its button, and return the code."""
    lead.page.goto(f"{lead.address}#/tours")
    lead.page.locator(".tour-part > button").click()
    code = lead.page.locator(".tour-code")
    expect(code).to_have_text(re.compile(r"[a-z]{4}-[a-z]{4}"))
    return code.inner_text()


def join(one: Shopper, code: str) -> Shopper:
    one.page.goto(f"{one.address}#/tours")
    one.page.locator("#tour-code").fill(code.upper())
    one.page.locator(".tour-form .primary").first.click()
    expect(one.page.locator("#place-title")).to_contain_text(re.compile("Maple|Arce"))
    return one


def guess(one: Shopper, presses: int) -> None:
    """Open for the guess, press so often, and send."""
    form = one.page.locator(".guess-form").first
    expect(form).to_be_visible(timeout=LIVE_MS)
    for _ in range(presses):
        form.locator('.press:has(use[href="#drawing-plus"])').click()
    form.locator(".primary").click()


def state(lead: Shopper, number: int = 0) -> Locator:
    return lead.page.locator(".stop").nth(number).locator(".stop-state")


def figure(one: Shopper, nutrient: str) -> float:
    text = one.page.locator(f".own-numbers .card.{nutrient} .value").first.inner_text()
    return float(text.replace(",", ""))


def test_a_whole_tour_with_one_phone_out_of_signal_at_its_guess(shopper: Arrive) -> None:
    lead = shopper(DESK)
    code = sample_tour(lead)
    phones = [join(shopper(), code), join(shopper(lang="es"), code), join(shopper(), code)]
    expect(lead.page.locator(".tour-there")).to_contain_text("3", timeout=LIVE_MS)

    lead.page.locator(".stop .primary").first.click()
    for presses, one in enumerate(phones[:2]):
        guess(one, 2 * presses)  # one fist, and two
        expect(one.page.locator(".stop-state").first).to_contain_text(str(presses + 1), timeout=LIVE_MS)
    away = phones[2]
    expect(away.page.locator(".guess-form").first).to_be_visible(timeout=LIVE_MS)
    away.page.context.set_offline(offline=True)
    guess(away, 4)
    waits = say("page.tour.answer_waits", "en")
    expect(away.page.locator(".stop-state").first).to_have_text(waits, timeout=LIVE_MS)
    expect(state(lead)).to_contain_text("2 of 3", timeout=LIVE_MS)
    away.page.context.set_offline(offline=False)
    expect(state(lead)).to_contain_text("3 of 3", timeout=LIVE_MS)
    expect(away.page.locator(".stop-state").first).to_contain_text("3 fists", timeout=LIVE_MS)

    lead.page.locator(".stop[data-state=open] .primary").click()
    for fists, one in enumerate(phones, start=1):
        expect(one.page.locator(".own-numbers")).to_be_visible(timeout=LIVE_MS)
        truth = eat("toasted_oat_rings", f"{fists} fists" if fists > 1 else "1 fist")
        for nutrient in ("energy", "carbohydrate", "fat", "sodium"):
            value = truth.nutrients[nutrient].range.value
            assert figure(one, nutrient) == pytest.approx(value, abs=0.5 if value >= 10 else 0.05)
    middle = eat("toasted_oat_rings", "2 fists")
    expect(lead.page.locator(".plot .middle .value")).to_have_text(
        ["2", "300", f"{middle.nutrients['carbohydrate'].range.value:.0f} g", "380 mg"]
    )
    assert lead.page.locator(".plots .dot").count() == 12  # three people in four plots


def test_a_phone_that_loads_the_page_again_still_has_its_answer(shopper: Arrive) -> None:
    lead = shopper(DESK)
    code = sample_tour(lead)
    one = join(shopper(), code)
    lead.page.locator(".stop .primary").first.click()
    guess(one, 2)
    expect(one.page.locator(".stop-state").first).to_contain_text("2 fists", timeout=LIVE_MS)
    one.page.reload()
    expect(one.page.locator(".stop-state").first).to_contain_text("2 fists", timeout=LIVE_MS)
    guess(one, 2)  # and changes its mind

    expect(one.page.locator(".stop-state").first).to_contain_text("3 fists", timeout=LIVE_MS)
    expect(state(lead)).to_contain_text("1 of 1", timeout=LIVE_MS)


def test_an_answer_waits_through_a_closed_tab(shopper: Arrive) -> None:
    lead = shopper(DESK)
    code = sample_tour(lead)
    one = join(shopper(service_workers="allow"), code)
    lead.page.locator(".stop .primary").first.click()
    expect(one.page.locator(".guess-form").first).to_be_visible(timeout=LIVE_MS)
    one.page.context.set_offline(offline=True)
    guess(one, 2)
    expect(one.page.locator(".stop-state").first).to_contain_text("waits", timeout=LIVE_MS)
    context = one.page.context
    one.page.close()
    context.set_offline(offline=False)
    context.new_page().goto(one.address)  # at another place of the app

    expect(state(lead)).to_contain_text("1 of 1", timeout=LIVE_MS)


def test_a_wrong_code_and_a_dead_link_are_told_and_nothing_breaks(shopper: Arrive) -> None:
    one = shopper()
    one.page.goto(f"{one.address}#/join/bamitoko")
    expect(one.page.locator("#place .problem")).to_have_text(say("error.no_tour", "en"))
    one.page.goto(f"{one.address}#/lead/{'x' * 43}")
    expect(one.page.locator("#place .problem")).to_have_text(say("error.dead_link", "en"))
    one.page.goto(f"{one.address}#/tours")
    one.page.locator(".tour-form .primary").first.click()

    expect(one.page.locator("#place .problem")).to_have_text(say("page.tour.code_missing", "en"))


def test_a_tour_is_made_of_kept_foods_and_led_in_another_order(shopper: Arrive) -> None:
    lead = shopper().type_granola()
    for name, fields in (("Granola", GRANOLA), ("Light granola", GRANOLA | {"energy": "200", "fat": "5"})):
        if name != "Granola":
            lead.page.locator("#label .folded button").click()
            lead.page.locator(".question [data-answer=yes]").click()
            lead.page.wait_for_selector("body:not(.has-draft)")
            lead.start_typing().fill(LABEL | fields).go_on()
            lead.page.wait_for_selector("#numbers .card")
        lead.page.locator(".act-buttons button").first.click()
        lead.page.locator("#food-name").fill(name)
        lead.page.locator(".keep-form button").click()
        expect(lead.page.locator(".acts .news")).to_contain_text(name)
    lead.page.goto(f"{lead.address}#/tours")
    lead.page.locator("#tour-title").fill("Breakfast")
    lead.page.locator(".tour-form .primary").last.click()
    lead.page.locator("details:has(.plan-kept) > summary").click()
    for number in (0, 1):
        lead.page.locator(".plan-kept button").nth(number).click()
    lead.page.locator("#stop-0-question").fill("How many fists?")
    lead.page.locator("#plan-day").fill("2026-12-05")
    lead.page.locator("#plan-lang").select_option("es")
    lead.page.locator(".plan-stop").nth(1).locator("button").first.click()
    lead.page.locator(".prepare > .primary").click()
    expect(lead.page.locator(".prepare .told")).to_have_text(say("page.tour.saved", "en"))
    lead.page.locator("[data-view=lead]").click()

    expect(lead.page.locator(".stop h4")).to_have_text(["Granola", "Light granola"])
    lead.page.locator("[data-view=sheet]").click()
    expect(lead.page.locator(".sheet")).to_contain_text("December 5, 2026")


def test_two_windows_of_one_educator_do_not_overwrite_each_other(shopper: Arrive) -> None:
    first, second = shopper(DESK), shopper(DESK)
    sample_tour(first)
    second.page.goto(first.page.url)
    for lead in (first, second):
        lead.page.locator("[data-view=prepare]").click()
    first.page.locator("#plan-title").fill("First")
    first.page.locator(".prepare > .primary").click()
    expect(first.page.locator(".prepare .told")).to_have_text(say("page.tour.saved", "en"))
    second.page.locator("#stop-0-name").fill("Second")
    second.page.locator(".prepare > .primary").click()

    expect(second.page.locator(".prepare .told")).not_to_be_empty()
    expect(second.page.locator("#stop-0-name")).to_have_value("Second")  # nothing typed is lost


def test_practice_is_told_reported_and_becomes_the_own_hand(shopper: Arrive) -> None:
    lead = shopper(DESK)
    code = sample_tour(lead)
    one = join(shopper(), code)
    one.page.locator("summary:has-text('Practice')").click()
    for number, round_ in (("1 1/2", "before"), ("1 1/8", "after")):
        one.page.locator(f"input[name=practice-round][value={round_}]").check()
        one.page.locator("#practice-size").fill(number)
        one.page.locator(".practice-form .primary").click()
        expect(one.page.locator(".practice-form .stop-state")).to_contain_text("1 cup", timeout=LIVE_MS)
    one.page.locator(".practice-form .quiet").click()
    assert one.page.evaluate("JSON.parse(localStorage['shelfcheck.page']).hands.fist_ml") == pytest.approx(
        270
    )

    lead.page.locator("[data-view=report]").click()
    cells = lead.page.locator(".report-table td")
    expect(cells).to_have_text(["1", "50 %", "0 %", "1", "13 %", "100 %"], timeout=LIVE_MS)  # of 240 mL
    with lead.page.expect_download() as waiting:
        lead.page.locator(".tour-view .actions button").first.click()
    rows = list(csv.reader(io.StringIO(Path(waiting.value.path()).read_text(encoding="utf-8-sig"))))
    assert any("Toasted oat rings" in row for row in rows)


def test_an_ended_tour_is_closed_to_phones_and_its_report_stays(shopper: Arrive) -> None:
    lead = shopper(DESK)
    code = sample_tour(lead)
    lead.page.locator("[data-view=prepare]").click()
    lead.page.locator(f"button:has-text('{say('page.tour.end', 'en')}')").click()
    lead.page.locator(".question [data-answer=yes]").click()
    expect(lead.page.locator(".tour-there")).to_have_text(say("page.tour.ended", "en"))
    one = shopper()
    one.page.goto(f"{one.address}#/join/{code}")

    expect(one.page.locator("#place .problem")).to_have_text(say("error.no_tour", "en"))


@pytest.mark.parametrize("lang", ["en", "es"])
@pytest.mark.parametrize("paper", ["Letter", "A4"])
def test_the_sheet_prints_on_one_or_two_pages(shopper: Arrive, lang: str, paper: str) -> None:
    one = shopper(DESK, lang=lang)
    token, _ = guessed_tour(one.arrive())
    one.page.goto(f"{one.address}#/lead/{token}")
    one.page.locator("[data-view=sheet]").click()
    pdf = one.page.pdf(format=paper, margin=dict.fromkeys(("top", "right", "bottom", "left"), "12mm"))

    pages = re.findall(rb"/Type\s*/Page\b", pdf)
    assert 1 <= len(pages) <= 2
    one.page.emulate_media(media="print")
    for hidden in (".head", ".places", ".tour-tabs", ".tour-card"):
        expect(one.page.locator(hidden).first).to_be_hidden()
    expect(one.page.locator(".sheet-table").first).to_be_visible()


def test_what_is_prepared_and_not_saved_outlives_a_look_at_another_view(shopper: Arrive) -> None:
    lead = shopper(DESK)
    sample_tour(lead)
    lead.page.locator("[data-view=prepare]").click()
    lead.page.locator("#stop-1-question").fill("Honestly?")
    expect(lead.page.locator(".prepare .doubt")).to_be_visible()
    lead.page.locator("[data-view=lead]").click()
    lead.page.locator("[data-view=prepare]").click()
    expect(lead.page.locator("#stop-1-question")).to_have_value("Honestly?")
    lead.page.locator(".prepare > .primary").click()

    expect(lead.page.locator(".prepare .doubt")).to_be_hidden()


def test_nonsense_is_never_sent_as_the_number_before_it(shopper: Arrive) -> None:
    lead = shopper(DESK)
    one = join(shopper(), sample_tour(lead))
    lead.page.locator(".stop .primary").first.click()
    form = one.page.locator(".guess-form").first
    expect(form).to_be_visible(timeout=LIVE_MS)
    form.locator(".count input").fill("two")
    form.locator(".primary").click()
    expect(form.locator(".stepper .fault")).to_be_visible()
    expect(one.page.locator(".stop-state").first).to_be_hidden()
    form.locator(".count input").fill("3")
    form.locator(".primary").click()

    expect(one.page.locator(".stop-state").first).to_contain_text("3 fists", timeout=LIVE_MS)


def test_the_end_is_told_where_one_was_there_and_the_printed_address_asks_for_the_code(
    shopper: Arrive,
) -> None:
    lead = shopper(DESK)
    code = sample_tour(lead)
    one = join(shopper(), code)
    lead.page.locator("[data-view=prepare]").click()
    lead.page.locator(f"button:has-text('{say('page.tour.end', 'en')}')").click()
    lead.page.locator(".question [data-answer=yes]").click()
    expect(one.page.locator("#place .problem")).to_have_text(say("page.tour.over", "en"), timeout=LIVE_MS)
    one.page.goto(f"{one.address}#/join")

    expect(one.page.locator("#tour-code")).to_be_visible()
