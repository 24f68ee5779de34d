"""The usual cautions, once and short, on every published form of a sheet (sources: WHO statement in Lancet Public
Health 2023; Okaru and Lachenmeier, Nutrients 14:3873, 2022; common practice)."""

from __future__ import annotations

CAUTIONS = (
    "A draft is no official result until its judge signs it.",
    "Alcohol is not for minors, in pregnancy, before driving, with many medicines, or in recovery.",
    "What is called alcohol-free may hold traces, and what the term allows differs by country.",
    "Drinks may hold allergens such as gluten, lactose, sulfites or nuts.",
    "Flavor never proves that a drink is safe.",
)
