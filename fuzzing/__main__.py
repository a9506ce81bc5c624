"""Fuzz everything that reads from outside: ``python -m fuzzing --minutes 60``; prints a table, exits 1 on a fault."""

from __future__ import annotations

import argparse
import random
import re
import subprocess
import sys
import time
import traceback
from dataclasses import dataclass
from pathlib import Path

from fuzzing.listing import TARGETS

JOBS, API = "whole-jobs", "api"  # by Hypothesis
HEAVY = 4  # what these take of the time beside a reader's one share


@dataclass(frozen=True, slots=True, kw_only=True)
class Outcome:
    """What became of a target."""

    name: str
    tried: int
    places: int | None  # edges of the program that were reached, by the guided fuzzer
    seconds: float
    fault: str = ""


def guided(name: str, seconds: int, out: Path) -> Outcome:
    """A reader in a process of its own."""
    begun = time.monotonic()
    command = [sys.executable, "-m", "fuzzing.guided", name, str(seconds), str(out)]
    run = subprocess.run(command, capture_output=True, text=True, errors="replace", check=False)
    said = run.stdout + run.stderr
    (out / f"{name}.log").write_text(said, "utf-8")
    tried = re.search(r"stat::number_of_executed_units:\s+(\d+)", said)
    places = [int(count) for count in re.findall(r"\bcov: (\d+)", said)]
    fault = ""
    if run.returncode or tried is None:
        kept = sorted(path.name for path in (out / "faults" / name).glob("*"))
        fault = f"exit code {run.returncode}; {', '.join(kept) or 'nothing kept'}; see {out / f'{name}.log'}"
    return Outcome(
        name=name, tried=int(tried.group(1)) if tried else 0, places=max(places, default=None),
        seconds=time.monotonic() - begun, fault=fault,
    )  # fmt: skip


def whole_jobs(seconds: int, out: Path, seed: int) -> Outcome:
    """Changed jobs, to a first answer."""
    from fuzzing.jobs import fuzz

    begun, fault, tried = time.monotonic(), "", 0
    try:
        tried, came = fuzz(seconds, out, seed)
        print(f"{JOBS}: {came} of {tried} came to an answer, the others were refused", flush=True)
    except Exception as error:
        (out / f"{JOBS}.log").write_text(traceback.format_exc(), "utf-8")
        fault = f"{type(error).__name__}; see {out / f'{JOBS}.log'}"
    return Outcome(name=JOBS, tried=tried, places=None, seconds=time.monotonic() - begun, fault=fault)


def api(seconds: int, out: Path, seed: int) -> Outcome:
    """Odd requests to every operation."""
    from fuzzing.api import fuzz

    begun, fault, tried = time.monotonic(), "", 0
    try:
        tried = fuzz(seconds, seed)
    except BaseException as error:  # a group of failures is none of Exception
        if isinstance(error, KeyboardInterrupt):
            raise
        (out / f"{API}.log").write_text(traceback.format_exc(), "utf-8")
        fault = f"{type(error).__name__}; see {out / f'{API}.log'}"
    return Outcome(name=API, tried=tried, places=None, seconds=time.monotonic() - begun, fault=fault)


def main() -> None:
    """Run what is asked, print the table."""
    names = [*TARGETS, JOBS, API]
    asks = argparse.ArgumentParser(prog="fuzzing", description=__doc__)
    asks.add_argument("--minutes", type=float, default=60.0, help="for all targets together (default 60)")
    asks.add_argument("--only", nargs="*", choices=names, default=names, help="these targets alone")
    asks.add_argument("--to", type=Path, default=Path("out/fuzz"), help="for corpora, logs and what fails")
    asks.add_argument("--seed", type=int, help="of what Hypothesis draws (default: by chance, and printed)")
    asked = asks.parse_args()
    seed = random.randrange(2**31) if asked.seed is None else asked.seed
    asked.to.mkdir(parents=True, exist_ok=True)
    shares = {name: HEAVY if name in (JOBS, API) else 1 for name in asked.only}
    share = asked.minutes * 60 / sum(shares.values())
    print(f"seed {seed}; {share:.0f} s for a reader, {HEAVY} times that for whole jobs and the API", flush=True)
    found = []
    for name in asked.only:
        seconds = max(1, round(share * shares[name]))
        if name == JOBS:
            one = whole_jobs(seconds, asked.to, seed)
        elif name == API:
            one = api(seconds, asked.to, seed)
        else:
            one = guided(name, seconds, asked.to)
        found.append(one)
        places = "" if one.places is None else f"{one.places:,} places reached"
        print(
            f"{one.name:14} {one.tried:>10,} tried  {one.seconds:6.0f} s  {places:22} {one.fault or 'no fault'}",
            flush=True,
        )
    whole = sum(one.seconds for one in found) / 60
    faults = sum(bool(one.fault) for one in found)
    print(f"{sum(one.tried for one in found):,} tried in {whole:.1f} min; targets with a fault: {faults}")
    raise SystemExit(1 if faults else 0)


if __name__ == "__main__":
    main()
