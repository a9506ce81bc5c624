"""Pages of the published checks: what each source says, what came, and how far apart, from the record of the tests."""

from __future__ import annotations

import json
import re
from collections import defaultdict
from collections.abc import Sequence
from pathlib import Path
from typing import Any

from docs.making.marks import cell, plain, table

HEAD = """# Published checks

What handbooks, standards, worked examples, open data and general libraries say, beside what Drainwright finds. These
pages are written from the tests of `tests/published` as they ran: nothing here was typed by hand. Numbers stand in the
units that the test's own words name. "Allowed" is what the test lets the two differ, at that pair of numbers: mostly
half of the last printed digit. How each source was seen, in its text or from memory, is said on its page.

{summary}

"""
EXACT = 5e-13
#: Published figures that were looked at and have no test, each with the reason.
NOT_TESTED = (
    (
        "US Weather Bureau TP-40 (1961): 5, 10, 15 and 30 min as shares of the hour's depth (0.29, 0.45, 0.57, "
        "0.79), from memory",
        "No ratio is used: depths are read between the rows of the place's own table, and no farther down than "
        "half of its shortest row.",
    ),
    (
        "NEH 630 ch. 16, Table 16-1: dimensionless unit hydrograph and mass curve",
        "There is no unit hydrograph: a yard's water in the storm is a plane's, stepped in time.",
    ),
    (
        "HEC-22, 3rd ed., ch. 4: grate in a sag, 6.71 cfs, perimeter 8.66 ft, from memory",
        "The printed inputs are not all known: by the depth at the curb (0.05 x 9.84 ft) the weir formula asks "
        "6.5 ft, so the example takes another depth, which was not seen. The formula itself is tested by TxDOT's "
        "constants and by Merritt.",
    ),
    (
        "Brigham Young University CE 544: confined well, hw 31.926 m",
        "Nothing here draws on a confined layer by a well: drains, slots and soakaways in open ground are all "
        "there is.",
    ),
    (
        "HDS-2 Examples 8.1 and 8.3: detention by depth of runoff, by triangles, and by the SCS curve",
        "No storage is sized by these shortcuts: soakaways and basins are filled and emptied in time (HDS-2 "
        "Example 8.8 and the routing examples are tested).",
    ),
    (
        "Sturm Example 2.5: the same weir under tailwater, 23.5 cfs",
        "No weir is reckoned drowned: a grate or overflow that stands in its own backwater is a joint of two "
        "water levels in the storm test.",
    ),
    (
        "TM 5-818-5 ch. 4: inflow greater at the ends of a slot, first pumping some 30 % above the steady flow",
        "Statements without a worked figure. The page of limits says that corners of the house draw more than the"
        " section says.",
    ),
    (
        "29 CFR 1926.651: guardrail on walkways over 6 ft, shield 18 in above a sloped part, digging 2 ft below a"
        " shield, air tests",
        "Rules for people at the hole, which no figure of the design decides. Depths, slopes, ladders and spoil "
        "are tested.",
    ),
    (
        "Fittings by other tables: a 1-1/2 in elbow from 2.0 to 8.0 ft",
        "Told as the real doubt: a factor of two between tables. The table taken is tested.",
    ),
)


def pages(record: Path) -> dict[str, str]:
    """Markdown by file name: the list of all sources, and a page for each.

    Parameters
    ----------
    record : Path
        What ``docs.making.comparisons`` wrote.
    """
    told = json.loads(record.read_text(encoding="utf-8"))
    by_file: dict[str, list[dict[str, Any]]] = defaultdict(list)
    for trial in told["trials"]:
        by_file[trial["file"]].append(trial)
    made = {}
    rows = []
    for file in sorted(by_file, key=lambda file: _title(told["sources"][file], file).lower()):
        says, trials = told["sources"][file], by_file[file]
        stem = Path(file).stem.removeprefix("test_")
        made[f"published/{stem}.md"] = _page(file, says, trials)
        rows.append((f"[{_title(says, file)}](published/{stem}.md)", *_counts(trials)))
    flat = [one for trials in by_file.values() for one in trials]
    pairs = sum(one["pairs"] for trial in flat for one in trial["comparisons"])
    failed = [trial for trial in flat if trial["outcome"] == "failed"]
    skipped = [trial for trial in flat if trial["outcome"] == "skipped"]
    summary = (
        f"**{len(by_file)} sources, {len(flat)} tests, {pairs} pairs of numbers: {len(failed)} failed, "
        f"{len(skipped)} were skipped in this run** (the reason stands at each)."
    )
    made["published.md"] = (
        HEAD.format(summary=summary)
        + table(("Source", "Tests", "Pairs", "Farthest apart"), rows, "lrrr")
        + "\n## Looked at and not tested\n\n"
        + table(("Published", "Why no test"), [(cell(what), cell(why)) for what, why in NOT_TESTED], "ll")
        + "\n```{toctree}\n:hidden:\n:glob:\n\npublished/*\n```\n"
    )
    return made


def _title(says: str, file: str) -> str:
    first = re.split(r"\n\s*\n", says.strip())[0] if says.strip() else file
    return cell(first.split("\n")[0].rstrip(".:,"))


def _counts(trials: Sequence[dict[str, Any]]) -> tuple[str, str, str]:
    every = [one for trial in trials for one in trial["comparisons"]]
    worst = max((_apart(one) for one in every), default=None)
    return str(len(trials)), str(sum(one["pairs"] for one in every)), "-" if worst is None else _percent(worst)


def _apart(one: dict[str, Any]) -> float:
    off = abs(one["got"] - one["expected"])
    return float(off / abs(one["expected"]) if one["expected"] else off)


def _percent(share: float) -> str:
    return "none" if share < EXACT else f"{share * 100:.2g} %"


def _number(value: float) -> str:
    return f"{value:.6g}"


def _page(file: str, says: str, trials: Sequence[dict[str, Any]]) -> str:
    out = [f"# {_title(says, file)}", "", plain(says), "", f"`tests/published/{file}`", ""]
    by_name: dict[str, list[dict[str, Any]]] = defaultdict(list)
    for trial in trials:
        by_name[trial["name"]].append(trial)
    for name, cases in by_name.items():
        out += [f"## {name.removeprefix('test_').replace('_', ' ').capitalize()}", "", plain(cases[0]["says"]), ""]
        rows = [
            (
                cell(trial["case"]), _number(one["expected"]), _number(one["got"]), _percent(_apart(one)),
                _number(one["allowed"]), str(one["pairs"]) if one["pairs"] > 1 else "",
            )
            for trial in cases
            for one in trial["comparisons"]
        ]  # fmt: skip
        if rows:
            heads = ("Case", "Published", "Drainwright", "Apart", "Allowed", "Farthest of")
            keep = [n for n in range(len(heads)) if n not in (0, 5) or any(row[n] for row in rows)]
            picked = [tuple(row[n] for n in keep) for row in rows]
            out += [table(tuple(heads[n] for n in keep), picked, "".join("lrrrrr"[n] for n in keep)), ""]
        bare = [trial for trial in cases if not trial["comparisons"]]
        for outcome in sorted({trial["outcome"] for trial in bare}):
            those = [trial for trial in bare if trial["outcome"] == outcome]
            why = f": {those[0]['why']}" if those[0]["why"] else ""
            held = "holds, by order or in words rather than by a number" if outcome == "passed" else outcome
            count = "" if len(those) == 1 else f"{len(those)} cases: "
            out += [f"*{count}{held}{why}.*", ""]
    return "\n".join(out)


__all__ = ["pages"]
