"""The review in a real browser and at its door: entries are kept, blockers hold, strangers stay out."""

from __future__ import annotations

import http.client
import json
import time
from urllib.parse import quote, urlsplit

import pytest
from web_help import HOSTILE, SPOKEN, TYPED, recording, review, violations

SAVED = "#saved:text-is('Saved')"


@pytest.fixture
def notes(tmp_path):
    """A notes file with an over-cap blocker."""
    file = tmp_path / "table4.txt"
    file.write_text(TYPED, encoding="utf-8")
    return file


def journal(notes):
    lines = notes.with_name("table4.journal.jsonl").read_text(encoding="utf-8").splitlines()
    return [json.loads(line) for line in lines]


def enter(page, selector: str, value: str):
    page.fill(selector, value)
    page.press(selector, "Tab")
    page.locator(SAVED).wait_for()


def test_score_flag_finish_with_a_kill_in_between(page, notes):
    before = notes.read_bytes()
    with review(notes) as (link, server):
        page.goto(link)
        page.click("text=Sign and finish")
        page.locator("#saved.bad").wait_for()
        assert "6 for mouthfeel is more than the 5" in page.locator("#saved").inner_text()
        assert not notes.with_name("table4.finished.json").exists()
        page.fill(".part:has(#score-of-mouthfeel) [name=why]", "misread")
        enter(page, "#score-of-mouthfeel", "4")
        assert "0 of them" in page.locator("#counts").inner_text()
        page.fill("#comment-of-overall", "Fresh; the hops carry it.")
        page.locator(SAVED).wait_for()
        page.wait_for_timeout(500)  # typed, never left: kept all the same
        server.kill()
    with review(notes) as (link, _):
        page.goto(link)
        assert page.input_value("#score-of-mouthfeel") == "4"
        assert page.input_value("#comment-of-overall") == "Fresh; the hops carry it."
        flag = page.locator("#flags-open li:has(form)").first
        told = flag.get_attribute("id")
        flag.locator("[name=why]").fill("not on this form")
        flag.get_by_role("button", name="Dismiss").click()
        page.locator(SAVED).wait_for()
        assert page.locator(f"#flags-open #{told}").count() == 0
        page.click("text=Sign and finish")
        page.locator("#signed:has-text('Finished by Ada Probe')").wait_for()
    finished = json.loads(notes.with_name("table4.finished.json").read_text(encoding="utf-8"))
    assert finished["judge"] == "Ada Probe"
    assert finished["sheet"]["categories"]["mouthfeel"]["score"] == 4
    assert finished["sheet"]["total"]["sum"] == 41
    score = next(c for c in finished["journal"] if c["what"] == "score:mouthfeel")
    assert (score["who"], score["old"], score["new"], score["why"]) == ("Ada Probe", 6, 4, "misread")
    assert notes.read_bytes() == before


def test_stance_and_term_of_a_word(page, notes):
    with review(notes) as (link, _):
        page.goto(link)
        page.locator("details.used summary").nth(1).click()
        row = page.locator(".words-edit li:has-text('pine')").first
        row.locator("[name^='state:']").select_option("absent")
        page.locator(SAVED).wait_for()
        assert page.locator(".block a.absent:text-is('pine')").count() == 1
        row.locator("[name^='term:']").fill("no such term")
        row.locator("[name^='term:']").press("Tab")
        page.locator("#saved.bad:has-text('no term of the lexicon')").wait_for()
        page.reload()
        assert page.locator(".words-edit li:has-text('pine') [name^='state:']").first.input_value() == "absent"
    assert [(c["what"].split(":")[0], c["old"], c["new"], c["words"]) for c in journal(notes)] == [
        ("state", "present", "absent", ["pine"])
    ]


def test_keyboard_alone_corrects_and_finishes(page, notes):
    def tab_to(wanted: str):
        for _ in range(300):
            page.keyboard.press("Tab")
            if page.evaluate("s => document.activeElement.matches(s)", wanted):
                return
        pytest.fail(f"Tab never reaches {wanted}")

    with review(notes) as (link, _):
        page.goto(link)
        tab_to("#score-of-mouthfeel")
        page.keyboard.press("Control+A")
        page.keyboard.type("4.5")
        tab_to("section.finish button")
        page.keyboard.press("Enter")
        page.locator("#signed:has-text('Finished')").wait_for()
    assert notes.with_name("table4.finished.json").exists()


def test_works_without_script(browser, notes):
    context = browser.new_context(java_script_enabled=False)
    page = context.new_page()
    with review(notes) as (link, _):
        page.goto(link)
        page.fill("#score-of-mouthfeel", "3")
        page.locator(".part:has(#score-of-mouthfeel) button.plain").first.click()
        assert page.input_value("#score-of-mouthfeel") == "3"
        page.click("text=Sign and finish")
        assert "Finished by" in page.locator("#signed").inner_text()
    context.close()


