"""Fuzzes a reader with coverage as the guide, and keeps what it crashes on.

    python -m tests.benchmarks.bench_guided_fuzz TARGET [--runs N]

Needs the package `atheris`, which nothing else here needs.
"""

from __future__ import annotations

import argparse
import sys
from importlib import import_module
from pathlib import Path

CORPUS = Path(__file__).parents[1] / "fuzz" / "corpus"


def fuzz(name: str, runs: int) -> None:
    """Lets coverage lead from a target's seeds to new input."""
    atheris = import_module("atheris")
    with atheris.instrument_imports(include=["tablesync"]):
        targets = import_module("tests.fuzz.targets")
    target = next(t for t in (*targets.FRAMES, *targets.FILES) if t.name == name)

    def once(data: bytes) -> None:
        try:
            target.takes(data)
        except Exception:
            targets.keep(target, data)
            raise

    corpus = CORPUS / name
    corpus.mkdir(parents=True, exist_ok=True)
    for number, seed in enumerate(target.seeds):
        (corpus / f"seed-{number}").write_bytes(seed)
    options = ["-max_len=8192", f"-runs={runs}", "-print_final_stats=1"]
    atheris.Setup([sys.argv[0], *options, str(corpus)], once)
    atheris.Fuzz()


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("target")
    parser.add_argument("--runs", type=int, default=100_000)
    arguments = parser.parse_args()
    fuzz(arguments.target, arguments.runs)


if __name__ == "__main__":
    main()
