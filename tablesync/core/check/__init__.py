"""Compares the records of all seats as they are written, and says what went wrong."""

from tablesync.core.check.check import Check
from tablesync.core.check.comparison import CheckSettings

__all__ = ["Check", "CheckSettings"]