@pytest.mark.parametrize("scheme", ["light", "dark"])
@pytest.mark.parametrize("width", [1280, 390])
def test_axe_finds_no_violation(page, tmp_path, axe, width, scheme):
    page.emulate_media(color_scheme=scheme)
    page.set_viewport_size({"width": width, "height": 800})
    file = tmp_path / "spoken.txt"
    file.write_text(SPOKEN, encoding="utf-8")
    with review(file) as (link, _):
        page.goto(link)
        page.locator("details").evaluate_all("all => all.forEach(d => { d.open = true })")
        enter(page, "#score-of-aroma", "7")
        assert page.evaluate("document.documentElement.scrollWidth <= innerWidth")
        assert violations(page, axe) == []
        assert {urlsplit(url).hostname for url in page.asked} == {"127.0.0.1"}


def test_hostile_notes_stay_text(page, tmp_path):
    file = tmp_path / "hostile.txt"
    file.write_text(HOSTILE, encoding="utf-8")
    with review(file, judge="<b>O'Hara</b>") as (link, _):
        page.goto(link)
        enter(page, "#comment-of-aroma", "</textarea><script>alert(1)</script>")
        enter(page, "#score-of-aroma", "7")
        page.reload()
        assert page.input_value("#comment-of-aroma") == "</textarea><script>alert(1)</script>"
        assert "<b>O'Hara</b>" in page.locator("#standing-aroma").inner_text()
        assert page.locator("script:not([src])").count() == 0


class Caller:
    """A plain HTTP client of the review, in the session that the one-time link opens."""

    def __init__(self, link: str):
        self.at = urlsplit(link)
        self.cookie = self.ask("GET", f"/?{self.at.query}")[1]["set-cookie"].split(";")[0]

    def ask(self, method: str, path: str, body: str | None = None, **headers: str):
        opened = http.client.HTTPConnection(self.at.hostname, self.at.port, timeout=10)
        sent = {"Content-Type": "application/x-www-form-urlencoded"} if body is not None else {}
        opened.request(method, path, body, sent | headers)
        answer = opened.getresponse()
        text = answer.read().decode()
        opened.close()
        return answer.status, {k.lower(): v for k, v in answer.getheaders()}, text

    def enter(self, body: str, **headers: str):
        own = {"Cookie": self.cookie, "Origin": f"http://{self.at.netloc}", "X-Live": "1"}
        return self.ask("POST", "/edit", body, **(own | headers))


def test_door(notes):
    with review(notes) as (link, _):
        caller = Caller(link)
        own = f"http://{caller.at.netloc}"
        assert caller.ask("GET", f"/?{caller.at.query}")[0] == 403  # the link opens once
        assert caller.ask("GET", "/")[0] == 403
        assert caller.ask("GET", "/", Cookie=caller.cookie)[0] == 200
        assert caller.ask("GET", "/", Cookie=caller.cookie, Host="evil.example")[0] == 403
        body = "score:aroma=9"
        assert caller.enter(body, Origin="http://evil.example")[0] == 403
        assert caller.ask("POST", "/edit", body, Cookie=caller.cookie)[0] == 403  # no Origin at all
        assert caller.ask("POST", "/edit", body, Origin=own)[0] == 403
        assert caller.enter(body, **{"Content-Type": "text/plain"})[0] == 409
        assert caller.enter("a" * 300_000)[0] == 409
        assert not notes.with_name("table4.journal.jsonl").exists()
        status, headers, _ = caller.ask("GET", "/", Cookie=caller.cookie)
        assert "default-src 'none'" in headers["content-security-policy"]
        assert "unsafe" not in headers["content-security-policy"]
        assert caller.enter(body)[0] == 200
    assert len(journal(notes)) == 1


@pytest.mark.parametrize(
    ("body", "told"),
    [
        ("score:aroma=ten", "no number"),
        ("score:aroma=-1", "from 0 up"),
        ("score:aroma=nan", "from 0 up"),
        ("score:smell=3", "no score:smell"),
        ("state:1-2=present", "no state:1-2"),
        ("comment:aroma=" + "a" * 20_001, "20000"),
        ("nonsense=1", "no nonsense"),
    ],
)
def test_bad_entries_are_refused(notes, body, told):
    with review(notes) as (link, _):
        status, _, text = Caller(link).enter(body)
        assert (status, told in text) == (409, True), text
    assert not notes.with_name("table4.journal.jsonl").exists()


def test_an_edit_is_answered_within_50_ms(tmp_path):
    file = tmp_path / "ten.txt"
    file.write_text(recording(10), encoding="utf-8")
    with review(file) as (link, _):
        caller, took = Caller(link), []
        for n in range(25):
            began = time.perf_counter()
            assert caller.enter(f"score:aroma={n % 12}&why={quote('tried again')}")[0] == 200
            took.append(time.perf_counter() - began)
    assert sorted(took)[12] < 0.050, took


def test_four_hour_review_stays_usable(page, tmp_path):
    file = tmp_path / "long.txt"
    file.write_text(recording(240), encoding="utf-8")
    with review(file) as (link, _):
        page.goto(link)
        began = time.monotonic()
        enter(page, "#score-of-aroma", "7")
        assert time.monotonic() - began < 3
