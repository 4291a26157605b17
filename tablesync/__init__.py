"""Two officials at one basketball table keep the same game twice, and agree."""

__all__ = ["__version__"]

__version__ = "0.1.0"
