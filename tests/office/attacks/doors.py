"""Every address that the app answers, found from the app itself, so that none can be forgotten; and what to send."""

from __future__ import annotations

import itertools
import re
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from fastapi import FastAPI

SAFE = {"GET", "HEAD", "OPTIONS"}


@dataclass(frozen=True)
class Door:
    """One method of one address."""

    method: str
    path: str  # with {names}

    @property
    def names(self) -> list[str]:
        return re.findall(r"\{(\w+)(?::\w+)?\}", self.path)

    def at(self, values: Mapping[str, str]) -> str:
        return re.sub(r"\{(\w+)(?::\w+)?\}", lambda found: values[found[1]], self.path)

    @property
    def unsafe(self) -> bool:
        return self.method not in SAFE


def doors(app: FastAPI) -> list[Door]:
    """All of them."""
    found = {Door(method, path) for path, methods in _routes(app.routes) for method in methods if method != "HEAD"}
    return sorted(found, key=lambda door: (door.path, door.method))


def _routes(routes: Iterable[Any]) -> Iterator[tuple[str, set[str]]]:
    for route in routes:
        if hasattr(route, "effective_candidates"):
            yield from _routes(route.effective_candidates())
        else:
            yield route.path, set(route.methods or ())


def fillings(door: Door, ids: Mapping[str, str]) -> Iterator[dict[str, str]]:
    """The names of an address filled in: with the ids that their places ask for, and where that is not told, all."""
    known = {
        "job": [ids["job"]], "number": ["1"], "token": [ids["token"]], "key": ["sound"], "name": ["plan.svg", "plan"],
        "kind": ["price-book", "pumps", "pipes"],
    }  # fmt: skip
    choices = []
    for name in door.names:
        before = door.path.split("{" + name)[0].rstrip("/").rpartition("/")[2]
        meant = {"jobs": "job", "attachments": "attachment", "links": "link", "books": "book", "customers": "customer",
                 "service": "reminder", "people": "person"}  # fmt: skip
        if name in known:
            choices.append(known[name])
        elif before in meant:
            choices.append([ids[meant[before]]])
        else:
            choices.append(sorted(set(ids.values())))
    for values in itertools.product(*choices):
        yield dict(zip(door.names, values, strict=True))


def body_of(app: FastAPI, door: Door) -> dict[str, Any]:
    """What to send so that a door is not refused before it looks at what it is asked for."""
    told = app.openapi()["paths"].get(door.path, {}).get(door.method.lower(), {})
    content = told.get("requestBody", {}).get("content", {})
    params = {one["name"]: "1" for one in told.get("parameters", ()) if one["in"] == "query" and one.get("required")}
    if "application/json" in content:
        schema = content["application/json"]["schema"]
        return {"json": _made(schema, app.openapi()["components"]["schemas"]), "params": params}
    if content:
        return {"content": b"a,b\n1,2\n", "params": params}
    form = {
        "base": "1", "number": "1", "text": "title: Taken over\n", "what": "taken", "stage": "serviced",
        "role": "crew", "active": "no", "archived": "yes", "customer": "", "note": "taken", "days": "1", "old": "x",
        "name": "Taken",
        "due": "2027-01-01", "by": "Taken", "email": "taken@example.org", "address": "taken", "phone": "1",
    }  # fmt: skip
    return {"data": form}


def _made(schema: dict[str, Any], known: dict[str, Any]) -> Any:
    if "$ref" in schema:
        return _made(known[schema["$ref"].rpartition("/")[2]], known)
    if "default" in schema and not schema.get("required"):
        return schema["default"]
    if "enum" in schema:
        return schema["enum"][-1]
    if "anyOf" in schema:
        return _made(schema["anyOf"][0], known)
    kind = schema.get("type")
    if kind == "object":
        if "properties" not in schema:
            return {"title": "Taken over"} if schema.get("minProperties") else {}
        return {name: _made(part, known) for name, part in schema["properties"].items()}
    if kind == "array":
        return [_made(schema["items"], known)]
    if kind == "string":
        return {"date": "2027-01-01"}.get(schema.get("format", ""), "title")
    return {"integer": 1, "number": 1.0, "boolean": True}.get(kind or "", "taken")
