"""The worksheet: what it records, that it changes nothing, and that the printed expression is the computed one."""

from __future__ import annotations

import importlib
import json
import pkgutil
import re
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from hypothesis import given, reject, settings
from hypothesis import strategies as st

import drainwright
from drainwright.errors import InputError
from drainwright.hydraulics.openflow import full_flow, manning_velocity, normal_depth, part_full_flow
from drainwright.sources import SOURCES, cite
from drainwright.worksheet import (
    CATALOGUE,
    EXPRESSION_NAMES,
    Card,
    Step,
    catalogued,
    number_text,
    place,
    plain,
    quiet,
    step_to_dict,
    substituted,
    worksheet,
)


def _fill_catalogue() -> None:
    """Import every module that catalogues a formula."""
    for module in pkgutil.walk_packages(drainwright.__path__, "drainwright."):
        spec = module.module_finder.find_spec(module.name, None)
        if spec is not None and spec.origin is not None and "@catalogued(" in Path(spec.origin).read_text():
            importlib.import_module(module.name)


_fill_catalogue()
FORMULAS = sorted(name for name, entry in CATALOGUE.items() if entry.card.expression_kind == "formula")
PROCEDURES = sorted(set(CATALOGUE) - set(FORMULAS))

#: The formulas of hydraulics that no single expression can say; a new one must be added here on purpose.
HYDRAULIC_PROCEDURES = [
    "hydraulics.access_hole.access_hole",
    "hydraulics.access_hole.junction_rise",
    "hydraulics.drainspacing.equivalent_depth",
    "hydraulics.drainspacing.glover_midpoint",
    "hydraulics.drainspacing.glover_volume",
    "hydraulics.drainspacing.hooghoudt_spacing",
    "hydraulics.energy.critical_depth",
    "hydraulics.filters.filter_d15_most",
    "hydraulics.fittings.total_length_ratio",
    "hydraulics.fittings.total_loss_coefficient",
    "hydraulics.force_main.main_flows",
    "hydraulics.geotextile.fabric_opening_most",
    "hydraulics.inlets.curb_opening_capacity",
    "hydraulics.junctions.junction_coefficient",
    "hydraulics.line_surface.line_surface",
    "hydraulics.mounding.mound_rise",
    "hydraulics.openflow.normal_depth",
    "hydraulics.pressure.friction_factor",
    "hydraulics.profile.direct_step",
    "hydraulics.profile.pipe_profile",
    "hydraulics.pump.operating_point",
    "hydraulics.pump.operating_point_parallel",
    "hydraulics.watertable.half_fall_time",
    "hydraulics.watertable.lowering_share",
]


def printed_value(card: Card, inputs: dict[str, float]) -> float:
    return float(eval(card.expression, {"__builtins__": {}}, {**EXPRESSION_NAMES, **inputs}))


@pytest.mark.parametrize("name", FORMULAS)
@settings(max_examples=25, deadline=None)
@given(data=st.data())
def test_printed_expression_is_the_computed_one(name: str, data: st.DataObject) -> None:
    card, formula = CATALOGUE[name]
    inputs = {
        key: data.draw(st.floats(*card.trial.get(key, (0.01, 1.0))), label=key) for key in card.units if key != "result"
    }
    try:
        result = formula(**inputs)
    except InputError:
        reject()
    assert printed_value(card, inputs) == pytest.approx(result, rel=1e-9, abs=1e-12)


def test_a_wrong_expression_would_be_caught() -> None:
    card, formula = CATALOGUE["hydraulics.openflow.manning_velocity"]
    wrong = card.expression.replace("2 / 3", "2 / 5")
    inputs = {"hydraulic_radius": 0.05, "slope": 0.01, "roughness": 0.009}
    assert wrong != card.expression
    told = eval(wrong, {"__builtins__": {}}, {**EXPRESSION_NAMES, **inputs})
    assert told != pytest.approx(formula(**inputs), rel=1e-3)


def test_procedures_of_hydraulics_are_few_and_known() -> None:
    assert [name for name in PROCEDURES if name.startswith("hydraulics.")] == HYDRAULIC_PROCEDURES
    assert len(HYDRAULIC_PROCEDURES) < 0.3 * sum(name.startswith("hydraulics.") for name in CATALOGUE)


@pytest.mark.parametrize("name", PROCEDURES)
def test_a_procedure_says_its_method_in_words(name: str) -> None:
    assert len(CATALOGUE[name].card.expression.split()) >= 5


@pytest.mark.parametrize("name", CATALOGUE)
def test_every_card_is_whole(name: str) -> None:
    card, formula = CATALOGUE[name]
    assert card.title
    assert card.symbol
    assert card.source in SOURCES
    assert set(card.trial) <= set(card.units) - {"result"}
    assert formula.__doc__


