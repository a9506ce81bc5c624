"""A failure whose record ends while the water still rises is never called dry, wherever it is told."""

from __future__ import annotations

import io
from dataclasses import replace

from rich.console import Console

from drainwright.design import Design
from drainwright.findings import answer, judge
from drainwright.findings.model import Severity
from drainwright.findings.rules import Case
from drainwright.paper.documents.proposal_works import power_cut
from drainwright.paper.documents.say import Say
from drainwright.paper.documents.storm_words import storm_blocks
from drainwright.paper.schemes_rows import _failures
from drainwright.schemes.comparing import compared
from drainwright.schemes.words import _failing_value, _failing_words
from drainwright.terminal import _show_storm

from .change import case_of, every, storm

KEYS = ("pump dead", "power out", "discharge blocked")
HOUR = 3600.0


def rising(design: Design) -> Design:
    """The design with all failures that stop the water undecided after three days."""
    case = case_of(design)
    for key in KEYS:
        result = case.storm.case(key)
        assert result is not None
        times = result.times * (72 * HOUR / result.times[-1])
        case = storm(key, time_to_slab=None, rising=1e-6, times=times, highest_at_house=result.slab_level - 0.1)(case)
    return replace(design, storm=case.storm)


def words_of(design: Design) -> Case:
    """What the rules look at."""
    return every()(case_of(rising(design)))


def test_the_checks_warn_and_say_how_long_was_looked(pumped: Design) -> None:
    case = words_of(pumped)
    found = judge(case.site, case.inflows, case.system, case.storm, case.build, case.moisture)
    for rule in ("STM-05", "STM-06", "STM-07"):
        (finding,) = (item for item in found if item.id == rule)
        assert finding.severity is Severity.CAUTION
        assert "within 72 h, and still rises" in finding.message
        assert "stays dry" not in finding.message


def test_the_answers_say_it(pumped: Design) -> None:
    case = words_of(pumped)
    found = judge(case.site, case.inflows, case.system, case.storm, case.build, case.moisture)
    told = answer(case.site, case.inflows, case.system, case.storm, case.build, case.moisture, found)
    said = {item.number: item.answer for item in told}
    assert "after 72 h, still rising" in said[11]
    assert "within 72 h, and still rises" in said[14]
    assert "floor stays dry" not in said[14]


def test_the_proposal_says_it(pumped: Design) -> None:
    design, say = rising(pumped), Say(pumped.job.units)
    assert "within 72" in str(power_cut(design, say))
    assert "but it still rises" in str(power_cut(design, say))
    assert str(storm_blocks(design)).count("but still rises") == len(KEYS)


def test_the_terminal_says_it(pumped: Design) -> None:
    page = io.StringIO()
    _show_storm(Console(file=page, width=200), rising(pumped))
    assert page.getvalue().count("rising") == len(KEYS)


def test_the_storm_s_table_fits_eighty_letters(pumped: Design) -> None:
    """No cell and no head is cut, also where the house has no drain of the system."""
    alone = replace(case_of(pumped).storm.cases[0], highest_at_house=None, house_dry=False)
    test = replace(pumped.storm, cases=(*pumped.storm.cases, alone))
    page = io.StringIO()
    _show_storm(Console(file=page, width=80), replace(pumped, storm=test))
    table = page.getvalue().partition("Outside:")[0]
    assert "…" not in page.getvalue()
    assert table.count(" gal\n") + table.count(" gal \n") == len(test.cases)
    assert "wet, from the" in page.getvalue()


def test_the_table_says_which_cases_ran_on(pumped: Design) -> None:
    """Starts of three days do not stand beside those of ten hours without a word."""
    first, *others = pumped.storm.cases
    sound = replace(first, times=first.times * (10 * HOUR / first.ended))
    ran = [replace(case, times=case.times * (72 * HOUR / case.ended), pump_starts=5) for case in others]
    design = replace(pumped, storm=replace(pumped.storm, cases=(sound, *ran)))
    page = io.StringIO()
    _show_storm(Console(file=page, width=400), design)
    said = "run on without rain, to 72.0 h (everything working: 10.0 h)"
    assert said in page.getvalue()
    assert said in str(storm_blocks(design))


def test_the_schemes_count_it_as_a_risk(pumped: Design) -> None:
    figures = compared(rising(pumped))
    assert len(figures.rising) == len(KEYS)
    assert figures.wet == 0
    assert f"in {len(KEYS)} it still rises after 72.0 h" in _failing_words(figures, "US")
    assert _failing_value(figures) > len(KEYS)
    rows = {row.name: row for row in _failures([figures])}
    assert rows["Pump dead"].cells == ("not within 72.0 h; still rising",)
    assert rows["Pump dead"].bad == (True,)
