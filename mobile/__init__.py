"""The officials' screens."""
