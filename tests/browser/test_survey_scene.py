"""The survey's lab: a verdict beside each reading, and the sheet below, in the order of work."""

import re

import pytest
from browser.conftest import watched
from browser.lab_page import fits_a_phone, keeps_nobody_out, lab_on, looks_right
from playwright.sync_api import expect

from warmside.show.survey import SURVEYS, gains_of, verdicts
from warmside.show.survey_lab import survey_lab

pytestmark = [pytest.mark.chromium, pytest.mark.full]


def test_readings_are_entered_and_the_sheet_follows(chromium, keep):
    with watched(chromium) as page:
        shown = survey_lab()
        lab = lab_on(page, shown)

        def verdict(name: str) -> str:
            row = lab.locator(".warmside-row:visible", has_text=re.compile(f"^{name}"))
            said = row.locator("output")
            expect(row.locator("input, select").first).to_have_attribute(
                "aria-describedby", said.get_attribute("id")
            )
            return said.inner_text()

        rows = lab.locator(".warmside-details tbody th")
        expect(lab.locator(".warmside-details")).to_contain_text(gains_of(SURVEYS["As found"])[""])
        assert verdict("Behind the fins") == "✘ outside"
        assert verdict("Baffle to fins") == "≈ too near to tell"
        assert rows.all_inner_texts()[:2] == ["Free area of the lower vent", "Baffle to fins"]
        looks_right(page, lab)
        keeps_nobody_out(page)
        keep(page, "survey_as_found")

        depth = lab.get_by_role("spinbutton", name="Behind the fins (in)")
        depth.fill("1.0625")
        depth.press("Enter")
        expect(rows.locator("..").filter(has_text="1 1/16 in")).to_contain_text("≈ too near to tell")
        assert verdict("Behind the fins") == "≈ too near to tell"

        lab.get_by_role("button", name="SI units").press("Enter")
        expect(lab.locator(".warmside-details")).to_contain_text("27 mm")
        assert verdict("Lower vent shut") == verdicts(shown.settings, "SI")["lower_blocked"]
        lab.get_by_role("button", name="By the rules").press("Enter")
        expect(lab.locator("p[role=status]")).to_contain_text("are within their limits")
        expect(lab.locator(".warmside-details")).not_to_contain_text("✘")
        keep(page, "survey_by_the_rules")
        fits_a_phone(page, lab)
