"""`python -m tablesync`."""

from __future__ import annotations

from tablesync.cli import main

__all__ = ["main"]

main()
