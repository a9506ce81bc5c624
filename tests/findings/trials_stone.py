"""Trials of the rules of a drain's stone, fabric and pipe."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from drainwright.findings.rules import Case
from drainwright.job.site import Grading
from drainwright.job.values import Basis
from drainwright.job.works import Cloth
from drainwright.system.drain_section import wrapped_flow

from .change import Change, Trial, every, fact, job, put, run

MM = 0.001
AT = "works.runs.FD1"


def section(**values: Any) -> Change:
    """Change the section of FD1; a mapping changes one of its parts, a function is called with the section."""

    def change(case: Case) -> Case:
        here = case.system.sections["FD1"]
        new: dict[str, Any] = {}
        for key, value in values.items():
            if callable(value):
                new[key] = value(here)
            elif isinstance(value, dict):
                new[key] = replace(getattr(here, key), **value)
            else:
                new[key] = value
        return put("system", "sections", to={**case.system.sections, "FD1": replace(here, **new)})(case)

    return change


def stone(d15: float, d85: float = 20.0) -> Change:
    """Stone of so many millimetres."""
    return section(stone={"d15": (d15 * MM, d15 * MM), "d85": (d85 * MM, d85 * MM)})


def cloth(opening: float, permittivity: float | None = 1.0) -> Change:
    """A fabric by its sheet: opening [mm], permittivity [1/s]."""
    sheet = Cloth.model_construct(
        name="fabric", opening=fact(opening * MM), permittivity=None if permittivity is None else fact(permittivity)
    )
    return section(fabric={"given": sheet})


MEASURED = section(soil={"basis": Basis.MEASURED, "plastic": False})
GRADING = job("ground", "grading", to=Grading.model_construct(d15=None, d50=None, d85=fact(0.5 * MM), fines=fact(0.4)))
SLEEVE = section(
    stone=None,
    wrapped=lambda here: replace(wrapped_flow(_wrapped_pipe(), 0.01, 30.0), sleeve_flow=0.0002, pipe_flow=0.003),
)


def _wrapped_pipe() -> Any:
    from drainwright.system.catalogue import find_pipe

    return find_pipe("wrapped 10 in")


TRIALS = (
    Trial("NET-11", "ok", change=every(stone(0.5), run("FD1", fabric=False)), where=AT, says="without a fabric"),
    Trial("BED-01", "ok", change=every(stone(0.5), run("FD1", fabric=False)), where=AT, says="by itself"),
    Trial("BED-01", "ok", change=every(stone(8.0), run("FD1", fabric=True)), where=AT, says="the fabric round it must"),
    Trial("BED-01", "caution", change=every(stone(8.0), run("FD1", fabric=False)), where=AT, says="Wrap the stone"),
    Trial("BED-01", "fails", change=every(MEASURED, stone(8.0), run("FD1", fabric=False)), where=AT),
    Trial("BED-01", None, change=section(stone=None), where=AT),
    Trial("BED-02", "ok", change=stone(5.0), where=AT),
    Trial("BED-02", "fails", change=every(section(d15_least=1.0 * MM), stone(0.9)), where=AT, says="washed"),
    Trial("BED-03", "ok", change=section(fabric={"given": None}), where=AT, says="Ask for"),
    Trial("BED-03", "ok", change=every(section(fabric={"opening_most": 0.25 * MM}), cloth(0.21)), where=AT),
    Trial("BED-03", "caution", change=every(section(fabric={"opening_most": 0.25 * MM}), cloth(0.30)), where=AT),
    Trial("BED-03", "caution", change=cloth(0.10), where=AT, says="clog"),
    Trial("BED-03", "fails", change=every(MEASURED, section(fabric={"opening_most": 0.25 * MM}), cloth(0.3)), where=AT),
    Trial("BED-03", None, change=run("FD1", fabric=False), where=AT),
    Trial("BED-04", "ok", change=section(fabric={"given": None}), where=AT, says="Ask for"),
    Trial("BED-04", "ok", change=cloth(0.21, 0.5), where=AT),
    Trial("BED-04", "caution", change=cloth(0.21, 0.05), where=AT, says="low"),
    Trial("BED-04", "caution", change=every(cloth(0.21, 0.5), section(fabric={"passes": 1e-9})), where=AT),
    Trial("BED-05", "ok", change=section(soil={"fines": 0.84}, fabric={"fits": True}), where=AT),
    Trial("BED-05", "caution", change=section(soil={"fines": 0.86}), where=AT, says="nearly all fines"),
    Trial("BED-05", "caution", change=section(soil={"fines": 0.7}, fabric={"fits": False}), where=AT, says="cling"),
    Trial("BED-05", None, change=every(section(soil={"fines": 0.9}), run("FD1", fabric=False)), where=AT),
    Trial("BED-06", "ok", change=every(GRADING, section(soil={"dispersive": False})), where=AT),
    Trial("BED-06", "fails", change=every(GRADING, section(soil={"dispersive": True})), where=AT, says="suspension"),
    Trial("BED-06", None, change=section(soil={"dispersive": False}), where=AT),
    Trial("BED-07", "ok", change=section(inlets={"ratio": 1.01, "ratio_least": 1.0}), where=AT),
    Trial("BED-07", "fails", change=section(inlets={"ratio": 0.99, "ratio_least": 1.0}), where=AT, says="holes"),
    Trial("BED-07", None, change=section(stone=None), where=AT),
    Trial("BED-08", "ok", change=section(inlets={"peak": 0.001, "capacity_design": 0.0011}), where=AT),
    Trial(
        "BED-08", "caution", where=AT, says="In a storm",
        change=section(inlets={"seepage": 1e-4, "peak": 0.002, "capacity_design": 0.001, "capacity_peak": 0.003}),
    ),
    Trial(
        "BED-08", "fails", where=AT,
        change=section(inlets={"seepage": 1e-4, "peak": 0.004, "capacity_design": 0.001, "capacity_peak": 0.003}),
    ),
    Trial("BED-09", "ok", change=section(inlets={"seepage": 0.01, "area": 0.02, "length": 100.0}), where=AT),
    Trial("BED-09", "caution", change=section(inlets={"seepage": 0.01, "area": 0.002, "length": 100.0}), where=AT),
    Trial("BED-09", None, change=section(inlets={"seepage": 0.0}), where=AT),
    Trial("BED-10", "ok", change=run("FD1", stone_under=0.0508, stone_over=0.16, stone_width=0.61), where=AT),
    Trial("BED-10", "caution", change=run("FD1", stone_under=0.0508, stone_over=0.16, stone_width=0.3), where=AT),
    Trial("BED-10", "fails", change=run("FD1", stone_under=0.02), where=AT, says="Dig"),
    Trial("BED-11", "ok", change=every(SLEEVE, run("FD1", flow=0.0031)), where=AT, says="7 %"),
    Trial("BED-11", "fails", change=every(SLEEVE, run("FD1", flow=0.0033)), where=AT, says="more fall"),
    Trial("BED-11", None, change=section(wrapped=None), where=AT),
    Trial("BED-12", "ok", change=run("FD1", pipe={"family": "D2729"}, grade=0.005), where=AT, says="smooth"),
    Trial("BED-12", "ok", change=run("FD1", pipe={"family": "corrugated single wall"}, grade=0.02), where=AT),
    Trial("BED-12", "caution", change=run("FD1", pipe={"family": "corrugated single wall"}, grade=0.005), where=AT),
)  # fmt: skip
