"""Plants for the stepper's tests: what is not given is absent."""

from __future__ import annotations

from typing import Any

import numpy as np

from drainwright.storm.engine.elimination import elimination
from drainwright.storm.engine.plant import (
    FREE,
    NEVER,
    Forcing,
    Grates,
    Ground,
    Outlets,
    Overland,
    Pipes,
    Plant,
    State,
    Stations,
    Stores,
    Watches,
)
from drainwright.storm.network import conveyance_share

SHARE = conveyance_share()
Table = dict[str, Any]


def _whole(values: Any) -> Any:
    return np.ascontiguousarray(values, np.int64)


def _float(values: Any) -> Any:
    return np.ascontiguousarray(values, np.float64)


def shafts(areas: Any, bottoms: Any, top: float = 20.0) -> tuple[Any, Any]:
    """Stage and storage of straight shafts."""
    stage = np.array([[bottom, bottom + 1.0, bottom + top] for bottom in bottoms])
    return stage, (stage - stage[:, :1]) * np.asarray(areas, float)[:, None]


def plant(
    stage: Any, stored: Any, pipes: Table | None = None, grates: Table | None = None, overland: Table | None = None,
    ground: Table | None = None, outlets: Table | None = None, stations: Table | None = None,
    watches: Table | None = None,
) -> Plant:  # fmt: skip
    """A plant of columns by the names of its records."""
    p, g, o, u = pipes or {}, grates or {}, overland or {}, ground or {}
    t, s, w = outlets or {}, stations or {}, watches or {}
    n, m, k = len(p.get("upper", ())), len(u.get("a", ())), len(s.get("node", ()))
    built = Pipes(
        upper=_whole(p.get("upper", [])), lower=_whole(p.get("lower", [])), z_upper=_float(p.get("z_upper", [])),
        z_lower=_float(p.get("z_lower", [])), diameter=_float(p.get("diameter", np.full(n, 0.1))),
        conveyance=_float(p.get("conveyance", np.full(n, 0.07))), length=_float(p.get("length", np.full(n, 10.0))),
        outfall=_float(p.get("outfall", np.full(n, FREE))), share=SHARE,
    )  # fmt: skip
    grated = Grates(
        pond=_whole(g.get("pond", [])), body=_whole(g.get("body", [])), rim=_float(g.get("rim", [])),
        weir=_float(g.get("weir", [])), orifice=_float(g.get("orifice", [])),
    )  # fmt: skip
    over = Overland(
        source=_whole(o.get("source", [])), target=_whole(o.get("target", [])), crest=_float(o.get("crest", [])),
        width=_float(o.get("width", [])),
    )  # fmt: skip
    seeping = Ground(
        a=_whole(u.get("a", [])), b=_whole(u.get("b", [])), far=_float(u.get("far", np.zeros(m))),
        conductance=_float(u.get("conductance", [])), floor_a=_float(u.get("floor_a", np.full(m, FREE))),
        floor_b=_float(u.get("floor_b", np.full(m, FREE))),
    )  # fmt: skip
    soaking = Outlets(
        node=_whole(t.get("node", [])), low=_float(t.get("low", [])), high=_float(t.get("high", [])),
        flow=_float(t.get("flow", np.zeros((0, 2)))),
    )  # fmt: skip
    lifting = Stations(
        node=_whole(s.get("node", [])), off=_float(s.get("off", [])), on=_float(s.get("on", [])),
        second=_float(s.get("second", np.full(k, NEVER))), low=_float(s.get("low", np.zeros(k))),
        high=_float(s.get("high", np.ones(k))), flow=_float(s.get("flow", np.zeros((k, 1, 3, 2)))),
        shared=_whole(s.get("shared", np.zeros((k, k)))), to=_whole(s.get("to", np.full(k, -1))),
        line=_float(s.get("line", np.zeros(k))), battery=_float(s.get("battery", np.zeros(k))),
    )  # fmt: skip
    pairs = [
        *zip(built.upper, built.lower, strict=True), *zip(grated.pond, grated.body, strict=True),
        *zip(over.source, over.target, strict=True), *zip(seeping.a, seeping.b, strict=True),
        *zip(lifting.node, lifting.to, strict=True),
    ]  # fmt: skip
    return Plant(
        Stores(_float(stage), _float(stored)), built, grated, over, seeping, soaking, lifting,
        Watches(_whole(w.get("node", [])), _float(w.get("level", []))),
        elimination(len(stage), [(int(a), int(b)) for a, b in pairs]),
    )  # fmt: skip


def forcing(edges: Any, inflow: Any = None, entry: Any = None, shift: Any = None, cuts: Any = ()) -> Forcing:
    """What comes from outside; one column a node unless ``entry`` tells."""
    edges = _float(edges)
    inflow = np.zeros((len(edges) - 1, 0)) if inflow is None else _float(inflow)
    entry = range(inflow.shape[1]) if entry is None else entry
    return Forcing(
        edges, _whole(list(entry)), inflow, np.zeros(len(edges) - 1) if shift is None else _float(shift),
        _float(cuts).reshape(-1, 2),
    )  # fmt: skip


def resting(system: Plant, volume: Any, time: float = 0.0, first: float = 1.0) -> State:
    """At rest with these volumes."""
    k = len(system.stations.node)
    return State(
        _float(volume),
        np.zeros(k, np.int64),
        np.zeros(k),
        system.stations.battery.copy(),
        np.array([time, first, NEVER]),
    )  # fmt: skip


def even(flow: float) -> Any:
    """Table of one station: first pump, both (twice), battery (as the first), at any level."""
    return np.array([[[[flow, flow], [2.0 * flow, 2.0 * flow], [flow, flow]]]])