def test_a_step_says_formula_inputs_result_place_and_note() -> None:
    with worksheet() as steps, place("runs.FD1", "design storm"):
        speed = manning_velocity(0.0254, 0.01, roughness=0.009)
    (step,) = steps
    assert step.formula == "hydraulics.openflow.manning_velocity"
    assert step.inputs == {"hydraulic_radius": 0.0254, "slope": 0.01, "roughness": 0.009}
    assert step.result == speed
    assert (step.place, step.note) == ("runs.FD1", "design storm")


def test_places_nest_and_end() -> None:
    with worksheet() as steps:
        with place("runs.A"):
            with place("runs.B"):
                full_flow(0.1, 0.01, 0.01)
            full_flow(0.1, 0.01, 0.01)
        full_flow(0.1, 0.01, 0.01)
    assert [step.place for step in steps] == ["runs.B", "runs.A", ""]


def test_results_do_not_depend_on_recording() -> None:
    bare = normal_depth(0.004, 0.1, 0.01, 0.009)
    with worksheet():
        recorded = normal_depth(0.004, 0.1, 0.01, 0.009)
    assert bare == recorded


def test_solvers_do_not_flood_the_sheet() -> None:
    with worksheet() as steps:
        normal_depth(0.004, 0.1, 0.01, 0.009)
    assert [step.formula for step in steps] == ["hydraulics.openflow.normal_depth"]


def test_quiet_suspends_and_resumes() -> None:
    with worksheet() as steps:
        with quiet():
            full_flow(0.1, 0.01, 0.01)
        full_flow(0.2, 0.01, 0.01)
    assert [step.inputs["diameter"] for step in steps] == [0.2]


def test_a_worksheet_inside_another_records_alone() -> None:
    with worksheet() as outer:
        with worksheet() as inner:
            full_flow(0.1, 0.01, 0.01)
        full_flow(0.2, 0.01, 0.01)
    assert len(inner) == len(outer) == 1


def test_stopped_here() -> None:
    with worksheet() as steps, pytest.raises(InputError):
        full_flow(-0.1, 0.01, 0.01)
    (step,) = steps
    assert step.result is None
    assert step.note.startswith("stopped here: diameter = -0.1")
    assert substituted(step).endswith("stopped")


def test_a_call_with_missing_arguments_still_raises_its_own_error() -> None:
    with worksheet() as steps, pytest.raises(TypeError, match="missing"):
        full_flow(diameter=0.1)  # type: ignore[call-arg]
    assert steps[0].inputs == {"diameter": 0.1}


def test_arrays_are_summarised() -> None:
    with worksheet() as steps:
        part_full_flow(np.linspace(0.0, 0.1, 11), 0.1, 0.01, 0.009)
    assert steps[0].inputs["depth"] == {"size": 11, "min": 0.0, "max": 0.1}
    assert isinstance(steps[0].result, dict)


def test_steps_are_plain_data() -> None:
    with worksheet() as steps:
        part_full_flow(np.linspace(0.0, 0.1, 11), 0.1, 0.01, 0.009)
        manning_velocity(np.float64(0.02), np.array(0.01), 0.009)
    for step in steps:
        assert json.loads(json.dumps(step_to_dict(step))) == step_to_dict(step)
    assert step_to_dict(steps[1])["citation"] == cite("manning_1891")


def test_steps_are_frozen() -> None:
    with worksheet() as steps:
        full_flow(0.1, 0.01, 0.01)
    with pytest.raises(AttributeError):
        steps[0].place = "elsewhere"  # type: ignore[misc]


def test_substituted_line() -> None:
    with worksheet() as steps:
        full_flow(0.1, 0.01, 0.01)
    assert substituted(steps[0]) == (
        "Q_full = pi / 4^(5 / 3) × (0.1 m)^(8 / 3) × sqrt(0.01) / (0.01 s/m^(1/3)) = 0.006715 m³/s"
    )


def test_substituted_line_of_a_procedure_names_its_inputs() -> None:
    with worksheet() as steps:
        normal_depth(0.004, 0.1, 0.01, 0.009)
    assert "flow = 0.004 m³/s" in substituted(steps[0])
    assert substituted(steps[0]).endswith("= 0.05212 m")


@pytest.mark.parametrize(
    ("value", "text"),
    [
        (3, "3"),
        (40.0, "40"),
        (0.0123456, "0.01235"),
        (True, "True"),
        (None, "none"),
        ("a word", "a word"),
        ({"size": 3, "min": 0.1, "max": 2.0}, "0.1 to 2 (3 values)"),
        ([1.5, 2.0], "[1.5, 2]"),
        ({"flow": 0.1}, "flow 0.1"),
        ({"static_head": 1.5, "method": "hazen_williams"}, "static head 1.5; method hazen williams"),
        (float("-inf"), "none"),
        (20530.4, "20530"),
        (3.15576e8, "3.156e+08"),
    ],
)
def test_numbers_as_printed(value: Any, text: str) -> None:
    assert number_text(value) == text


