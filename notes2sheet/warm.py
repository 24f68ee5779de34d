"""Loads all that a draft needs, once, by being imported: the server that workers are forked from imports it, so that
they begin warm and share what is loaded."""

from __future__ import annotations

import gc

from notes2sheet.batch import Settings, Task, draft_task

gc.disable()  # loading makes objects that all stay: collecting then only costs time
draft_task(Task("", "", "", "", Settings(), b"American IPA, 21A. Aroma: no grapefruit. I give it 9 of 12."))
gc.freeze()
gc.enable()
