"""Fifty people at once at the office on this machine: errors, and how long reads, saves and answers take, printed.

Run: ``python -m benchmarks.fifty_users [seconds] [people]``. The app runs in a process of its own. Each person has a
job, reads its pages, saves, and now and then asks for an answer that must be designed anew. Times are those of this
machine and of what else it did just then.
"""

from __future__ import annotations

import asyncio
import collections
import os
import platform
import random
import socket
import statistics
import subprocess
import sys
import tempfile
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import httpx

from drainwright.office.store.jobs import open_job
from drainwright.office.store.opening import open_store
from drainwright.office.who import person_here

JOB = Path(__file__).resolve().parents[1] / "examples" / "soak-lot" / "job.yaml"
SECONDS, PEOPLE = 60.0, 50
THINK = (0.5, 2.0)  # from one thing that a person does to the next [s]
SHARES = (("read", 0.75), ("save", 0.20), ("answer", 0.05))
READS = ("", "/facts", "/facts/walls", "/history", "/yard", "/dig")
PATIENCE = 120.0  # [s]


@contextmanager
def served(store: str) -> Iterator[str]:
    """The office in a process of its own: its address."""
    with socket.create_server(("127.0.0.1", 0)) as free:
        port = free.getsockname()[1]
    command = [sys.executable, "-c", "from drainwright.cli import main; main()", "serve", "--store", store]
    running = subprocess.Popen(
        [*command, "--no-open", "--port", str(port)], stdout=subprocess.DEVNULL, stderr=subprocess.STDOUT
    )
    address = f"http://127.0.0.1:{port}"
    try:
        for _ in range(300):
            try:
                if httpx.get(f"{address}/yard", timeout=2.0).status_code == 200:
                    break
            except httpx.HTTPError:
                time.sleep(0.2)
        yield address
    finally:
        running.terminate()
        running.wait(20)


class Times:
    """What came of it, by kind."""

    def __init__(self) -> None:
        self.good: dict[str, list[float]] = collections.defaultdict(list)
        self.bad: collections.Counter[str] = collections.Counter()

    def rows(self) -> list[str]:
        """A row for each kind."""
        found = []
        for kind, _ in SHARES:
            times = sorted(self.good[kind])
            if times:
                late = times[min(len(times) - 1, int(0.95 * len(times)))]
                middle = statistics.median(times)
                found.append(f"{kind:8} {len(times):6d}   p50 {1e3 * middle:7.0f} ms   p95 {1e3 * late:7.0f} ms")
        errors = ", ".join(f"{count} of {words}" for words, count in self.bad.most_common())
        return [*found, f"errors   {sum(self.bad.values()):6d}   {errors}"]


async def person(address: str, job: str, number: int, until: float, times: Times) -> None:
    """One person at work until the end."""
    chance = random.Random(number)
    async with httpx.AsyncClient(base_url=address, timeout=PATIENCE, headers={"accept": "text/html"}) as client:
        token = (await client.get("/api/v1/form-token")).json()["form_token"]
        saves = 0
        while time.monotonic() < until:
            await asyncio.sleep(chance.uniform(*THINK))
            kind = chance.choices([name for name, _ in SHARES], [share for _, share in SHARES])[0]
            began = time.monotonic()
            try:
                if kind == "read":
                    reply = await client.get(f"/jobs/{job}{chance.choice(READS)}")
                elif kind == "save":
                    saves += 1
                    edit = {
                        "id": f"{number}-{saves}-{os.getpid()}", "path": "notes", "value": f"note {saves} of {number}",
                        "was": f"note {saves - 1} of {number}" if saves > 1 else None,
                    }  # fmt: skip
                    reply = await client.post(
                        f"/api/v1/jobs/{job}/operations", json={"operations": [edit]}, headers={"x-form-token": token}
                    )
                else:
                    width = f"{chance.randint(200, 400)} ft2"  # a state that nobody has asked for
                    draft = {
                        "base": 1,
                        "operations": [{"id": f"d{time.monotonic_ns()}", "path": "roofs[0].area", "value": width}],
                    }
                    reply = await client.post(
                        f"/api/v1/jobs/{job}/plan/draft", json=draft, headers={"x-form-token": token}
                    )
            except httpx.HTTPError as error:
                times.bad[f"{kind}: {type(error).__name__}"] += 1
                continue
            told = reply.text if reply.status_code == 200 else ""
            if reply.status_code != 200 or '"state":"refused"' in told or '"state":"conflict"' in told:
                times.bad[f"{kind}: {reply.status_code}"] += 1
            else:
                times.good[kind].append(time.monotonic() - began)


async def at_work(address: str, jobs: list[str], seconds: float, times: Times) -> None:
    """All of them at once."""
    until = time.monotonic() + seconds
    await asyncio.gather(*(person(address, job, number, until, times) for number, job in enumerate(jobs)))


def main(seconds: float, people: int) -> None:
    """Open the office, let them in, print what came of it."""
    with tempfile.TemporaryDirectory() as scratch:
        url = f"sqlite:///{scratch}/store.sqlite"
        store = open_store(url)
        who, text = person_here(store), JOB.read_text(encoding="utf-8")
        jobs = [open_job(store, who.firm, text, who.name).id for _ in range(people)]
        store.close()
        with served(url) as address:
            httpx.get(f"{address}/jobs/{jobs[0]}", timeout=600.0)  # the first design of a process compiles
            times = Times()
            load = os.getloadavg()[0]
            asyncio.run(at_work(address, jobs, seconds, times))
    print(f"{people} people, {seconds:g} s, {platform.machine()}, {os.cpu_count()} cores, load before {load:.1f}")
    print("\n".join(times.rows()))


if __name__ == "__main__":
    given = [float(one) for one in sys.argv[1:3]]
    main(given[0] if given else SECONDS, int(given[1]) if len(given) > 1 else PEOPLE)
