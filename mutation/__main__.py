"""Plant faults in a package, drawn by chance from all that cosmic-ray knows, and run the tests against each.

The faults are planted in a copy of the checkout. First each file of tests of the package and of published values is run
alone, to learn what lines it reaches and how long it takes. A fault then meets the files that reach its line, those
that import its module first, the quickest first, until a test fails. One that lives through all is a survivor, and is
listed; tests of other packages, which may find it, are not run, so that a score is rather too low.
"""

from __future__ import annotations

import argparse
import math
import os
import random
import re
import shutil
import tempfile
import time
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

from . import forks

ROOT = Path(__file__).resolve().parents[1]
PACKAGES = ("hydraulics", "system", "findings")
#: Faults of the kinds that a person makes: another sign, operation, comparison, number, or the other branch.
KINDS = re.compile(
    r"core/(ReplaceBinaryOperator_(Add_Sub|Sub_Add|Mul_Div|Div_Mul|Pow_Mul|Mod_Mul|FloorDiv_Div)"
    r"|ReplaceComparisonOperator_(Lt|LtE|Gt|GtE|Eq|NotEq)_(Lt|LtE|Gt|GtE|Eq|NotEq)"
    r"|ReplaceUnaryOperator_(USub_UAdd|Delete_USub|Delete_Not)|NumberReplacer|ReplaceAndWithOr|ReplaceOrWithAnd"
    r"|AddNot|ReplaceBreakWithContinue|ReplaceContinueWithBreak|ReplaceTrueWithFalse|ReplaceFalseWithTrue)"
)
PATIENCE = 120  # processor time of one test against a fault, which may make it run for ever; a busy machine is none [s]


@dataclass(frozen=True, slots=True, kw_only=True)
class Fault:
    """One fault that can be planted."""

    path: Path  # within the checkout
    operator: str
    occurrence: int
    line: int


def faults(package: str) -> Iterator[Fault]:
    """All faults of a package in the checkout that is worked in, in the order of its files."""
    import cosmic_ray.plugins
    from cosmic_ray.ast import ast_nodes, get_ast

    operators = [name for name in cosmic_ray.plugins.operator_names() if KINDS.fullmatch(name)]
    for path in sorted(Path("src", "drainwright", package).rglob("*.py")):
        nodes = list(ast_nodes(get_ast(path.read_text("utf-8"))))
        for name in operators:
            operator = cosmic_ray.plugins.get_operator(name)()
            places = [place for node in nodes for place in operator.mutation_positions(node)]
            for occurrence, place in enumerate(places):
                yield Fault(path=path, operator=name, occurrence=occurrence, line=place[0][0])


def changed(fault: Fault) -> tuple[str, str]:
    """The text of a module before and after."""
    import cosmic_ray.plugins
    from cosmic_ray.mutating import mutate_code

    before = fault.path.read_text("utf-8")
    after = mutate_code(before, cosmic_ray.plugins.get_operator(fault.operator)(), fault.occurrence)
    if after is None or after == before:
        raise RuntimeError(f"{fault}: nothing to change")
    return before, after


def lives_with(
    path: Path, before: str, after: str, files: list[forks.TestFile], patience: int
) -> tuple[bool, list[str]]:
    """Whether no test finds another text of a module, and the files of tests that reach where it differs."""
    lines = forks.statement(before, first_changed(before, after))
    reach = [one.path for one in files if lines & one.lines.get(str(path), frozenset())]
    reach.sort(key=lambda one: not imports(Path(one).read_text("utf-8"), path))
    path.write_text(after, "utf-8")
    try:
        return forks.passes(reach, patience), reach
    finally:
        path.write_text(before, "utf-8")


def imports(text: str, path: Path) -> bool:
    """Whether a file of tests imports a module itself."""
    module = ".".join(path.with_suffix("").parts[1:])
    holder, _, last = module.rpartition(".")
    return bool(re.search(rf"(from|import) {re.escape(module)}\b|from {re.escape(holder)} import .*\b{last}\b", text))


def first_changed(before: str, after: str) -> int:
    """The number of the first line that is another."""
    pairs = enumerate(zip(before.splitlines(), after.splitlines(), strict=False), 1)
    return next(number for number, (old, new) in pairs if old != new)


def band(found: int, tried: int) -> tuple[float, float]:
    """Wilson's band of 95 in 100 for a share."""
    z, share = 1.96, found / tried
    middle = (share + z * z / (2 * tried)) / (1 + z * z / tried)
    half = z * math.sqrt(share * (1 - share) / tried + z * z / (4 * tried * tried)) / (1 + z * z / tried)
    return middle - half, middle + half


def score(package: str, most: int, seed: int) -> int:
    """Plant faults of a package, print survivors as they are found, then the score; 0."""
    every = list(faults(package))
    drawn = random.Random(seed).sample(every, min(most, len(every)))
    tests = [str(one) for name in (package, "published") for one in sorted(Path("tests", name).rglob("test_*.py"))]
    begun, found = time.monotonic(), 0
    left = forks.enter(Path.cwd(), f"drainwright.{package}")
    with tempfile.TemporaryDirectory() as told:
        files = forks.reached(tests, left, f"drainwright.{package}", Path(told))
    print(f"{package}: {len(files)} files of tests read in {(time.monotonic() - begun) / 60:.0f} min", flush=True)
    if not forks.passes([one.path for one in files], PATIENCE):
        raise RuntimeError("the tests fail in one process before any fault is planted")
    for fault in drawn:
        before, after = changed(fault)
        alive, reach = lives_with(fault.path, before, after, files, PATIENCE)
        found += not alive
        if alive:
            line = first_changed(before, after)
            where = f"{fault.path}:{line} {fault.operator.removeprefix('core/')} {fault.occurrence}"
            print(f"  lives: {where}, {len(reach)} files: {after.splitlines()[line - 1].strip()}", flush=True)
    low, high = band(found, len(drawn))
    print(
        f"{package}: {found} of {len(drawn)} found ({found / len(drawn):.0%}; of all {len(every):,} faults {low:.0%} "
        f"to {high:.0%}), {(time.monotonic() - begun) / 60:.0f} min, seed {seed}",
        flush=True,
    )
    return 0


def main() -> None:
    """Score what is asked, each package in a process of its own."""
    asks = argparse.ArgumentParser(prog="mutation", description=__doc__)
    asks.add_argument("packages", nargs="*", default=[*PACKAGES], help=f"default: {' '.join(PACKAGES)}")
    asks.add_argument("--most", type=int, default=40, help="faults for each package (default 40)")
    asks.add_argument("--seed", type=int, default=1)
    asked = asks.parse_args()
    with tempfile.TemporaryDirectory(prefix="drainwright-mutation-") as made:
        folder = Path(made) / "checkout"
        leave = shutil.ignore_patterns(".git", ".venv", "node_modules", "out", "__pycache__", "dist")
        shutil.copytree(ROOT, folder, ignore=leave, symlinks=True)
        os.chdir(folder)
        for package in asked.packages:
            if forks.forked(lambda package=package: score(package, asked.most, asked.seed), quiet=False):
                raise SystemExit(1)


if __name__ == "__main__":
    main()
