"""What drives the page and review tests: Debian's Chromium by Playwright for Python, and axe-core."""

from __future__ import annotations

import os
from pathlib import Path

import pytest

CHROMIUM = Path(os.environ.get("CHROMIUM", "/usr/bin/chromium"))
AXE_PLACES = [Path(p) for p in (os.environ.get("AXE_CORE", ""), "node_modules/axe-core/axe.min.js") if p]
FLAGS = ["--no-sandbox", "--disable-gpu", "--disable-background-networking"]


@pytest.fixture(scope="session")
def browser():
    playwright = pytest.importorskip("playwright.sync_api", reason="Playwright for Python is not installed")
    if not CHROMIUM.exists():
        pytest.skip(f"no Chromium at {CHROMIUM} (apt-get install chromium, or set CHROMIUM)")
    with playwright.sync_playwright() as driver:
        opened = driver.chromium.launch(executable_path=str(CHROMIUM), args=FLAGS)
        yield opened
        opened.close()


@pytest.fixture(scope="session")
def axe() -> str:
    found = next((p for p in AXE_PLACES if p.is_file()), None)
    if found is None:
        pytest.skip("axe-core is not installed (npm install axe-core, or set AXE_CORE to axe.min.js)")
    return found.read_text(encoding="utf-8")


@pytest.fixture
def page(browser):
    """A page whose requests and errors are kept in `page.asked` and `page.errors`."""
    context = browser.new_context(viewport={"width": 1280, "height": 900}, reduced_motion="reduce")
    opened = context.new_page()
    opened.asked, opened.errors = [], []
    opened.on("request", lambda request: opened.asked.append(request.url))
    opened.on("pageerror", lambda error: opened.errors.append(str(error)))
    opened.on("dialog", lambda dialog: opened.errors.append(dialog.message))
    yield opened
    assert opened.errors == []
    context.close()
