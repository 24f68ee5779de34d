"""Putting a draft right: the journal of a judge's corrections, their effect on a draft, and the local page."""
