"""One reader under the coverage-guided fuzzer, in a process of its own: ``-m fuzzing.guided NAME SECONDS OUT``."""

from __future__ import annotations

import sys
from pathlib import Path


def main() -> None:
    """Fuzz one target until its time is over, or until it fails: the bytes that did it are then kept in OUT."""
    name, seconds, out = sys.argv[1], int(sys.argv[2]), Path(sys.argv[3])
    import atheris

    with atheris.instrument_imports(include=["drainwright"]):  # whatever a reader takes is imported, and counted, here
        from fuzzing.listing import TARGETS
        from fuzzing.targets import refused_or_read

        target = TARGETS[name]
        read = refused_or_read(target)
        seeds = target.seeds()
        for seed in seeds:
            read(seed)
    corpus, kept = out / "corpus" / name, out / "faults" / name
    for each in (corpus, kept):
        each.mkdir(parents=True, exist_ok=True)
    for number, seed in enumerate(seeds):
        (corpus / f"seed-{number}").write_bytes(seed)

    def once(data: bytes) -> None:
        read(data)

    longest = max(target.longest, *(2 * len(seed) for seed in seeds))
    options = [
        f"-max_total_time={seconds}", f"-max_len={longest}", "-timeout=30", "-rss_limit_mb=3000",
        f"-artifact_prefix={kept}/", "-print_final_stats=1", "-verbosity=1",
    ]  # fmt: skip
    atheris.Setup([sys.argv[0], *options, str(corpus)], once)
    atheris.Fuzz()


if __name__ == "__main__":
    main()