def test_money_and_long_times_are_legible_and_small_fields_stay() -> None:
    """A storm's record has times of 1e8 s beside rain of 1e-5 m/s: rain is no rounding noise of the time."""
    card = Card(
        title="Deposit", symbol="D", expression="by total and wait", expression_kind="procedure",
        source="common_practice", units={"total": "currency", "wait": "s", "storm": "-", "result": "s"},
    )  # fmt: skip
    inputs = {"total": 24501.87, "wait": 3.15576e8, "storm": {"return_period": 7.9e8, "intensity": 4.6e-5}}
    said = substituted(Step(formula="deposit", card=card, inputs=inputs, result=15000.0, place="", note=""))
    assert "total = 24,501.87 currency" in said
    assert "wait = 3.156e+08 s (10 years)" in said
    assert "intensity 4.6e-05" in said
    assert said.endswith("D = 15000 s (4.17 h)")


@pytest.mark.parametrize(
    ("value", "expected"),
    [
        (np.array([]), {"size": 0}),
        (np.array([1.5]), 1.5),
        (tuple(range(20)), {"size": 20, "min": 0, "max": 19}),
        (("a", 1), ["a", 1]),
        (len, "len"),
        ({"ell90": 2}, {"ell90": 2}),
    ],
)
def test_plain(value: object, expected: object) -> None:
    assert plain(value) == expected


def _card(**changes: Any) -> Card:
    fields: dict[str, Any] = {
        "title": "Twice",
        "symbol": "y",
        "expression": "2 * x",
        "units": {"x": "m", "result": "m"},
        "source": "geometry",
    }
    return Card(**{**fields, **changes})


def test_a_card_must_name_every_argument() -> None:
    with pytest.raises(TypeError, match="unit for each argument"):
        catalogued(_card(units={"y": "m", "result": "m"}))(lambda x: 2 * x)


def test_a_card_must_cite_a_known_source() -> None:
    with pytest.raises(InputError, match="did you mean 'geometry'"):
        catalogued(_card(source="geometri"))(lambda x: 2 * x)


def test_names_are_given_once() -> None:
    with pytest.raises(TypeError, match="already"):
        catalogued(_card(units=CATALOGUE["hydraulics.openflow.full_flow"].card.units))(full_flow)


def test_cite_marks_what_was_not_looked_up() -> None:
    assert cite("manning_1891").endswith("[from memory]")
    assert "[" not in cite("hds2")
    assert cite("common_practice") == "Common practice of the trade, no source"


def test_every_source_is_well_formed() -> None:
    for key, source in SOURCES.items():
        assert key == source.key
        assert key.replace("_", "").isalnum()
        assert key == key.lower()
        assert source.seen in ("seen", "from memory", "common practice, no source")
        assert source.title


def test_every_source_is_cited_somewhere() -> None:
    """A source that no formula, check or figure names would never reach a paper."""
    folder = Path(drainwright.__file__).parent
    texts = [path.read_text(encoding="utf-8") for end in ("py", "json") for path in folder.rglob(f"*.{end}")
             if path.name != "sources.py"]  # fmt: skip
    named = {key for text in texts for key in re.findall(r"\"(\w+)\"", text)}
    assert sorted(set(SOURCES) - named) == []


def _difference(unit: str, upper: float, lower: float) -> str:
    card = Card(
        title="Difference", symbol="d", expression="upper - lower", source="common_practice",
        units={"upper": unit, "lower": unit, "result": unit},
    )  # fmt: skip
    inputs: dict[str, Any] = {"upper": upper, "lower": lower}
    return substituted(Step(formula="d", card=card, inputs=inputs, result=upper - lower, place="", note=""))


@pytest.mark.parametrize(
    ("unit", "upper", "lower", "printed"),
    [
        ("m", 0.1 + 0.2, 0.3, "d = (0.3 m) - (0.3 m) = 0 m"),  # 5.6e-17 m is left
        ("m", 7.932e-16, 0.0, "d = (0 m) - (0 m) = 0 m"),
        ("m/s", 0.1 + 0.2, 0.3, "d = (0.3 m/s) - (0.3 m/s) = 0 m/s"),
        ("m/s", 3e-15, 1e-15, "d = (3e-15 m/s) - (1e-15 m/s) = 2e-15 m/s"),  # beside nothing larger it is a value
        ("m", 2e-6, 0.0, "d = (2e-06 m) - (0 m) = 2e-06 m"),
    ],
)
def test_what_rounding_leaves_prints_as_zero(unit: str, upper: float, lower: float, printed: str) -> None:
    assert _difference(unit, upper, lower) == printed


@pytest.mark.parametrize("name", sorted(CATALOGUE))
def test_docstring_names_its_source(name: str) -> None:
    from drainwright.sources import cite

    card, formula = CATALOGUE[name]
    text = formula.__doc__ or ""
    assert text.count("    References\n") == 1
    own = text.split("    References\n")[1].removeprefix("    ----------\n").strip()
    assert own.startswith(cite(card.source)) or len(own) > 20
