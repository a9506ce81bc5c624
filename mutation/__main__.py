"""Plant faults in a package, drawn by chance from all that cosmic-ray knows, and run the tests against each.

The faults are planted in a copy of the checkout. A fault first meets the tests of its package and of published values
that import the module it is in (where none does, those that import the package as a whole), then, where it lives, all
tests of the package. One that lives through both is a survivor, and is listed; tests of other packages, which may find
it, are not run, so that a score is rather too low.
"""

from __future__ import annotations

import argparse
import math
import os
import random
import re
import resource
import shutil
import subprocess
import sys
import tempfile
import time
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

ROOT = Path(__file__).resolve().parents[1]
PACKAGES = ("hydraulics", "system", "findings")
#: Faults of the kinds that a person makes: another sign, operation, comparison, number, or the other branch.
KINDS = re.compile(
    r"core/(ReplaceBinaryOperator_(Add_Sub|Sub_Add|Mul_Div|Div_Mul|Pow_Mul|Mod_Mul|FloorDiv_Div)"
    r"|ReplaceComparisonOperator_(Lt|LtE|Gt|GtE|Eq|NotEq)_(Lt|LtE|Gt|GtE|Eq|NotEq)"
    r"|ReplaceUnaryOperator_(USub_UAdd|Delete_USub|Delete_Not)|NumberReplacer|ReplaceAndWithOr|ReplaceOrWithAnd"
    r"|AddNot|ReplaceBreakWithContinue|ReplaceContinueWithBreak|ReplaceTrueWithFalse|ReplaceFalseWithTrue)"
)
PATIENCE = 900  # processor time of tests against a fault, which may make them run for ever; a busy machine is none [s]


@dataclass(frozen=True, slots=True, kw_only=True)
class Fault:
    """One fault that can be planted."""

    path: Path  # within the checkout
    operator: str
    occurrence: int
    line: int


def faults(package: str) -> Iterator[Fault]:
    """All faults of a package, in the order of its files."""
    import cosmic_ray.plugins
    from cosmic_ray.ast import ast_nodes, get_ast

    operators = [name for name in cosmic_ray.plugins.operator_names() if KINDS.fullmatch(name)]
    for path in sorted((ROOT / "src" / "drainwright" / package).rglob("*.py")):
        nodes = list(ast_nodes(get_ast(path.read_text("utf-8"))))
        for name in operators:
            operator = cosmic_ray.plugins.get_operator(name)()
            places = [place for node in nodes for place in operator.mutation_positions(node)]
            for occurrence, place in enumerate(places):
                yield Fault(path=path.relative_to(ROOT), operator=name, occurrence=occurrence, line=place[0][0])


def tests_of(path: Path, package: str) -> tuple[list[str], list[str]]:
    """Tests of the package and of published values that import a module, and all of the package."""
    module = ".".join(path.with_suffix("").parts[1:])
    holder, _, last = module.rpartition(".")
    wanted = re.compile(rf"(from|import) {re.escape(module)}\b|from {re.escape(holder)} import .*\b{last}\b")
    near = sorted(one for name in (package, "published") for one in (ROOT / "tests" / name).rglob("test_*.py"))
    whole = re.compile(rf"from drainwright\.{package} import ")
    texts = {one: one.read_text("utf-8") for one in near}
    found = [one for one in near if wanted.search(texts[one])] or [one for one in near if whole.search(texts[one])]
    return [str(one.relative_to(ROOT)) for one in found], [f"tests/{package}"]


def passes(tests: list[str], folder: Path) -> bool:
    """Whether the tests pass in a copy; a run that does not end is one that fails."""
    command = [sys.executable, "-m", "pytest", "-x", "-q", "-p", "no:cacheprovider", "-m", "not slow", *tests]
    environment = {**os.environ, "PYTHONPATH": str(folder / "src"), "PYTHONDONTWRITEBYTECODE": "1"}
    run = subprocess.run(
        command, cwd=folder, env=environment, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL, check=False,
        preexec_fn=lambda: resource.setrlimit(resource.RLIMIT_CPU, (PATIENCE, PATIENCE + 5)),
    )  # fmt: skip
    return run.returncode in (0, 5)  # 5: there was nothing to run


def lives(fault: Fault, package: str, folder: Path) -> bool:
    """Whether no test finds a fault."""
    import cosmic_ray.plugins
    from cosmic_ray.mutating import use_mutation

    operator = cosmic_ray.plugins.get_operator(fault.operator)()
    with use_mutation(folder / fault.path, operator, fault.occurrence) as (_, changed):
        if changed is None:
            raise RuntimeError(f"{fault}: nothing to change")
        own, every = tests_of(fault.path, package)
        return (not own or passes(own, folder)) and passes(every, folder)


def band(found: int, tried: int) -> tuple[float, float]:
    """Wilson's band of 95 in 100 for a share."""
    z, share = 1.96, found / tried
    middle = (share + z * z / (2 * tried)) / (1 + z * z / tried)
    half = z * math.sqrt(share * (1 - share) / tried + z * z / (4 * tried * tried)) / (1 + z * z / tried)
    return middle - half, middle + half


def score(package: str, most: int, seed: int, folder: Path) -> None:
    """Plant faults of a package, print survivors as they are found, then the score."""
    every = list(faults(package))
    drawn = random.Random(seed).sample(every, min(most, len(every)))
    begun, found = time.monotonic(), 0
    for fault in drawn:
        alive = lives(fault, package, folder)
        found += not alive
        if alive:
            told = f"{fault.operator.removeprefix('core/')} {fault.occurrence}"
            print(f"  lives: {fault.path}:{fault.line} {told}", flush=True)
    low, high = band(found, len(drawn))
    print(
        f"{package}: {found} of {len(drawn)} found ({found / len(drawn):.0%}; of all {len(every):,} faults {low:.0%} "
        f"to {high:.0%}), {(time.monotonic() - begun) / 60:.0f} min, seed {seed}",
        flush=True,
    )


def main() -> None:
    """Score what is asked."""
    asks = argparse.ArgumentParser(prog="mutation", description=__doc__)
    asks.add_argument("packages", nargs="*", default=[*PACKAGES], help=f"default: {' '.join(PACKAGES)}")
    asks.add_argument("--most", type=int, default=40, help="faults for each package (default 40)")
    asks.add_argument("--seed", type=int, default=1)
    asked = asks.parse_args()
    with tempfile.TemporaryDirectory(prefix="drainwright-mutation-") as made:
        folder = Path(made) / "checkout"
        leave = shutil.ignore_patterns(".git", ".venv", "node_modules", "out", "__pycache__", "dist")
        shutil.copytree(ROOT, folder, ignore=leave, symlinks=True)
        for package in asked.packages:
            if not passes([f"tests/{package}"], folder):
                raise SystemExit(f"the tests of {package} fail before any fault is planted")
            score(package, asked.most, asked.seed, folder)


if __name__ == "__main__":
    main()
